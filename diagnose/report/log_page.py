"""A container's log: in the terminal a course for each reading, with its gaps, and a table; as a
page the same, drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.report.log_answer import CHANGED, DIED, OTHER, WHEN, LogAnswer
from diagnose.report.pages import Figure, Page, PageLine, Section

if TYPE_CHECKING:
    from rich.console import Console

#: Columns and rows of one course; with its axis it fits 80 columns.
WIDE, HIGH = 56, 5
NOTHING = "Nothing was kept of it in these days."
KEY = {CHANGED: "change of water", DIED: "death", OTHER: "other"}
#: Fewer points than this are no course.
LEAST_POINTS = 2


def log_page(answer: LogAnswer) -> Page:
    """The log as a page; answer: in the units to draw."""
    from diagnose.report.figures.log_course import in_short, log_course

    shown = [course for course in answer.courses if len(course.points) >= LEAST_POINTS]
    drawn = tuple(
        Figure(course.title, log_course(course, answer, keyed=place == 0))
        for place, course in enumerate(shown)
    )
    said = tuple(PageLine(in_short(course), lead=f"{course.title}:") for course in shown)
    rows = tuple((entry.at[5:], entry.kind, entry.text) for entry in answer.entries)
    return Page(
        title=answer.name,
        first=() if rows else (NOTHING,),
        sections=(
            Section("Courses", said, figures=drawn),
            Section("Entries", (), table=(("when", "what", "entry"), *rows) if rows else ()),
        ),
        note=_days(answer),
    )


def show_log(answer: LogAnswer, console: Console) -> None:
    """Prints the courses of what was measured and counted, then every entry; answer: in the units
    to draw.
    """
    from rich.table import Table
    from rich.text import Text

    since, until = (datetime.strptime(at, WHEN) for at in (answer.since, answer.until))
    console.print(Text(f"{answer.name}  {_days(answer)}", style="bold"))
    if not answer.entries:
        console.print(NOTHING)
        return
    for found in answer.courses:
        if len(found.points) >= LEAST_POINTS:
            points = [(datetime.strptime(one.at, WHEN), one.value) for one in found.points]
            for line in course(found.title, points, since, until, found.good):
                console.print(Text(line))
    marks = [" "] * WIDE
    for entry in answer.entries:
        if entry.mark:
            marks[_column(datetime.strptime(entry.at, WHEN), since, until)] = entry.mark
    if any(entry.mark for entry in answer.entries):
        console.print(Text(f"{'events':>12} {''.join(marks).rstrip()}"))
        told = ", ".join(f"{mark} {meaning}" for mark, meaning in KEY.items())
        console.print(Text(f"{'':>12} {told}"))
    table = Table(box=None, pad_edge=False)
    for column in ("when", "what", "entry"):
        table.add_column(column)
    for entry in answer.entries:
        table.add_row(entry.at[5:], entry.kind, Text(entry.text))
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


def _days(answer: LogAnswer) -> str:
    return f"{answer.since[:10]} to {answer.until[:10]}"
