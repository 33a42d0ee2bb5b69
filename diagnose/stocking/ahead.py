"""What the place will bring: heat and cold to come, bacteria still growing, deaths of late."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from diagnose.findings.density import animals_told
from diagnose.findings.observation import Observation
from diagnose.findings.readings import samples
from diagnose.findings.timeline import (
    FORTNIGHT_H,
    HOURS_PER_DAY,
    Timeline,
    distinct_counts,
    distinct_events,
    timeline_of,
)
from diagnose.intake.case import Case
from diagnose.rulebook.terms import Number, Rulebook, Species

Known = Mapping[str, Observation]
#: Events that tell of a dead animal of any kind.
DEATHS = ("death", "death-unnoticed")
#: States of other animals that say they ail; a number that is only gone may have been given away.
AILING = ("climbing_out", "gasping", "dying", "dead")
#: Rot that makes ammonia in a container without animals: then it is no cycle to be left alone.
ROT = ("body_left_inside", "plants_melting", "foul_smell", "egg_smell")


def ahead(
    case: Case, known: Known, rulebook: Rulebook, species: Species, now: datetime
) -> Iterator[Observation]:
    """All of it, in the rulebook's words. now: the time of asking where the case tells none."""
    timeline = timeline_of(case, now)
    yield from _warmth(case, known, timeline, species, rulebook.numbers)
    yield from state(case, known, rulebook, timeline)


def state(
    case: Case, known: Known, rulebook: Rulebook, timeline: Timeline
) -> Iterator[Observation]:
    """How the container stands whoever is to come: its deaths, its companions, its bacteria."""
    yield from _companions(case, known)
    days = days_since_a_death(case, timeline)
    past = days is not None and days >= FORTNIGHT_H / HOURS_PER_DAY
    because = "no death has a time"
    if days is not None:
        because = f"the last death that was told of: {days:.0f} days ago"
        yield Observation("days_since_a_death", days, "derived", because)
    yield Observation("deaths_past", "present" if past else "absent", "derived", because)
    yield cycle(case, known, rulebook.numbers)


def inhabited(case: Case) -> bool:
    """Whether any animal lives there, or may: only a count of none says that none does."""
    return animals_told(case) != 0 or any(
        item.count != 0 and not item.gone for item in case.stock.others
    )


def sun_unsaid(case: Case, known: Known) -> bool:
    """Whether it stands at a window to the sun and nobody said how much of it falls in, nor how
    warm the room gets.
    """
    box = case.container
    sunny = box.window in ("east", "south", "west")
    return sunny and "sun" not in known and box.room_max_c is None


def days_since_a_death(case: Case, timeline: Timeline) -> float | None:
    """Days since the last death of any animal that has a time; None where none has."""
    deaths = case.deaths
    moments = [
        event.at for event in distinct_events(case) if event.what in DEATHS and event.count != 0
    ]
    moments += [moment for moment, _ in distinct_counts(case)]
    if deaths is not None and deaths.dead != 0:
        moments += [deaths.first, deaths.last]
    gone = [
        hours
        for moment in moments
        if moment is not None and (hours := timeline.hours_ago(moment)) is not None
    ]
    return max(0.0, min(gone)) / HOURS_PER_DAY if gone else None


def _companions(case: Case, known: Known) -> Iterator[Observation]:
    """Whether other animals in there ail; nothing where nobody said how they are."""
    states = {item.kind: item.state for item in case.stock.others if item.count != 0 and item.state}
    ailing = [f"{kind}: {state}" for kind, state in states.items() if state in AILING]
    told = {"snails_state": ("climbing_out", "dead"), "fish_state": ("gasping", "dead")}
    ailing += [
        f"{name.removesuffix('_state')}: {known[name].value}"
        for name, words in told.items()
        if name in known and known[name].value in words
    ]
    if ailing:
        because = ", ".join(sorted(ailing)).replace("_", " ")
        yield Observation("companions_ail", "present", "derived", because)
    elif states or any(name in known for name in told):
        yield Observation("companions_ail", "absent", "derived", "told of the other animals")


