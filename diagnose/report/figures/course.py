"""The time line of a case, oldest first: what was done (round), read (on its tip), who died
(crossed), and the asking (a ring).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from diagnose.intake.case import Case, Reading
from diagnose.intake.moments import Moment, hours_before_asking
from diagnose.intake.rough import Rough
from diagnose.report.figures.svg import LETTER, ROW, WIDTH, Drawing
from diagnose.report.wording import Preference, quantity

Kind = Literal["done", "read", "died", "asked"]
HOURS_PER_DAY = 24.0
#: From this many hours on, times are said in days.
DAYS_FROM_H = 48.0
#: More entries of one name than this are one mark that says how many.
EACH_SHOWN = 3
#: Where the marks stand, and the text beside them.
RAIL, BESIDE = 10.0, 26.0
UNITS = {
    "temperature": "degC",
    "ph": "",
    "gh": "dGH",
    "kh": "dKH",
    "conductivity": "uS/cm",
    "oxygen_percent": "%",
}
WAYS = {"done": "done", "read": "read", "died": "death", "asked": "asked"}


@dataclass(frozen=True, slots=True)
class Mark:
    """Something on the time line: hours before the asking, what it is, and what to say of it."""

    hours: float
    kind: Kind
    name: str
    text: str


def course_marks(case: Case, prefer: Preference = "metric") -> tuple[Mark, ...]:
    """The marks of a case, oldest first; what has no time, or needs a clock to place it where the
    case does not say when it asks, has none.
    """
    found = list(_marks(case, prefer))
    if not found:
        return ()
    kept: list[Mark] = []
    found.sort(key=lambda mark: (mark.kind, mark.name, -mark.hours))
    for _, same in groupby(found, key=lambda mark: (mark.kind, mark.name)):
        kept += _few(list(same))
    kept.append(Mark(0.0, "asked", "", "asked"))
    return tuple(sorted(kept, key=lambda mark: (-mark.hours, WAYS[mark.kind] == "asked")))


def course(marks: tuple[Mark, ...], name: str = "course") -> str:
    """The time line as SVG; empty without marks."""
    if not marks:
        return ""
    drawing = Drawing(name)
    rows: list[tuple[float, Kind]] = []
    said = []
    for mark in marks:
        middle = drawing.height + LETTER / 2
        when = ago(mark.hours) if mark.kind != "asked" else "now"
        drawing.lines(f"{when} ({WAYS[mark.kind]})", BESIDE, WIDTH - BESIDE, "quiet")
        if mark.kind != "asked":
            drawing.lines(mark.text, BESIDE, WIDTH - BESIDE)
            said.append(f"{when}, {WAYS[mark.kind]}: {mark.text}.")
        rows.append((middle, mark.kind))
        drawing.room(ROW / 4)
    drawing.path([(RAIL, rows[0][0]), (RAIL, rows[-1][0])], "axis")
    for y, kind in rows:
        if kind == "done":
            drawing.dot(RAIL, y, "for")
        elif kind == "read":
            drawing.diamond(RAIL, y, "reading")
        elif kind == "died":
            drawing.cross(RAIL, y, "died")
        else:
            drawing.dot(RAIL, y, "ring")
    return drawing.finished("What happened when", " ".join(said))


def ago(hours: float) -> str:
    """A time before the asking in words."""
    if hours < 1.0:
        return "within the last hour"
    if hours < DAYS_FROM_H:
        return f"{hours:.0f} h before asking"
    return f"{hours / HOURS_PER_DAY:.0f} days before asking"


def _few(same: list[Mark]) -> list[Mark]:
    if len(same) <= EACH_SHOWN:
        return same
    first, last = same[0], same[-1]
    text = f"{last.text}; {len(same)} times since {ago(first.hours)}"
    return [Mark(last.hours, last.kind, last.name, text)]


def _marks(case: Case, prefer: Preference) -> Iterator[Mark]:
    for event in case.events:
        hours = _hours(event.at, case)
        if hours is not None:
            name = event.what.replace("-", " ").replace("_", " ")
            text = f"{name}, {event.note}" if event.note else name
            yield Mark(hours, "done", name, text)
    for reading in case.readings:
        hours = _hours(reading.at, case)
        if hours is not None:
            name = reading.what.replace("_", " ")
            yield Mark(hours, "read", f"{name} {reading.where}", _read(reading, prefer))
    if case.deaths is not None:
        for moment, text in ((case.deaths.first, "the first"), (case.deaths.last, "the last")):
            hours = _hours(moment, case)
            if hours is not None:
                yield Mark(hours, "died", text, text)


def _read(reading: Reading, prefer: Preference) -> str:
    unit = UNITS.get(reading.what, "mg/L")
    name = {"ph": "pH", "gh": "GH", "kh": "KH"}.get(reading.what, reading.what.replace("_", " "))
    where = "" if reading.where == "container" else f" ({reading.where.replace('_', ' ')})"
    if reading.word is not None:
        return f"{name}{where} {reading.word.replace('_', ' ')}"
    if isinstance(reading.value, Rough):
        low, high = reading.value.low, reading.value.high
        if math.isinf(low):
            return f"{name}{where} under {quantity(high, unit, prefer)}"
        if math.isinf(high):
            return f"{name}{where} at least {quantity(low, unit, prefer)}"
        between = f"{quantity(low, unit, prefer)} and {quantity(high, unit, prefer)}"
        return f"{name}{where} between {between}"
    return f"{name}{where} {quantity(reading.value, unit, prefer)}"


def _hours(moment: Moment | None, case: Case) -> float | None:
    """Hours before the asking; None where only a clock could tell."""
    if moment is None:
        return None
    first = case.deaths.first if case.deaths is not None else None
    if case.asked_at is None:
        return moment.hours if moment.kind == "before_asking" else None
    hours = hours_before_asking(moment, asked_at=case.asked_at, first_death=first)
    return None if hours is None or hours < 0.0 else hours
