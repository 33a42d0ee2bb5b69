"""What a container's log holds over some days, as plain data: courses, and every entry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from diagnose.log.as_case import number_of, said
from diagnose.log.entry import Described, Entry, Jot
from diagnose.report.keepers_units import said_in
from diagnose.report.wording import Preference, fahrenheit, plain
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

FORMAT = "bowlside-log/1"
#: How times are written.
WHEN = "%Y-%m-%d %H:%M"
#: The range of the species each reading has in its profile, by the reading's name.
RANGES = {"temperature": "temperature_c", "ph": "ph", "gh": "gh_dgh", "kh": "kh_dkh"}
#: Units of readings; those that are not here are in mg/L, counts in none.
UNITS = {
    "temperature": "degC",
    "ph": "",
    "gh": "dGH",
    "kh": "dKH",
    "conductivity": "uS/cm",
    "oxygen_percent": "%",
    "adults": "",
}
TITLES = {"ph": "pH", "gh": "GH", "kh": "KH"}
CHANGED, DIED, OTHER = "c", "x", "e"


@dataclass(frozen=True, slots=True)
class LogPoint:
    """A value and when it was read or counted."""

    at: str
    value: float


@dataclass(frozen=True, slots=True)
class LogCourse:
    """One quantity, oldest point first; good is the comfortable range of the species."""

    name: str
    title: str
    unit: str
    points: tuple[LogPoint, ...]
    good: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One entry; mark is `c` for a change of water, `x` for a death, `e` for anything else that
    was done, and empty for the rest.
    """

    at: str
    kind: str
    text: str
    mark: str


@dataclass(frozen=True, slots=True)
class LogAnswer:
    """A container's log from one day to another."""

    format: str
    name: str
    since: str
    until: str
    courses: tuple[LogCourse, ...]
    entries: tuple[LogEntry, ...]


def log_answer(
    described: Described,
    entries: Sequence[Entry],
    rulebook: Rulebook,
    *,
    days: float,
    now: datetime,
    prefer: Preference = "metric",
) -> LogAnswer:
    """The log as data. `prefer` sets the units in sentences; numbers keep the program's."""
    since = now - timedelta(days=days)
    jots = [one.jot for one in entries if one.jot.at is not None and since <= one.jot.at <= now]
    kind = described.content.get("stock", {}).get("species")
    ranges = _ranges(kind, rulebook) if kind else {}
    found = LogAnswer(
        format=FORMAT,
        name=plain(described.name),
        since=f"{since:{WHEN}}",
        until=f"{now:{WHEN}}",
        courses=tuple(
            LogCourse(
                name,
                TITLES.get(name, name.replace("_", " ")),
                UNITS.get(name, "mg/L"),
                tuple(points),
                ranges.get(name),
            )
            for name, points in _courses(jots).items()
        ),
        entries=tuple(
            LogEntry(f"{jot.at:{WHEN}}", jot.kind, plain(said(jot)), _mark(jot)) for jot in jots
        ),
    )
    return said_in(found, prefer)


def drawn_in(answer: LogAnswer, prefer: Preference) -> LogAnswer:
    """The log with its temperatures in F for who prefers US units, to be drawn."""
    if prefer != "us":
        return answer

    def turned(course: LogCourse) -> LogCourse:
        if course.unit != "degC":
            return course
        points = tuple(LogPoint(one.at, fahrenheit(one.value)) for one in course.points)
        good = course.good and (fahrenheit(course.good[0]), fahrenheit(course.good[1]))
        return replace(course, unit="F", points=points, good=good)

    return replace(answer, courses=tuple(turned(course) for course in answer.courses))


def _courses(jots: Sequence[Jot]) -> dict[str, list[LogPoint]]:
    """Numbers by their name; a value told roughly (`under 0.1`) is no point of a course."""
    found: dict[str, list[LogPoint]] = defaultdict(list)
    for jot in jots:
        name = told = None
        if jot.kind == "reading" and jot.content.get("where", "container") == "container":
            name, told = str(jot.content["what"]), jot.content.get("value")
        elif jot.kind == "count":
            name, told = "adults", jot.content.get("adults")
        value = number_of(told)
        if name is not None and value is not None:
            found[name].append(LogPoint(f"{jot.at:{WHEN}}", value))
    return dict(found)


def _mark(jot: Jot) -> str:
    if jot.kind == "death":
        return DIED if jot.content.get("dead") != 0 else OTHER
    if jot.kind == "event":
        return CHANGED if jot.content.get("what") == "water-change" else OTHER
    return ""


def _ranges(kind: str, rulebook: Rulebook) -> dict[str, tuple[float, float]]:
    species = species_of(rulebook, kind)
    return {
        reading: species.comfortable[field]
        for reading, field in RANGES.items()
        if field in species.comfortable
    }
