"""A container's log in the terminal: a course for each reading, with its gaps, and a table."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from diagnose.log.as_case import number_of, said
from diagnose.log.entry import Described, Entry

if TYPE_CHECKING:
    from diagnose.rulebook.terms import Rulebook

#: Columns and rows of one course; with its axis it fits 80 columns.
WIDE, HIGH = 56, 5
#: The range of the species each reading has in its profile, by the reading's name.
RANGES = {"temperature": "temperature_c", "ph": "ph", "gh": "gh_dgh", "kh": "kh_dkh"}


def show_log(
    described: Described,
    entries: Sequence[Entry],
    rulebook: Rulebook,
    console: Console,
    *,
    days: int,
    now: datetime,
) -> None:
    """Prints the courses of what was measured and counted, then every entry."""
    since = now - timedelta(days=days)
    shown = [e for e in entries if e.jot.at is not None and since <= e.jot.at <= now]
    console.print(Text(f"{described.name}  {since:%Y-%m-%d} to {now:%Y-%m-%d}", style="bold"))
    if not shown:
        console.print(f"Nothing was kept of it in the last {days} days.")
        return
    kind = described.content.get("stock", {}).get("species")
    ranges = _ranges(kind, rulebook) if kind else {}
    for name, points in _courses(shown).items():
        if len(points) > 1:
            for line in course(name, points, since, now, ranges.get(name)):
                console.print(Text(line))
    marks = _marked(shown, since, now)
    if marks:
        console.print(Text(f"{'events':>12} {marks}"))
        console.print(Text(f"{'':>12} c change of water, x death, e other"))
    table = Table(box=None, pad_edge=False)
    for column in ("when", "what", "entry"):
        table.add_column(column)
    for entry in shown:
        table.add_row(f"{entry.jot.at:%m-%d %H:%M}", entry.jot.kind, Text(said(entry.jot)))
    console.print(table)


def course(
    name: str,
    points: Sequence[tuple[datetime, float]],
    since: datetime,
    until: datetime,
    good: tuple[float, float] | None,
) -> list[str]:
    """One course as lines of text: `*` is a value, `.` the range of the species, and a time
    without a value stays empty.
    """
    low, high = min(v for _, v in points), max(v for _, v in points)
    if math.isclose(low, high):
        low, high = low - 0.5, high + 0.5
    cells = [[" "] * WIDE for _ in range(HIGH)]
    for row in range(HIGH):
        level = high - (high - low) * row / (HIGH - 1)
        if good is not None and good[0] <= level <= good[1]:
            cells[row] = ["."] * WIDE
    for at, value in points:
        row = round((high - value) / (high - low) * (HIGH - 1))
        cells[row][_column(at, since, until)] = "*"
    lines = [""]
    for row, line in enumerate(cells):
        label = f"{high:.4g}" if row == 0 else f"{low:.4g}" if row == HIGH - 1 else ""
        title = name if row == HIGH // 2 else ""
        lines.append(f"{title:>12.12} {''.join(line)} {label}".rstrip())
    return lines


def _column(at: datetime, since: datetime, until: datetime) -> int:
    return min(WIDE - 1, int((at - since) / (until - since) * WIDE))


def _courses(entries: Sequence[Entry]) -> dict[str, list[tuple[datetime, float]]]:
    """Numbers by their name; a value told roughly (`under 0.1`) is no point of a course."""
    found: dict[str, list[tuple[datetime, float]]] = defaultdict(list)
    for entry in entries:
        jot = entry.jot
        if jot.at is None:
            continue
        if jot.kind == "reading" and jot.content.get("where", "container") == "container":
            value = number_of(jot.content.get("value"))
            if value is not None:
                found[str(jot.content["what"])].append((jot.at, value))
        if jot.kind == "count":
            value = number_of(jot.content.get("adults"))
            if value is not None:
                found["adults"].append((jot.at, value))
    return dict(found)


def _marked(entries: Sequence[Entry], since: datetime, until: datetime) -> str:
    """A line with `c` for a change of water, `x` for a death and `e` for anything else done."""
    line = [" "] * WIDE
    for entry in entries:
        jot = entry.jot
        if jot.at is None or jot.kind not in ("event", "death"):
            continue
        mark = "c" if jot.content.get("what") == "water-change" else "e"
        if jot.kind == "death" and jot.content.get("dead") != 0:
            mark = "x"
        line[_column(jot.at, since, until)] = mark
    return "".join(line).rstrip()


def _ranges(kind: str, rulebook: Rulebook) -> dict[str, tuple[float, float]]:
    from diagnose.rulebook.species import species_of

    species = species_of(rulebook, kind)
    return {
        reading: species.comfortable[field]
        for reading, field in RANGES.items()
        if field in species.comfortable
    }
