"""What the course of a log says: the last week against the weeks before it, as numbers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise
from statistics import median

from diagnose.log.as_case import number_of
from diagnose.log.entry import Entry

#: The newest readings are compared with those of the weeks before them (rule of this program, no
#: source); both sides are medians, so that one slip of a kit warns of nothing.
NEWEST, BEFORE = timedelta(days=8), timedelta(days=36)
#: Per reading that drifts: the name of the observation, and whether it is the fall or the rise.
_DRIFTS = (
    ("gh", "gh_rise_dgh_month", 1),
    ("kh", "kh_fall_dkh_month", -1),
    ("ph", "ph_fall_month", -1),
    ("temperature", "temperature_rise_c_week", 1),
)
#: Below this a kit reads nil, mg/L as N (rule of this program, no source).
NIL_MG_L = 0.02
#: Signs that tell something by coming back: on so many days of the newest ones.
_SIGN_DAYS = {
    "food_left_over": "food_left_days",
    "at_surface": "at_surface_days",
    "surface_film": "surface_film_days",
    "eggs_dropped": "eggs_dropped_days",
}
#: The usual pace of changes is the median of the last so many gaps (rule of this program).
GAPS = 6
NAMES = (
    *(name for _, name, _ in _DRIFTS),
    *_SIGN_DAYS.values(),
    "temperature_swing_c_day",
    "temperature_swing_growth_c",
    "days_since_change_to_usual",
    "adults_per_l",
    "solids_rise_percent_month",
    "temperature_c_week",
    "nitrite_after_zero_mg_l",
    "ammonia_after_zero_mg_l",
    "count_fall_percent",
)


def course_of(
    entries: Sequence[Entry], *, now: datetime, litres: float | None = None
) -> dict[str, float]:
    """The numbers that the log gives at a time; what it cannot tell is left out. litres: the water
    of the container, where it is known.
    """
    found: dict[str, float] = {}
    for what, name, sign in _DRIFTS:
        new, old = _sides(entries, what, now)
        if new and old:
            found[name] = sign * (median(new) - median(old))
    new, old = _sides(entries, "solids", now)
    if new and old and median(old) > 0:
        found["solids_rise_percent_month"] = 100 * (median(new) / median(old) - 1)
    new, _ = _sides(entries, "temperature", now)
    if new:
        found["temperature_c_week"] = median(new)
    for what in ("nitrite", "ammonia"):
        new, old = _sides(entries, what, now)
        if new and old and max(old) <= NIL_MG_L:
            found[f"{what}_after_zero_mg_l"] = new[-1]
    found.update(_fewer(entries, now))
    found.update(_came_back(entries, now))
    found.update(_swings(entries, now))
    found.update(_overdue(entries, now))
    counts = _counts(entries, now)
    if litres and counts:
        found["adults_per_l"] = counts[-1][1] / litres
    return found


def _came_back(entries: Sequence[Entry], now: datetime) -> dict[str, float]:
    """On how many of the newest days each sign was seen."""
    days: dict[str, set[date]] = {}
    for entry in entries:
        jot = entry.jot
        if jot.kind == "sign" and jot.at is not None and now - NEWEST <= jot.at <= now:
            for sign in jot.content.get("seen", ()):
                if sign in _SIGN_DAYS:
                    days.setdefault(_SIGN_DAYS[sign], set()).add(jot.at.date())
    return {name: float(len(found)) for name, found in days.items()}


def _swings(entries: Sequence[Entry], now: datetime) -> dict[str, float]:
    """How far the temperature swings within a day, and how much more than in the weeks before."""
    read: dict[date, list[float]] = {}
    for entry in entries:
        jot = entry.jot
        if jot.kind != "reading" or jot.at is None or not now - BEFORE <= jot.at <= now:
            continue
        if jot.content["what"] == "temperature":
            value = number_of(jot.content["value"])
            if value is not None and jot.content.get("where", "container") == "container":
                read.setdefault(jot.at.date(), []).append(value)
    swings = {day: max(found) - min(found) for day, found in read.items() if len(found) > 1}
    new = [swing for day, swing in swings.items() if day > (now - NEWEST).date()]
    old = [swing for day, swing in swings.items() if day <= (now - NEWEST).date()]
    if not new:
        return {}
    found = {"temperature_swing_c_day": median(new)}
    return found | ({"temperature_swing_growth_c": median(new) - median(old)} if old else {})


def _overdue(entries: Sequence[Entry], now: datetime) -> dict[str, float]:
    """Days since the last change of water, as a multiple of this container's usual gap."""
    at = sorted(
        entry.jot.at
        for entry in entries
        if entry.jot.kind == "event"
        and entry.jot.at is not None
        and entry.jot.at <= now
        and entry.jot.content.get("what") == "water-change"
    )
    gaps = [(later - earlier) / timedelta(days=1) for earlier, later in pairwise(at)][-GAPS:]
    usual = median(gaps) if len(gaps) > 1 else 0.0
    if usual < 1.0:
        return {}
    return {"days_since_change_to_usual": (now - at[-1]) / timedelta(days=1) / usual}


def _sides(entries: Sequence[Entry], what: str, now: datetime) -> tuple[list[float], list[float]]:
    new: list[float] = []
    old: list[float] = []
    for entry in entries:
        jot = entry.jot
        if jot.kind != "reading" or jot.at is None or jot.at > now:
            continue
        if jot.content["what"] != what or jot.content.get("where", "container") != "container":
            continue
        value = number_of(jot.content["value"])
        if value is not None and now - jot.at <= NEWEST:
            new.append(value)
        elif value is not None and now - jot.at <= BEFORE:
            old.append(value)
    return new, old


def _counts(entries: Sequence[Entry], now: datetime) -> list[tuple[datetime, float]]:
    """The counts of grown ones in these weeks, oldest first."""
    return [
        (entry.jot.at, value)
        for entry in entries
        if entry.jot.kind == "count"
        and entry.jot.at is not None
        and now - BEFORE <= entry.jot.at <= now
        and (value := number_of(entry.jot.content.get("adults"))) is not None
    ]


def _fewer(entries: Sequence[Entry], now: datetime) -> dict[str, float]:
    counts = _counts(entries, now)
    if len(counts) < 2 or counts[-2][1] <= 0:
        return {}
    (since, before), (until, last) = counts[-2:]
    bodies = sum(
        number_of(entry.jot.content.get("dead")) or 0.0
        for entry in entries
        if entry.jot.kind == "death" and entry.jot.at and since < entry.jot.at <= until
    )
    return {"count_fall_percent": 100 * (before - bodies - last) / before}
