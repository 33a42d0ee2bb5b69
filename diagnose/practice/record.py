"""The results of practice, kept as one CSV file in a folder that is handed in."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from pathlib import Path

FILE = "results.csv"


@dataclass(frozen=True, slots=True)
class Result:
    """One exercise done. confidence_percent: 0 to 100; looks: observations asked for, by their
    names in `asked`.
    """

    when: str
    learner: str
    case: str
    origin: str
    level: int
    named: str
    cause: str
    confidence_percent: float
    right: bool
    minutes: float
    looks: int
    score: float
    asked: str = ""


def keep(folder: Path, result: Result) -> None:
    """Adds a result to the folder's file, which is made if there is none."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / FILE
    fresh = not file.exists() or file.stat().st_size == 0
    with file.open("a", encoding="utf-8", newline="") as out:
        out.write(_csv((result,), header=fresh))


def kept(folder: Path) -> tuple[Result, ...]:
    """All results of a folder, oldest first; none when there is no file.

    Raises ValueError naming the line of a file that somebody edited into something else.
    """
    file = folder / FILE
    if not file.exists():
        return ()
    found = []
    with file.open(encoding="utf-8", newline="") as source:
        rows = csv.DictReader(source)
        if rows.fieldnames is not None and list(rows.fieldnames) != _names():
            raise ValueError(
                f"{file}: line 1: the columns are not {', '.join(_names())}. Move the file away "
                "to start anew."
            )
        for row in rows:
            try:
                found.append(_result(row))
            except (TypeError, ValueError, KeyError):
                raise ValueError(
                    f"{file}: line {rows.line_num}: not a result of practice. Mend or remove it."
                ) from None
    return tuple(found)


def csv_text(results: Iterable[Result]) -> str:
    """The results as CSV with a header line."""
    return _csv(results, header=True)


def _names() -> list[str]:
    return [field.name for field in fields(Result)]


def _csv(results: Iterable[Result], *, header: bool) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, _names(), lineterminator="\n")
    if header:
        writer.writeheader()
    for result in results:
        writer.writerow(asdict(result) | {"right": "yes" if result.right else "no"})
    return out.getvalue()


def _result(row: dict[str, str]) -> Result:
    if row["right"] not in ("yes", "no") or not 0.0 <= float(row["confidence_percent"]) <= 100.0:
        raise ValueError
    datetime.fromisoformat(row["when"])
    return Result(
        when=row["when"],
        learner=row["learner"],
        case=row["case"],
        origin=row["origin"],
        level=int(row["level"]),
        named=row["named"],
        cause=row["cause"],
        confidence_percent=float(row["confidence_percent"]),
        right=row["right"] == "yes",
        minutes=float(row["minutes"]),
        looks=int(row["looks"]),
        score=float(row["score"]),
        asked=row["asked"],
    )


def times_seen(results: Iterable[Result], learner: str) -> dict[str, int]:
    """How often a learner has done each case."""
    found: dict[str, int] = {}
    for result in results:
        if result.learner == learner:
            found[result.case] = found.get(result.case, 0) + 1
    return found
