"""What instruments said: the readings of one kind in time order, and the latest of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, observed
from diagnose.findings.timeline import HOURS_PER_DAY, Timeline, when
from diagnose.intake.rough import ends, rough
from diagnose.intake.told_readings import OBSERVED

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Reading

#: What builds up or is used up over weeks; everything else may be another by tomorrow.
_SLOW = frozenset({"nitrate", "gh", "kh", "solids", "conductivity"})
#: A reading older than this before the first death says nothing about it (rule of this program,
#: no source).
CURRENT_QUICK_H, CURRENT_SLOW_H = 14 * HOURS_PER_DAY, 90 * HOURS_PER_DAY
#: Clock hours between which a reading is one before the light of the day (common practice, no
#: source).
BEFORE_LIGHT = (3.0, 7.0)


@dataclass(frozen=True, slots=True)
class Sample:
    """One reading: its value in the unit of its kind (a Rough if told no closer), the hours
    from it to the asking (0 where no time was told), and where it comes from in words.
    """

    value: float
    hours_ago: float
    timed: bool
    clock_told: bool
    because: str


def samples(case: Case, timeline: Timeline, what: str, where: str = "container") -> list[Sample]:
    """The readings of one kind at one place, newest first; several at one time become their mean.

    Neither the order in which they were written nor repeats among them matter. A reading without a
    time is taken as the present state, but yields to one taken at the time of asking.
    """
    at_time: dict[tuple[float, bool], dict[tuple[float, float], Reading]] = {}
    for reading in case.readings:
        if reading.what != what or reading.where != where or reading.word is not None:
            continue
        ago = None if reading.at is None else timeline.hours_ago(reading.at)
        key = (0.0, False) if ago is None else (ago, True)
        kept = at_time.setdefault(key, {})
        value = ends(reading.value)
        known = kept.get(value)
        if known is None or repr(reading) < repr(known):
            kept[value] = reading
    found = []
    for (ago, timed), readings in at_time.items():
        values = sorted(readings)
        first = readings[values[0]]
        clock = first.at is not None and all(
            r.at is None or r.at.clock_told for r in readings.values()
        )
        low, high = (sum(side) / len(values) for side in zip(*values, strict=True))
        found.append(Sample(rough(low, high), ago, timed, clock, _because(first, where)))
    return sorted(found, key=lambda sample: (sample.hours_ago, not sample.timed))


def latest(case: Case, timeline: Timeline, what: str, where: str = "container") -> Sample | None:
    """The newest reading of a kind that is not too old to bear on the case."""
    limit = CURRENT_SLOW_H if what in _SLOW else CURRENT_QUICK_H
    since = 0.0
    if timeline.first_death is not None:
        since = max(0.0, timeline.hours_ago(timeline.first_death) or 0.0)
    found = samples(case, timeline, what, where)
    return found[0] if found and found[0].hours_ago <= since + limit else None


def nearest(
    case: Case, timeline: Timeline, what: str, hours_ago: float, within_h: float
) -> Sample | None:
    """The reading in the container taken nearest to a time, if no further from it than that."""
    found = [
        sample
        for sample in samples(case, timeline, what)
        if not sample.timed or abs(sample.hours_ago - hours_ago) <= within_h
    ]
    return min(
        found,
        key=lambda s: (not s.timed, abs(s.hours_ago - hours_ago), s.hours_ago),
        default=None,
    )


def reading_observations(case: Case, timeline: Timeline) -> list[Observation]:
    """The latest reading of every kind taken in the container, and oxygen before light."""
    found = []
    for what, name in OBSERVED.items():
        sample = latest(case, timeline, what)
        if sample is not None:
            found.append(observed(name, sample.value, "measured", sample.because))
    found += _oxygen_before_light(case, timeline)
    return found


def _oxygen_before_light(case: Case, timeline: Timeline) -> Iterator[Observation]:
    dark = [
        sample
        for sample in samples(case, timeline, "oxygen")
        if sample.clock_told
        and BEFORE_LIGHT[0] <= clock_hour(timeline, sample.hours_ago) <= BEFORE_LIGHT[1]
    ]
    if dark:
        lowest = min(dark, key=lambda sample: (sample.value, sample.hours_ago))
        yield observed("oxygen_dawn_mg_l", lowest.value, "measured", lowest.because)


def clock_hour(timeline: Timeline, hours_ago: float) -> float:
    """The hour of the day, 0 to 24, that many hours before the asking."""
    asked = timeline.asked_at.hour + timeline.asked_at.minute / 60.0
    return (asked - hours_ago) % HOURS_PER_DAY


def _because(reading: Reading, where: str) -> str:
    place = "" if where == "container" else f" of the {where.replace('_', ' ')}"
    told = f", {when(reading.at)}" if reading.at is not None else ""
    written = f": {reading.as_written}" if reading.as_written else ""
    row = f"{reading.logged}: " if reading.logged else ""
    return f"{row}reading{place}{told}{written}"
