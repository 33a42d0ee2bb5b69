"""From a case to its observations: everything it says, one observation to a name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.findings.aftermath import aftermath_observations
from diagnose.findings.chemistry import (
    chemistry_observations,
    range_observations,
    solids_from_conductivity,
)
from diagnose.findings.companions import Companion, with_arrivals
from diagnose.findings.deaths import death_observations
from diagnose.findings.density import SpeciesProfile, stocking_observations
from diagnose.findings.doses import dose_observations
from diagnose.findings.events import event_observations
from diagnose.findings.log_drift import drift_observations
from diagnose.findings.observation import Observation, Origin
from diagnose.findings.readings import reading_observations
from diagnose.findings.timeline import timeline_of
from diagnose.findings.told import answered, described, implied
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
    companions: Mapping[str, Companion],
    *,
    now: datetime,
) -> tuple[Observation, ...]:
    """What the case says in the vocabulary's words, sorted by name, one observation to a name.

    What was measured goes before what was told, that before what the log or the chemistry derives,
    and that before estimates. now: the time of asking where the case tells none. Neither the order
    of what is dated nor repeats matter; what was not told makes no observation.
    Raises CaseErrors where the keeper says two things that exclude each other.
    """
    case = with_arrivals(case, companions)
    timeline = timeline_of(case, now, vocabulary)
    said = [
        *answered(case),
        *described(case, companions),
        *event_observations(case, timeline, vocabulary),
        *aftermath_observations(case, timeline, vocabulary),
    ]
    _refuse_contradictions(case, said)
    known = _settled(
        [
            *said,
            *implied(said, vocabulary),
            *reading_observations(case, timeline),
            *solids_from_conductivity(case, timeline),
            *drift_observations(case, timeline),
            *change_observations(case, timeline),
            *dose_observations(case, timeline),
            *stocking_observations(case, timeline, species),
            *death_observations(case, timeline),
        ],
        vocabulary,
    )
    chemistry = chemistry_observations(case, timeline, known)
    known = _settled([*known.values(), *chemistry], vocabulary)
    outside = range_observations(case, timeline, known, species)
    known = _settled([*known.values(), *outside], vocabulary)
    return _by_channel(case, [known[name] for name in sorted(known)])


def _by_channel(case: Case, found: list[Observation]) -> tuple[Observation, ...]:
    """The observations, those marked that were only told on being asked: by their own name, by the
    name of what was said, or as what follows from a statement that answers a question.
    """
    asked = {*case.asked}
    statements = {item.statement for item in found if item.name in asked and item.statement}
    return tuple(
        replace(item, asked=True)
        if item.name in asked or item.statement in asked | statements
        else item
        for item in found
    )


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
        if item.either is not None:
            return _either(item, tuple(word for word in item.either if word in words))
        return item if item.value in words else None
    if isinstance(item.value, str) or not math.isfinite(item.value):
        return None
    low, high = term.possible or (-math.inf, math.inf)
    if item.span is not None:
        item = _span_closed(item, item.span, term)
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


def _span_closed(item: Observation, span: tuple[float, float], term: Term) -> Observation:
    """The observation with the middle of its span as its value: an open end is closed at what is
    still plausible, and neither lies beyond what is possible.
    """
    low, high = span
    possible = term.possible or span
    plausible = term.plausible or possible
    if math.isinf(low):
        low = min(plausible[0], high) if high > possible[0] else possible[0]
    if math.isinf(high):
        high = max(plausible[1], low) if low < plausible[1] else max(possible[1], low)
    low, high = _within(low, *possible), _within(high, *possible)
    if not (math.isfinite(low) and math.isfinite(high)):
        return replace(item, span=None)
    return replace(item, value=0.5 * (low + high), span=(low, high) if low < high else None)


def _either(item: Observation, words: tuple[str, ...]) -> Observation | None:
    """The observation with those words alone that the vocabulary knows."""
    if not words:
        return None
    return replace(item, value=words[0], either=words if len(words) > 1 else None)


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
