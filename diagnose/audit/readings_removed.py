"""The worked cases with every reading taken out, with the container model's estimates in their
place and without: what estimates are worth, and how often they meet what was measured.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Final, Literal

from diagnose.audit.exercise import Exercise, Expected
from diagnose.audit.marks import Marks, marks
from diagnose.audit.trial import Trial, try_exercise
from diagnose.bowl.description import Quantity
from diagnose.findings import observe
from diagnose.findings.observed_case import ObservedCase, observed_case, with_estimates
from diagnose.intake.case import Case
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

#: What is left of a case besides its container, stock and deaths: all that was told, seen and
#: logged; half of it, as a hurried keeper remembers; or the log alone.
Left = Literal["all", "half", "log"]
LEFT: Final[tuple[Left, ...]] = ("all", "half", "log")
EYES = ("", "eyes")
#: What a keeper reads to know a thing that is also estimated; its error is the container model's.
READ_AS: Final[dict[str, Quantity]] = {
    "oxygen_dawn_mg_l": "oxygen_mg_l",
    "temperature_max_c": "temperature_c",
    "temperature_min_c": "temperature_c",
    "tan_mg_l": "tan_mg_l",
    "nitrite_mg_l": "nitrite_mg_l",
}
#: Errors of what is worked out from two readings: a fixed part in its unit, and a share of the
#: value (from memory).
WORKED_OUT: Final[dict[str, tuple[float, float]]] = {
    "temperature_swing_c": (0.7, 0.0),
    "nh3_mg_l": (0.005, 0.50),
    "solids_rise_percent": (10.0, 0.10),
}


@dataclass(frozen=True, slots=True)
class Pair:
    """One case without its readings, tried without estimates and with them. estimated: whether
    there were any.
    """

    without: Trial
    with_estimates: Trial
    estimated: bool


@dataclass(frozen=True, slots=True)
class Met:
    """How often a measured value lay within the band estimated without it (which holds eight of ten
    runs), give or take the error of the reading; above and below: of the others.
    """

    name: str
    measured: int
    within: int
    above: int
    below: int


def groups(left: Left) -> tuple[str, str]:
    """Names of the two groups of marks: without estimates, and with."""
    return f"unread-{left}", f"estimated-{left}"


def measured_names(rulebook: Rulebook) -> frozenset[str]:
    """Answers that only an instrument gives."""
    return frozenset(name for name, t in rulebook.vocabulary.items() if t.needs not in EYES)


def stripped(
    rulebook: Rulebook, observed: ObservedCase, *, now: datetime, left: Left = "all"
) -> ObservedCase:
    """The case without its readings and without what is not left."""
    case = observed.case
    instruments = measured_names(rulebook)
    told = {name: value for name, value in case.told.items() if name not in instruments}
    case = case.model_copy(update={"readings": (), "told": told} | _remembered(case, told, left))
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    seen = observe(
        case, rulebook.vocabulary, species, rulebook.companions, now=case.asked_at or now
    )
    return replace(observed, case=case, observations=seen)


def _remembered(case: Case, told: dict[str, str | float | bool], left: Left) -> dict[str, object]:
    if left == "all":
        return {}
    if left == "log":
        return {"told": {}, "seen": (), "not_seen": ()}

    def kept(name: str) -> bool:
        # Half of what there is, the same in every run.
        return zlib.crc32(f"{case.case}/{name}".encode()) % 2 == 0

    return {
        "told": {name: value for name, value in told.items() if kept(name)},
        "seen": tuple(filter(kept, case.seen)),
        "not_seen": tuple(filter(kept, case.not_seen)),
        "events": tuple(event for event in case.events if kept(event.what)),
    }


def pairs(
    rulebook: Rulebook, folder: Path, ranges_in: Path, *, now: datetime, left: Left = "all"
) -> Iterator[Pair]:
    """Every case of a folder that says what it expects. ranges_in: the folder with the container
    model's parameters.
    """
    for name, found in _expecting(rulebook, folder, now):
        bare = stripped(rulebook, found, now=now, left=left)
        yield pair(rulebook, bare, name, ranges_in, now=now)


def pair(
    rulebook: Rulebook, observed: ObservedCase, name: str, ranges_in: Path, *, now: datetime
) -> Pair:
    """One case that says what it expects, tried without estimates and with them."""
    expect = observed.case.expect
    assert expect is not None
    expected = Expected(frozenset(expect.first), also=frozenset(expect.also))
    more = with_estimates(rulebook, observed, ranges_in, now=now)

    def tried(seen: ObservedCase) -> Trial:
        exercise = Exercise(name, expect.split, expect.thin, expected, seen.observations)
        return try_exercise(rulebook, exercise)[0]

    without = tried(observed)
    estimated = more.observations != observed.observations
    return Pair(without, tried(more) if estimated else without, estimated)


def effect(tried: Mapping[Left, Sequence[Pair]]) -> dict[str, Marks]:
    """Marks of cases with their readings removed, by what else is left: without estimates, and
    with.
    """
    found: dict[str, Marks] = {}
    for left, all_pairs in tried.items():
        without, estimated = groups(left)
        for name, trials in (
            (without, [one.without for one in all_pairs]),
            (estimated, [one.with_estimates for one in all_pairs]),
        ):
            mark = marks(trials)
            if mark is not None:
                found[name] = mark
    return found


def met(
    rulebook: Rulebook, folder: Path, tried: Iterable[Pair], *, now: datetime
) -> tuple[Met, ...]:
    """How often the estimates of a folder's cases, made without the readings, meet the readings.

    tried: the pairs of the folder with nothing but the readings removed.
    """
    from diagnose.bowl.likelihood import USUAL_ERROR

    errors = {name: USUAL_ERROR[quantity] for name, quantity in READ_AS.items()} | WORKED_OUT
    guessed = {pair.without.exercise.name: pair.with_estimates.exercise for pair in tried}
    counts: dict[str, list[int]] = {}
    for name, found in _expecting(rulebook, folder, now):
        measured = {o.name: o for o in found.observations if o.origin in ("measured", "derived")}
        for guess in guessed[name].observations:
            reading = measured.get(guess.name)
            error = errors.get(guess.name)
            if guess.band is None or reading is None or error is None:
                continue
            value = float(reading.value)
            slack = error[0] + error[1] * value
            low, _, high = guess.band
            row = counts.setdefault(guess.name, [0, 0, 0])
            row[(value > high + slack) - (value < low - slack)] += 1
    return tuple(
        Met(name, sum(row), within=row[0], above=row[1], below=row[-1])
        for name, row in sorted(counts.items())
    )


def _expecting(
    rulebook: Rulebook, folder: Path, now: datetime
) -> Iterable[tuple[str, ObservedCase]]:
    for file in sorted(folder.rglob("*.yaml")):
        found = observed_case(file, rulebook, now=now)
        if found.case.expect is not None and found.case.expect.first:
            yield file.stem, found
