"""Triage: from one case to ranked likely causes, next steps, checks and cautions."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from diagnose.advice.plan import Plan, plan
from diagnose.belief.belief import Beliefs, Standing, believe
from diagnose.belief.firmness import Firmness, firmness
from diagnose.belief.next_checks import (
    Check,
    candidates,
    check_of,
    next_checks,
    overturning,
    standpoint,
    worthiest,
)
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference, Trace
from diagnose.inference.unknown import trace_without
from diagnose.rulebook.terms import Rulebook

#: How many open questions are tried out on the engine, and how many are shown.
CHECKS_TRIED, CHECKS_SHOWN = 24, 5
#: More than two further causes are no longer a help.
ALSO_SHOWN = 2


class Diagnosis(NamedTuple):
    """The answer to one case. `overturn` is the single answer that would put another cause
    first.
    """

    trace: Trace
    beliefs: Beliefs
    firmness: Firmness
    also_at_work: tuple[Standing, ...]
    threats: tuple[Standing, ...]
    checks: tuple[Check, ...]
    overturn: tuple[str, str | float, str] | None
    plan: Plan


def diagnose(rulebook: Rulebook, observations: Iterable[Observation]) -> Diagnosis:
    """The diagnosis that these observations support.

    The order of the observations and repeats among them never change it.
    """
    known = {item.name: item for item in observations}
    inference = Inference(rulebook, known)
    trace = inference.run(known.values())
    beliefs = believe(rulebook, trace)
    checks = _checks(rulebook, inference, trace, beliefs)
    found = overturning(checks, beliefs.first.cause)
    return Diagnosis(
        trace=trace,
        beliefs=beliefs,
        firmness=firmness(beliefs, rulebook.ranking),
        also_at_work=also_at_work(rulebook, beliefs),
        threats=threats(rulebook, beliefs),
        checks=checks[:CHECKS_SHOWN],
        overturn=(found[0].name, found[1].answer, found[1].first) if found else None,
        plan=plan(rulebook, trace, beliefs),
    )


def open_checks(rulebook: Rulebook, observations: Iterable[Observation]) -> tuple[Check, ...]:
    """Everything that is worth finding out after these observations, not only what is shown."""
    known = {item.name: item for item in observations}
    inference = Inference(rulebook, known)
    trace = inference.run(known.values())
    return _checks(rulebook, inference, trace, believe(rulebook, trace))


def _checks(
    rulebook: Rulebook, inference: Inference, trace: Trace, beliefs: Beliefs
) -> tuple[Check, ...]:
    """What is worth finding out, among it what would replace an estimate by a measurement."""
    known = trace.observations
    tried = candidates(rulebook, beliefs, trace, CHECKS_TRIED)
    guesses = [name for name in tried if name in known]
    fresh = [name for name in tried if name not in known]
    supposing = Inference(rulebook, [*known, *fresh], touching=fresh)
    supposing.run(known.values())
    checks = next_checks(rulebook, supposing, trace, beliefs, fresh)
    if not guesses:
        return checks
    before = standpoint(rulebook, trace, beliefs)
    instead = []
    for name in guesses:
        engine = Inference(rulebook, known, touching=[name])
        engine.run(item for item in known.values() if item.name != name)
        lacking = trace_without(trace, name, inference)
        instead.append(check_of(rulebook, engine, before, name, lacking))
    return worthiest([*checks, *instead])


def also_at_work(rulebook: Rulebook, beliefs: Beliefs) -> tuple[Standing, ...]:
    """Causes that are not the main one but whose own odds are high: small containers fail for two
    reasons at once.

    A cause needs weight of its own that the main cause does not explain, or twice as much that
    it does.
    """
    settings = rulebook.ranking
    if _all_is_well(rulebook, beliefs):
        return ()
    explained = {name for a in beliefs.first.arguments if a.speaks_for for name in a.firing.names}
    found = []
    for standing in beliefs.standings[1:]:
        unexplained = math.fsum(
            a.decibans
            for a in standing.arguments
            if a.evidence.owner == standing.cause
            and not (a.speaks_for and explained.issuperset(a.firing.names))
        )
        if (
            max(unexplained, standing.own_decibans / 2) >= settings.also_at_work_decibans
            and standing.score >= settings.also_at_work_score
            and not rulebook.mechanisms[standing.mechanism].harmless
        ):
            found.append(standing)
    return tuple(found[:ALSO_SHOWN])


def threats(rulebook: Rulebook, beliefs: Beliefs) -> tuple[Standing, ...]:
    """What was told that can still do harm where nobody is known to have died and all seems well,
    likeliest first; `belief` is then how likely it does harm, whatever else is at hand.

    Several may threaten at once, so each is believed by its own odds: its base rate and what speaks
    for it, against nothing.
    """
    settings = rulebook.ranking
    if not _all_is_well(rulebook, beliefs):
        return ()
    found = []
    for standing in beliefs.standings[1:]:
        told = any(
            a.speaks_for and a.evidence.owner == standing.cause and not a.firing.estimated
            for a in standing.arguments
        )
        odds = 10.0 ** (standing.score / 10.0)
        belief = odds / (1.0 + odds)
        if (
            told
            and standing.evidence_decibans >= settings.threat_decibans
            and belief >= settings.threat_belief
            and not rulebook.mechanisms[standing.mechanism].harmless
        ):
            found.append(standing._replace(belief=belief))
    found.sort(key=lambda standing: (-standing.belief, standing.cause))
    return tuple(found[:ALSO_SHOWN])


def _all_is_well(rulebook: Rulebook, beliefs: Beliefs) -> bool:
    harmless = rulebook.mechanisms[beliefs.first.mechanism].harmless
    return beliefs.question == "no_losses" and harmless
