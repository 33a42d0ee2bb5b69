"""The part of a written case that can be read, and everything that is wrong with the rest, so that
all errors of a file come in one go.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any

from pydantic import ValidationError

from diagnose.intake.case import Case
from diagnose.intake.problems import CaseError
from diagnose.intake.validation_faults import faults_of, place_of
from diagnose.intake.yaml_document import Path

#: Each round takes out what could not be read; what such a gap breaks goes in the next.
MOST_ROUNDS = 6


@dataclass(frozen=True, slots=True)
class ReadablePart:
    """The case without what could not be read (None: nothing is left to read), the faults of the
    rest, and which entries of each list were kept.
    """

    case: Case | None
    problems: tuple[CaseError, ...]
    kept: dict[Path, tuple[int, ...]]

    def path(self, path: Path) -> Path:
        """A path in the case as a path in the file: entries of a list keep their first number."""
        return _in_file(path, self.kept)


def read_what_can_be(
    data: dict[str, Any], units: str, file: str, line_of: Callable[[Path], int | None]
) -> ReadablePart:
    """The case in `data`, with its faulty parts left out and named."""
    problems: list[CaseError] = []
    kept: dict[Path, tuple[int, ...]] = {}
    taken_out: set[Path] = set()
    rest: Any = data
    for _ in range(MOST_ROUNDS):
        try:
            case = Case.model_validate(rest, context=units, by_alias=True, by_name=False)
        except ValidationError as error:
            in_file = partial(_in_file, kept=kept.copy())
            objections = error.errors(include_url=False)
            faulty = {in_file(place_of(item)) for item in objections}
            found = faults_of(error, Case, file, partial(_line_in_file, line_of, in_file))
            gaps = [item["type"] == "missing" and bool(taken_out) for item in objections]
            problems += [fault for fault, gap in zip(found, gaps, strict=True) if not gap]
            taken_out |= faulty | {path[:-1] for path in faulty & taken_out if len(path) > 1}
            if () in faulty:
                return ReadablePart(None, tuple(problems), kept)
            kept.clear()
            rest = _without(data, taken_out, (), kept)
        else:
            return ReadablePart(case, tuple(problems), kept)
    return ReadablePart(None, tuple(problems), kept)


def _without(
    part: Any, taken_out: Iterable[Path], at: Path, kept: dict[Path, tuple[int, ...]]
) -> Any:
    if isinstance(part, dict):
        return {
            key: _without(value, taken_out, (*at, key), kept)
            for key, value in part.items()
            if (*at, key) not in taken_out
        }
    if isinstance(part, list):
        kept[at] = tuple(i for i in range(len(part)) if (*at, i) not in taken_out)
        return [_without(part[i], taken_out, (*at, i), kept) for i in kept[at]]
    return part


def _in_file(path: Path, kept: dict[Path, tuple[int, ...]]) -> Path:
    found: Path = ()
    for part in path:
        entries = kept.get(found)
        if isinstance(part, int) and entries is not None and part < len(entries):
            part = entries[part]
        found = (*found, part)
    return found


def _line_in_file(
    line_of: Callable[[Path], int | None], in_file: Callable[[Path], Path], path: Path
) -> int | None:
    return line_of(in_file(path))
