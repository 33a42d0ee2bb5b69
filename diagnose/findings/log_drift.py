"""How readings moved: swings within a day, the fastest change, the drift over weeks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation
from diagnose.findings.readings import Sample, latest, samples
from diagnose.findings.timeline import (
    DAY_SLACK_H,
    FORTNIGHT_H,
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
#: A drift is seen over no less than a week; readings of more than a year ago are of another time.
DRIFT_LEAST_H, DRIFT_MOST_H = 7 * HOURS_PER_DAY, 366 * HOURS_PER_DAY
#: Soil and lime give minerals to the water by themselves: more than the tap holds is no creep then.
_GIVE_MINERALS = ("soil", "limestone")


def drift_observations(case: Case, timeline: Timeline) -> list[Observation]:
    """Highest, lowest, swing and fastest change of temperature; swing and fall of pH; rise of
    dissolved solids.
    """
    return [*_temperature(case, timeline), *_ph(case, timeline), *_minerals(case, timeline)]


def _temperature(case: Case, timeline: Timeline) -> Iterator[Observation]:
    log = _of_the_fortnight(samples(case, timeline, "temperature"), timeline)
    if len(log) < 2:
        return
    because = f"{len(log)} temperatures in the log of two weeks"
    values = [sample.value for sample in log]
    yield Observation("temperature_max_c", max(values), "measured", because)
    yield Observation("temperature_min_c", min(values), "measured", because)
    swing = _swing_within_a_day(log)
    if swing is not None:
        yield Observation("temperature_swing_c", swing, "derived", because)
    rate = _fastest_c_per_h(log)
    if rate is not None:
        yield Observation("temperature_rate_c_per_h", rate, "derived", because)


def _of_the_fortnight(found: list[Sample], timeline: Timeline) -> list[Sample]:
    """Timed readings from two weeks before the first death until the asking."""
    since = FORTNIGHT_H
    if timeline.first_death is not None:
        since += max(0.0, timeline.hours_ago(timeline.first_death) or 0.0)
    return [sample for sample in found if sample.timed and sample.hours_ago <= since]


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


def _ph(case: Case, timeline: Timeline) -> Iterator[Observation]:
    found = samples(case, timeline, "ph")
    swing = _swing_within_a_day(_of_the_fortnight(found, timeline))
    if swing is not None:
        yield Observation("ph_swing", swing, "derived", "pH readings of one day")
    drift = _over_weeks(found)
    if drift is not None:
        early, late = drift
        because = f"pH from {early.value:g} to {late.value:g} in {_between(early, late)}"
        yield Observation("ph_fall", max(0.0, early.value - late.value), "derived", because)


def _over_weeks(found: list[Sample]) -> tuple[Sample, Sample] | None:
    """The earliest and the latest timed reading, if weeks lie between them."""
    timed = [sample for sample in found if sample.timed]
    if not timed:
        return None
    late = timed[0]
    earlier = [s for s in timed if DRIFT_LEAST_H <= s.hours_ago - late.hours_ago <= DRIFT_MOST_H]
    return (earlier[-1], late) if earlier else None


def _between(early: Sample, late: Sample) -> str:
    return span_words(early.hours_ago - late.hours_ago)


def _minerals(case: Case, timeline: Timeline) -> Iterator[Observation]:
    for what, words in (
        ("solids", "dissolved solids"),
        ("conductivity", "conductivity"),
        ("gh", "hardness"),
    ):
        drift = _over_weeks(samples(case, timeline, what))
        if drift is not None and drift[0].value > 0:
            early, late = drift
            because = f"{words} from {early.value:g} to {late.value:g} in {_between(early, late)}"
            yield _rise(early.value, late.value, because)
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
            yield _rise(tap.value, inside.value, because)
            return


def _rise(before: float, after: float, because: str) -> Observation:
    percent = max(0.0, 100.0 * (after - before) / before)
    return Observation("solids_rise_percent", percent, "derived", because)
