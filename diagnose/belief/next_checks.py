"""What to find out next: the expected gain of information about the cause, per minute of the
keeper's time.

An answer's chance is the rulebook's share for it, reweighed by what each contender makes of it;
its gain is the divergence (bits) of the beliefs after it from those before (S. Kullback, R. A.
Leibler 1951).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from diagnose.belief.belief import (
    UNEXPLAINED,
    Argument,
    Beliefs,
    Score,
    question_of,
    score,
    shares_of,
    total_decibans,
    weigh,
    weigh_firings,
)
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.terms import Rulebook, Term

EYES = "eyes"
#: Shares below this of all belief are not worth a question of their own.
WORTH_ASKING_ABOUT = 0.02
#: A check is put together and fetched once, however short the look: minutes added to each.
SETTING_OUT_MINUTES = 0.5
#: Gains below this many bits are noise in the shares the rulebook guesses.
LEAST_GAIN_BITS = 0.01


class Prospect(NamedTuple):
    """One answer to a check: its chance, what it would put first, and that cause's belief then."""

    answer: str | float
    chance: float
    first: str
    belief: float


class Check(NamedTuple):
    """An observation worth making: expected gain in bits, minutes it costs, and what answers
    would do.
    """

    name: str
    gain_bits: float
    minutes: float
    prospects: tuple[Prospect, ...]

    @property
    def bits_a_minute(self) -> float:
        """Bits per minute."""
        return self.gain_bits / (self.minutes + SETTING_OUT_MINUTES)


class Standpoint(NamedTuple):
    """What is believed before a check, with what it takes to think on from there."""

    trace: Trace
    shares: Mapping[str, float]
    scores: Mapping[str, Score]
    totals: Mapping[str, float]
    weighed: Mapping[str, list[Argument]]


def askable(term: Term, trace: Trace) -> bool:
    """Whether a keeper of this container can be asked: not known, not derived, and not beside
    the point.
    """
    if term.derived or (term.name in trace.observations and not guessed(term, trace)):
        return False
    if term.needs_present is None:
        return True
    ground = trace.observations.get(term.needs_present)
    return ground is not None and ground.value == "present"


def beside_the_point(rulebook: Rulebook, known: Mapping[str, Observation]) -> frozenset[str]:
    """The questions that have no point, given what is known."""
    found: set[str] = set()
    for item in rulebook.pointless.values():
        ground = known.get(item.ground)
        if ground is not None and item.holds(ground.value):
            found.update(item.drop)
    return frozenset(found)


def guessed(term: Term, trace: Trace) -> bool:
    """Whether it is known only as an estimate that an instrument would replace."""
    item = trace.observations.get(term.name)
    return item is not None and item.origin == "estimated" and term.needs not in ("", EYES)


def candidates(
    rulebook: Rulebook, beliefs: Beliefs, trace: Trace, most: int | None = None
) -> list[str]:
    """Askable observations that bear on causes still in play, the likeliest to matter first.

    The order is a cheap bound: each argument's size times the belief of its cause, per minute.
    """
    pointless = beside_the_point(rulebook, trace.observations)
    reach: dict[str, float] = {}
    for standing in beliefs.standings:
        if standing.belief < WORTH_ASKING_ABOUT:
            continue
        cause = rulebook.causes[standing.cause]
        mechanism = rulebook.mechanisms[standing.mechanism]
        stake = standing.belief * (1.0 - standing.belief)
        for item in (*cause.evidence, *mechanism.evidence):
            size = abs(item.weight)
            if item.curve is not None:
                size = max(abs(y) for _, y in item.curve.points)
            for name in {leaf.name for way in item.when for leaf in way}:
                reach[name] = max(reach.get(name, 0.0), stake * size)
    found = [
        name
        for name in reach
        if name in rulebook.vocabulary
        and name not in pointless
        and askable(rulebook.vocabulary[name], trace)
    ]
    found.sort(
        key=lambda name: (
            -reach[name] / (rulebook.vocabulary[name].minutes + SETTING_OUT_MINUTES),
            name,
        )
    )
    return found[:most]


def standpoint(rulebook: Rulebook, trace: Trace, beliefs: Beliefs) -> Standpoint:
    """What is believed on a trace, ready to think on from."""
    weighed = weigh(trace, rulebook.ranking)
    scores = {c.id: score(c, weighed, rulebook.ranking) for c in rulebook.causes.values()}
    totals = total_decibans(rulebook, scores, beliefs.question)
    return Standpoint(trace, beliefs.shares(), scores, totals, weighed)


def next_checks(
    rulebook: Rulebook,
    inference: Inference,
    trace: Trace,
    beliefs: Beliefs,
    names: Iterable[str],
) -> tuple[Check, ...]:
    """The checks among `names` worth their time, best first. `inference` must know these names."""
    before = standpoint(rulebook, trace, beliefs)
    checks = [check_of(rulebook, inference, before, name) for name in names]
    return worthiest(checks)