def _warmth(
    case: Case, known: Known, timeline: Timeline, species: Species, numbers: Mapping[str, Number]
) -> Iterator[Observation]:
    low, high = species.comfortable["temperature_c"]
    range_ = f"they are comfortable from {low:g} to {high:g} C"
    hottest = _hottest(case, known, timeline, numbers)
    if hottest is not None:
        by = max(0.0, hottest[0] - high)
        because = f"{hottest[1]}: up to {hottest[0]:.0f} C; {range_}"
        yield Observation("heat_to_come_c", by, "derived", because)
    coldest = _coldest(case, timeline, numbers)
    if coldest is not None:
        by = max(0.0, low - coldest[0])
        because = f"{coldest[1]}: down to {coldest[0]:.0f} C; {range_}"
        yield Observation("cold_to_come_c", by, "derived", because)


def _hottest(
    case: Case, known: Known, timeline: Timeline, numbers: Mapping[str, Number]
) -> tuple[float, str] | None:
    """The warmest the water is to be expected there, and why; None where nothing tells of it.

    A record shows what the sun did; onto the air of the room, or a single reading, the sun comes.
    """
    box = case.container
    sun = known.get("sun")
    word = str(sun.value) if sun is not None else "none"
    rise = numbers[f"sun_rise_c_{word}"].value if word in ("short", "long") else 0.0
    with_sun = f" with {word} sun on the glass" if rise else ""
    found: list[tuple[float, str]] = []
    room = max((c for c in (box.room_max_c, box.room_temperature_c) if c is not None), default=None)
    if room is not None:
        found.append((room + rise, f"the room{with_sun}"))
    record = _record(case, timeline, numbers)
    now = known.get("temperature_c")
    if len(record) > 1:
        found.append((max(record), "its record"))
    elif now is not None and isinstance(now.value, float) and room is None:
        found.append((now.value + rise, f"the reading{with_sun}"))
    return max(found, default=None)


def _coldest(
    case: Case, timeline: Timeline, numbers: Mapping[str, Number]
) -> tuple[float, str] | None:
    """The coldest the water is to be expected there, and why; a working heater keeps cold out."""
    box = case.container
    if box.heater == "working":
        return None
    found: list[tuple[float, str]] = []
    room = min((c for c in (box.room_min_c, box.room_temperature_c) if c is not None), default=None)
    if room is not None:
        found.append((room, "the room"))
    record = _record(case, timeline, numbers)
    if len(record) > 1:
        found.append((min(record), "its record"))
    return min(found, default=None)


def _record(case: Case, timeline: Timeline, numbers: Mapping[str, Number]) -> list[float]:
    longest_h = numbers["record_days"].value * HOURS_PER_DAY
    return [s.value for s in samples(case, timeline, "temperature") if s.hours_ago <= longest_h]


def cycle(case: Case, known: Known, numbers: Mapping[str, Number]) -> Observation:
    """How far a cycle is that is run without animals; `none` where none is run, or it is done."""
    stage = "none"
    if _is_cycle(case, known, numbers):
        stage = _stage(known, numbers)
    return Observation("empty_cycle", stage, "derived", "no animals in there, and the tests so far")


def _is_cycle(case: Case, known: Known, numbers: Mapping[str, Number]) -> bool:
    if inhabited(case):
        return False
    if any(name in known and known[name].value == "present" for name in ("fish_kept", *ROT)):
        return False
    fed = known.get("ammonia_fed")
    if fed is not None:
        return fed.value == "present"
    age = case.container.age_days
    return age is not None and age <= numbers["cycle_days_most"].value


def _stage(known: Known, numbers: Mapping[str, Number]) -> str:
    ammonia, nitrite = (_value(known, name) for name in ("tan_mg_l", "nitrite_mg_l"))
    there = ammonia is not None and ammonia >= numbers["cycle_ammonia_mg_l"].value
    if nitrite is None:
        return "untested" if there else "none"
    if nitrite >= numbers["cycle_nitrite_mg_l"].value:
        return "first_step" if there else "second_step"
    if not there:
        return "none"
    nitrate = _value(known, "nitrate_mg_l") or 0.0
    return "first_step" if nitrate >= numbers["cycle_nitrate_mg_l"].value else "not_begun"


def _value(known: Known, name: str) -> float | None:
    item = known.get(name)
    return item.value if item is not None and isinstance(item.value, float) else None
