"""How readings moved: swings within a day, the fastest change, the drift over weeks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, Origin
from diagnose.findings.readings import Sample, age_of, latest, samples, within_window
from diagnose.findings.timeline import (
    DAY_SLACK_H,
    HOURS_PER_DAY,
    Timeline,
    span_words,
)

if TYPE_CHECKING:
    from diagnose.intake.case import Case

#: Two readings at least so far apart can show that a day was steady; closer ones only that an hour
#: was (rule of this program, no source).
STEADY_NEEDS_H = 5.0
#: The shortest time over which a rate is reckoned: a thermometer needs minutes to settle.
SHORTEST_RATE_H = 0.25
#: A slow fastest change is only believed of a log with readings as close as this.
DENSE_LOG_H = 3.0
#: A change as fast as this is worth saying even from a sparse log, degC per hour.
FAST_C_PER_H = 1.0
#: A drift is seen over no less than a week.
DRIFT_LEAST_H = 7 * HOURS_PER_DAY
#: Soil and lime give minerals to the water by themselves: more than the tap holds is no creep then.
_GIVE_MINERALS = ("soil", "limestone")


def drift_observations(case: Case, timeline: Timeline) -> list[Observation]:
    """Highest, lowest, swing and fastest change of temperature; swing and fall of pH; rise of
    dissolved solids.
    """
    return [*_temperature(case, timeline), *_ph(case, timeline), *_minerals(case, timeline)]


def _temperature(case: Case, timeline: Timeline) -> Iterator[Observation]:
    """Each from the readings of its own window: what was long over before the harm is no extreme
    of it.
    """
    found = samples(case, timeline, "temperature")
    for name, origin, reckon in _WARMTH:
        log = within_window(found, timeline, name)
        value = reckon(log) if len(log) >= 2 else None
        if value is not None:
            because = f"{len(log)} temperatures in the log"
            statement = _source(log, value)
            yield Observation(name, value, origin, because, statement=statement)


def _source(log: list[Sample], value: float) -> str:
    """The statement of the reading that has the value, else of the newest one."""
    return next((s.statement for s in log if s.value == value), log[0].statement)


def _warmest(log: list[Sample]) -> float:
    return max(sample.value for sample in log)


def _coldest(log: list[Sample]) -> float:
    return min(sample.value for sample in log)


def _swing_within_a_day(log: list[Sample]) -> float | None:
    """The largest difference between two readings of one day. None if none were hours apart: two
    readings of one hour do not show a steady day.
    """
    pairs = [pair for pair in combinations(log, 2) if _same_day(*pair)]
    if not any(_apart_h(*pair) >= STEADY_NEEDS_H for pair in pairs):
        return None
    return max(abs(one.value - other.value) for one, other in pairs)


def _same_day(one: Sample, other: Sample) -> bool:
    if one.clock_told and other.clock_told:
        return _apart_h(one, other) <= HOURS_PER_DAY
    return _apart_h(one, other) < DAY_SLACK_H


def _apart_h(one: Sample, other: Sample) -> float:
    return abs(one.hours_ago - other.hours_ago)


def _fastest_c_per_h(log: list[Sample]) -> float | None:
    clocked = sorted((s for s in log if s.clock_told), key=lambda sample: sample.hours_ago)
    rates = []
    for newer, older in combinations(clocked, 2):
        apart = _apart_h(newer, older)
        if SHORTEST_RATE_H <= apart <= HOURS_PER_DAY:
            rates.append(abs(newer.value - older.value) / apart)
    if not rates:
        return None
    dense = max(_apart_h(*pair) for pair in pairwise(clocked)) <= DENSE_LOG_H
    return max(rates) if dense or max(rates) >= FAST_C_PER_H else None


_WARMTH: tuple[tuple[str, Origin, Callable[[list[Sample]], float | None]], ...] = (
    ("temperature_max_c", "measured", _warmest),
    ("temperature_min_c", "measured", _coldest),
    ("temperature_swing_c", "derived", _swing_within_a_day),
    ("temperature_rate_c_per_h", "derived", _fastest_c_per_h),
)


def _ph(case: Case, timeline: Timeline) -> Iterator[Observation]:
    found = samples(case, timeline, "ph")
    day = within_window(found, timeline, "ph_swing")
    swing = _swing_within_a_day(day)
    if swing is not None:
        because = "pH readings of one day"
        yield Observation("ph_swing", swing, "derived", because, statement=day[0].statement)
    drift = _over_weeks(case, timeline, "ph", "ph_fall")
    if drift is not None:
        early, late = drift
        because = f"pH from {early.value:g} to {late.value:g} in {_between(early, late)}"
        fall = max(0.0, early.value - late.value)
        yield Observation("ph_fall", fall, "derived", because, statement=late.statement)


def _over_weeks(
    case: Case, timeline: Timeline, what: str, name: str
) -> tuple[Sample, Sample] | None:
    """The earliest reading of the window and the one that holds now, if weeks lie between."""
    found = samples(case, timeline, what)
    holds = timeline.harm_hours_ago() + age_of(timeline, what).holds_h
    late = next((s for s in found if s.timed and s.hours_ago <= holds), None)
    if late is None:
        return None
    window = within_window(found, timeline, name)
    earlier = [s for s in window if s.hours_ago - late.hours_ago >= DRIFT_LEAST_H]
    return (earlier[-1], late) if earlier else None


def _between(early: Sample, late: Sample) -> str:
    return span_words(early.hours_ago - late.hours_ago)


def _minerals(case: Case, timeline: Timeline) -> Iterator[Observation]:
    for what, words in (
        ("solids", "dissolved solids"),
        ("conductivity", "conductivity"),
        ("gh", "hardness"),
    ):
        drift = _over_weeks(case, timeline, what, "solids_rise_percent")
        if drift is not None and drift[0].value > 0:
            early, late = drift
            because = f"{words} from {early.value:g} to {late.value:g} in {_between(early, late)}"
            yield _rise(early.value, late.value, because, late.statement)
            return
    box = case.container
    if box.water_source != "tap" or box.substrate in _GIVE_MINERALS:
        return
    for what, words in (
        ("solids", "dissolved solids"),
        ("conductivity", "conductivity"),
        ("gh", "hardness"),
    ):
        tap, inside = latest(case, timeline, what, "tap"), latest(case, timeline, what)
        if tap is not None and inside is not None and tap.value > 0:
            because = f"{words}: {tap.value:g} in its tap water, {inside.value:g} in the container"
            yield _rise(tap.value, inside.value, because, inside.statement)
            return


def _rise(before: float, after: float, because: str, statement: str) -> Observation:
    percent = max(0.0, 100.0 * (after - before) / before)
    return Observation("solids_rise_percent", percent, "derived", because, statement=statement)