def worthiest(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Those that gain enough to be worth anything, best first."""
    worthy = [check for check in checks if check.gain_bits >= LEAST_GAIN_BITS]
    return tuple(sorted(worthy, key=lambda check: (-check.bits_a_minute, check.name)))


def lifts_of(
    rulebook: Rulebook, before: Mapping[str, Score], moved: Mapping[str, Score]
) -> dict[str, float]:
    """By how much an answer raises the odds of each cause whose score it moves, as beliefs take it:
    at the rulebook's temperature.
    """
    temperature = rulebook.ranking.temperature
    return {
        cause: 10.0 ** ((found.total - before[cause].total) / temperature / 10.0)
        for cause, found in moved.items()
        if found.total != before[cause].total
    }


def check_of(
    rulebook: Rulebook,
    inference: Inference,
    before: Standpoint,
    name: str,
    without: Trace | None = None,
) -> Check:
    """The expected gain of one observation, by trying each of its answers on the engine.

    without: for what is known as an estimate, the trace of the engine's last run, which lacked it;
    the answer takes the place of the estimate.
    """
    term = rulebook.vocabulary[name]
    shares = before.shares
    supposed: list[tuple[str | float, float, dict[str, Score], dict[str, float], Trace]] = []
    for answer, share in term.shares:
        told = Observation(name, answer, "told", "supposed", asked=True)
        then = inference.what_if(before.trace if without is None else without, told)
        moved = _scores_after(rulebook, before, then)
        supposed.append((answer, share, moved, lifts_of(rulebook, before.scores, moved), then))
    chances_under = answer_chances(term.shares, [lift for _, _, _, lift, _ in supposed])
    gain = 0.0
    prospects: list[Prospect] = []
    for index, (answer, share, moved, _, then) in enumerate(supposed):
        chance = math.fsum(
            belief * (chances_under[cause][index] if cause in chances_under else share)
            for cause, belief in shares.items()
        )
        scores = {**before.scores, **moved}
        totals = totals_after(rulebook, before.trace, before.totals, moved, scores, then)
        after = shares_of(rulebook, scores, totals, then)
        gain += chance * divergence_bits(after, shares)
        first = min(totals, key=lambda cause: (-after[cause], -totals[cause], cause))
        prospects.append(Prospect(answer, chance, first, after[first]))
    return Check(name, gain, term.minutes, tuple(prospects))


def totals_after(
    rulebook: Rulebook,
    before: Trace,
    totals: Mapping[str, float],
    moved: Mapping[str, Score],
    scores: Mapping[str, Score],
    then: Trace,
) -> dict[str, float]:
    """The scores with base rates after an answer: anew for all causes where it turns the question
    into the other one, else only for those that it moved.
    """
    question = question_of(then.observations)
    if question != question_of(before.observations):
        return total_decibans(rulebook, scores, question)
    return {**totals, **total_decibans(rulebook, moved, question)}


def answer_chances(
    shares: Sequence[tuple[str | float, float]], lifts: Sequence[Mapping[str, float]]
) -> dict[str, list[float]]:
    """The chance of each answer under each cause that any answer lifts or lowers.

    A cause that no answer touches answers by the shares alone.
    """
    touched = {cause for lift in lifts for cause in lift}
    found: dict[str, list[float]] = {}
    for cause in touched:
        raw = [share * lift.get(cause, 1.0) for (_, share), lift in zip(shares, lifts, strict=True)]
        norm = math.fsum(raw)
        found[cause] = [value / norm for value in raw]
    return found


def divergence_bits(after: Mapping[str, float], before: Mapping[str, float]) -> float:
    """How far beliefs moved, in bits."""
    return math.fsum(
        share * math.log2(share / before[name])
        for name, share in after.items()
        if share > 0.0 and before[name] > 0.0
    )


def _scores_after(rulebook: Rulebook, before: Standpoint, then: Trace) -> dict[str, Score]:
    """The scores of only those causes that the new firings touch; of all where the question has
    become the other one.
    """
    asks = question_of(then.observations)
    if asks != question_of(before.trace.observations):
        anew = weigh_firings(then.evidence.values(), rulebook.ranking, asks)
        return {c.id: score(c, anew, rulebook.ranking) for c in rulebook.causes.values()}
    owners = {
        firing.argument.owner  # type: ignore[union-attr]
        for key, firing in then.evidence.items()
        if before.trace.evidence.get(key) is not firing
    }
    owners |= {
        firing.argument.owner  # type: ignore[union-attr]
        for key, firing in before.trace.evidence.items()
        if key not in then.evidence
    }
    if not owners:
        return {}
    touched = [f for f in then.evidence.values() if f.argument.owner in owners]  # type: ignore[union-attr]
    weighed = {
        **before.weighed,
        **{owner: [] for owner in owners},
        **weigh_firings(touched, rulebook.ranking, asks),
    }
    return {
        cause.id: score(cause, weighed, rulebook.ranking)
        for cause in rulebook.causes.values()
        if cause.id in owners or not owners.isdisjoint(cause.works_through)
    }


def overturning(checks: Iterable[Check], first: str) -> tuple[Check, Prospect] | None:
    """The single likeliest answer that would put another cause first, if there is one."""
    best: tuple[Check, Prospect] | None = None
    for check in checks:
        for prospect in check.prospects:
            if prospect.first not in (first, UNEXPLAINED) and (
                best is None or prospect.chance > best[1].chance
            ):
                best = (check, prospect)
    return best
