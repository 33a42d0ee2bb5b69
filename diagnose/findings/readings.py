"""What instruments said: the readings of one kind in time order, and the latest of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, observed
from diagnose.findings.timeline import (
    HOURS_PER_DAY,
    Age,
    Timeline,
    last_death_hours_ago,
    when,
)
from diagnose.intake.rough import ends, rough
from diagnose.intake.told_readings import OBSERVED

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Reading

#: The observation that says for how long a reading holds, where that has another name.
_AGES_AS = {"conductivity": "solids_mg_l"}
#: What a change of water thins out: read after one that was to help, it tells of the new water.
THINNED = frozenset(OBSERVED) - {"temperature", "oxygen", "oxygen_percent"} | {"conductivity"}
#: Events that renew the water.
RENEWS_WATER = ("water-change", "scrubbed")
#: Clock hours between which a reading is one before the light of the day (common practice, no
#: source).
BEFORE_LIGHT = (3.0, 7.0)
DAWN_OXYGEN = "oxygen_dawn_mg_l"


@dataclass(frozen=True, slots=True)
class Sample:
    """One reading: its value in the unit of its kind (a Rough if told no closer), the hours from
    it to the asking (0 where no time was told), where it comes from in words, and the statement it
    stands in.
    """

    value: float
    hours_ago: float
    timed: bool
    clock_told: bool
    because: str
    statement: str = field(default="", compare=False)


def samples(case: Case, timeline: Timeline, what: str, where: str = "container") -> list[Sample]:
    """The readings of one kind at one place, newest first; several at one time become their mean.

    Neither the order in which they were written nor repeats among them matter. A reading without a
    time is taken as the present state, but yields to one taken at the time of asking.
    """
    at_time: dict[tuple[float, bool], dict[tuple[float, float], Reading]] = {}
    rows: dict[int, int] = {}
    for row, reading in enumerate(case.readings):
        rows.setdefault(id(reading), row)
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
        statement = f"readings[{rows[id(first)]}]"
        because = _because(first, where)
        found.append(Sample(rough(low, high), ago, timed, clock, because, statement))
    return sorted(found, key=lambda sample: (sample.hours_ago, not sample.timed))


def latest(case: Case, timeline: Timeline, what: str, where: str = "container") -> Sample | None:
    """The newest reading of a kind that still holds: taken after the first harm, or no longer
    before it than the vocabulary says a reading of its kind holds.

    Water that was changed to help reads as the new water, so a reading from before that goes first.
    """
    age = age_of(timeline, what) if where == "container" else Age()
    limit = timeline.harm_hours_ago() + age.holds_h
    found = [s for s in samples(case, timeline, what, where) if s.hours_ago <= limit]
    if where == "container" and what in THINNED:
        renewed = renewed_hours_ago(timeline)
        if renewed is not None:
            before = [s for s in found if s.timed and s.hours_ago >= renewed]
            found = before or found
    return found[0] if found else None


def age_of(timeline: Timeline, what: str) -> Age:
    """For how long readings of a kind hold and matter."""
    return timeline.ages.get(_AGES_AS.get(what, OBSERVED.get(what, what)), Age())


def renewed_hours_ago(timeline: Timeline) -> float | None:
    """Hours from the first renewal of the water after the first death to the asking."""
    if timeline.died != "some":
        return None
    after = [
        ago
        for placed in timeline.log
        if placed.event.what in RENEWS_WATER
        and placed.side == "after"
        and placed.event.at is not None
        and (ago := timeline.hours_ago(placed.event.at)) is not None
    ]
    return max(after, default=None)


def within_window(found: list[Sample], timeline: Timeline, name: str) -> list[Sample]:
    """The timed readings that can have to do with the harm: not longer before it than the
    vocabulary says of the observation made of them.
    """
    limit = timeline.harm_hours_ago() + timeline.ages.get(name, Age()).matters_h
    return [sample for sample in found if sample.timed and sample.hours_ago <= limit]


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
            found.append(
                observed(name, sample.value, "measured", sample.because, statement=sample.statement)
            )
    found += _oxygen_before_light(case, timeline)
    found += _said_of_all(case, timeline)
    return found


def _said_of_all(case: Case, timeline: Timeline) -> Iterator[Observation]:
    """What was said of all values together, none of them named."""
    sample = latest(case, timeline, "values")
    if sample is not None:
        word = "present" if sample.value == 1.0 else "absent"
        yield Observation(
            "values_said_fine", word, "told", sample.because, statement=sample.statement
        )


def _oxygen_before_light(case: Case, timeline: Timeline) -> Iterator[Observation]:
    """The reading before light that lies nearest to the last death (to the asking, where nobody is
    told to have died): an older low does not outlive a newer one.
    """
    dark = [
        sample
        for sample in within_window(samples(case, timeline, "oxygen"), timeline, DAWN_OXYGEN)
        if sample.clock_told
        and BEFORE_LIGHT[0] <= clock_hour(timeline, sample.hours_ago) <= BEFORE_LIGHT[1]
    ]
    if dark:
        dying = _dying_hours_ago(case, timeline)
        then = min(dark, key=lambda sample: (abs(sample.hours_ago - dying), sample.hours_ago))
        yield observed(DAWN_OXYGEN, then.value, "measured", then.because, statement=then.statement)


def _dying_hours_ago(case: Case, timeline: Timeline) -> float:
    """Hours from the last death that is placed to the asking; 0 where there is none."""
    last = last_death_hours_ago(case, timeline)
    return timeline.harm_hours_ago() if last is None else max(0.0, last)


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
