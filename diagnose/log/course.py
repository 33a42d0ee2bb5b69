"""What the course of a log says: the last week against the weeks before it, as numbers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
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
NAMES = (
    *(name for _, name, _ in _DRIFTS),
    "solids_rise_percent_month",
    "temperature_c_week",
    "nitrite_after_zero_mg_l",
    "ammonia_after_zero_mg_l",
    "count_fall_percent",
)


def course_of(entries: Sequence[Entry], *, now: datetime) -> dict[str, float]:
    """The numbers that the log gives at a time; what it cannot tell is left out."""
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
    return found


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


def _fewer(entries: Sequence[Entry], now: datetime) -> dict[str, float]:
    counts = [
        (entry.jot.at, value)
        for entry in entries
        if entry.jot.kind == "count"
        and entry.jot.at is not None
        and now - BEFORE <= entry.jot.at <= now
        and (value := number_of(entry.jot.content.get("adults"))) is not None
    ]
    if len(counts) < 2 or counts[-2][1] <= 0:
        return {}
    (since, before), (until, last) = counts[-2:]
    bodies = sum(
        number_of(entry.jot.content.get("dead")) or 0.0
        for entry in entries
        if entry.jot.kind == "death" and entry.jot.at and since < entry.jot.at <= until
    )
    return {"count_fall_percent": 100 * (before - bodies - last) / before}
