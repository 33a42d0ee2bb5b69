"""The worked cases with every reading taken out, with the container model's estimates in their
place and without: what estimates are worth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from diagnose.audit.exercise import Exercise, Expected
from diagnose.audit.marks import Marks, marks
from diagnose.audit.trial import Trial, try_exercise
from diagnose.case_observed import ObservedCase, observed_case, with_estimates
from diagnose.findings import observe
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

#: Names of the groups of marks.
UNREAD, ESTIMATED = "unread", "estimated"
EYES = ("", "eyes")


@dataclass(frozen=True, slots=True)
class Pair:
    """One case without its readings, tried without estimates and with them. estimated: whether
    there were any.
    """

    without: Trial
    with_estimates: Trial
    estimated: bool


def measured_names(rulebook: Rulebook) -> frozenset[str]:
    """Answers that only an instrument gives."""
    return frozenset(name for name, t in rulebook.vocabulary.items() if t.needs not in EYES)


def stripped(
    rulebook: Rulebook, observed: ObservedCase, *, now: datetime, also_seen: bool = False
) -> ObservedCase:
    """The case without its readings; also_seen: without what was seen and told as well."""
    case = observed.case
    instruments = measured_names(rulebook)
    told = {name: value for name, value in case.told.items() if name not in instruments}
    left: dict[str, object] = {"readings": (), "told": {} if also_seen else told}
    if also_seen:
        left |= {"seen": (), "not_seen": ()}
    case = case.model_copy(update=left)
    species = species_of(rulebook, case.stock.species)
    seen = observe(case, rulebook.vocabulary, species, now=case.asked_at or now)
    return replace(observed, case=case, observations=seen)


def pairs(
    rulebook: Rulebook, folder: Path, ranges_in: Path, *, now: datetime, also_seen: bool = False
) -> Iterator[Pair]:
    """Every case of a folder that says what it expects. ranges_in: the folder with the container
    model's parameters.
    """
    for file in sorted(folder.rglob("*.yaml")):
        found = observed_case(file, rulebook, now=now)
        if found.case.expect is None or not found.case.expect.first:
            continue
        bare = stripped(rulebook, found, now=now, also_seen=also_seen)
        yield pair(rulebook, bare, file.stem, ranges_in, now=now)


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
    return Pair(without, without if more is observed else tried(more), more is not observed)


def effect(rulebook: Rulebook, folder: Path, ranges_in: Path, *, now: datetime) -> dict[str, Marks]:
    """Marks of the cases of a folder with their readings removed: without estimates, and with."""
    found = tuple(pairs(rulebook, folder, ranges_in, now=now))
    groups = {
        UNREAD: marks([one.without for one in found]),
        ESTIMATED: marks([one.with_estimates for one in found]),
    }
    return {name: mark for name, mark in groups.items() if mark is not None}
