"""From a case to its observations: everything it says, one observation to a name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.findings.chemistry import (
    chemistry_observations,
    range_observations,
    solids_from_conductivity,
)
from diagnose.findings.deaths import death_observations
from diagnose.findings.density import SpeciesProfile, stocking_observations
from diagnose.findings.events import event_observations
from diagnose.findings.log_drift import drift_observations
from diagnose.findings.observation import Observation, Origin
from diagnose.findings.readings import reading_observations
from diagnose.findings.timeline import timeline_of
from diagnose.findings.told import answered, described
from diagnose.findings.water_changes import change_observations
from diagnose.intake.problems import CaseError, CaseErrors

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term

#: What is believed first where two origins speak of the same thing.
_PRECEDENCE: dict[Origin, int] = {"measured": 0, "told": 1, "derived": 2, "estimated": 3}


def observe(
    case: Case,
    vocabulary: Mapping[str, Term],
    species: SpeciesProfile,
    *,
    now: datetime,
) -> tuple[Observation, ...]:
    """What the case says in the vocabulary's words, sorted by name, one observation to a name.

    What was measured goes before what was told, that before what the log or the chemistry derives,
    and that before estimates. now: the time of asking where the case tells none. Neither the order
    of readings and events nor repeats among them matter; what was not told makes no observation.
    Raises CaseErrors where the keeper says two things that exclude each other.
    """
    timeline = timeline_of(case, now)
    said = [
        *answered(case),
        *described(case),
        *event_observations(case, timeline, vocabulary),
    ]
    _refuse_contradictions(case, said)
    known = _settled(
        [
            *said,
            *reading_observations(case, timeline),
            *solids_from_conductivity(case, timeline),
            *drift_observations(case, timeline),
            *change_observations(case, timeline),
            *stocking_observations(case, timeline, species),
            *death_observations(case, timeline),
        ],
        vocabulary,
    )
    chemistry = chemistry_observations(case, timeline, known)
    known = _settled([*known.values(), *chemistry], vocabulary)
    outside = range_observations(case, timeline, known, species)
    known = _settled([*known.values(), *outside], vocabulary)
    return tuple(known[name] for name in sorted(known))


def _settled(
    found: Iterable[Observation], vocabulary: Mapping[str, Term]
) -> dict[str, Observation]:
    """One observation to a name, of the best origin and among these the first; each a word or a
    number that the vocabulary allows.
    """
    best: dict[str, Observation] = {}
    for item in found:
        term = vocabulary.get(item.name)
        fitting = None if term is None else _fitting(item, term)
        if fitting is None:
            continue
        rival = best.get(item.name)
        if rival is None or _PRECEDENCE[fitting.origin] < _PRECEDENCE[rival.origin]:
            best[item.name] = fitting
    return best


def _fitting(item: Observation, term: Term) -> Observation | None:
    """The observation as the vocabulary allows it; None for a word or a kind it does not know.

    A number beyond what is held possible becomes the last possible one: the strongest dose is
    still a dose.
    """
    if term.kind != "number":
        words = ("present", "absent") if term.kind == "sign" else tuple(term.choices)
        return item if item.value in words else None
    if isinstance(item.value, str) or not math.isfinite(item.value):
        return None
    low, high = term.possible or (-math.inf, math.inf)
    band = item.band
    if band is not None:
        band = (
            _within(band[0], low, high),
            _within(band[1], low, high),
            _within(band[2], low, high),
        )
    value = _within(float(item.value), low, high)
    if value == item.value and band == item.band and isinstance(item.value, float):
        return item
    return replace(item, value=value, band=band)


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _refuse_contradictions(case: Case, said: Iterable[Observation]) -> None:
    """Raises CaseErrors for a sign or choice that the keeper gave two different answers to."""
    told: dict[str, Observation] = {}
    problems = []
    for item in said:
        if item.origin != "told" or not isinstance(item.value, str):
            continue
        other = told.setdefault(item.name, item)
        if other.value != item.value:
            problem = (
                f"it is both `{other.value}` ({other.because}) and `{item.value}` ({item.because})."
            )
            problems.append(CaseError(case.case, None, item.name, problem, "Keep the true one."))
    if problems:
        raise CaseErrors(tuple(problems))
