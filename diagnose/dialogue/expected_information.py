"""What is worth asking next: the expected information about the cause, for every open question.

The same model of answers as in `belief.next_checks`, computed for all questions at once. The
engine is built once for the whole vocabulary; each answer is tried by declaring and retracting it,
and what it made fire is kept until something else becomes known that the same rules look at.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from diagnose.belief.belief import (
    Argument,
    Beliefs,
    Score,
    discounted,
    question_of,
    score,
    share_out,
    shares_of,
    total_decibans,
    weigh,
    weigh_firings,
)
from diagnose.belief.next_checks import (
    Check,
    Prospect,
    answer_chances,
    divergence_bits,
    lifts_of,
    totals_after,
)
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Firing, Inference, Trace
from diagnose.rulebook.terms import Condition, Evidence, Rulebook

Value = str | float
#: What else would be observed if a question had an answer: (name, value) to further observations.
Follows = Callable[[str, Value], tuple[Observation, ...]]


@dataclass
class LookAhead:
    """The engine of one rulebook, with what each tried answer made fire. Build it once."""

    rulebook: Rulebook
    inference: Inference
    beside: dict[str, frozenset[str]]
    owners_causes: dict[str, tuple[str, ...]]
    tried: dict[tuple[object, ...], tuple[Firing, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Inferred:
    """What is believed on some observations, with what is needed to infer on from there."""

    trace: Trace
    beliefs: Beliefs
    shares: dict[str, float]
    scores: dict[str, Score]
    totals: dict[str, float]
    weighed: dict[str, list[Argument]]


def look_ahead_over(rulebook: Rulebook) -> LookAhead:
    """The engine over the whole vocabulary."""
    owners: dict[str, list[str]] = {}
    for cause in rulebook.causes.values():
        for owner in (cause.id, *cause.works_through):
            owners.setdefault(owner, []).append(cause.id)
    return LookAhead(
        rulebook=rulebook,
        inference=Inference(rulebook, rulebook.vocabulary),
        beside=_beside(rulebook),
        owners_causes={owner: tuple(causes) for owner, causes in owners.items()},
    )


def _beside(rulebook: Rulebook) -> dict[str, frozenset[str]]:
    """For each name, all observations that the rules look at which also look at it, through
    conditions too.
    """
    below: dict[str, frozenset[str]] = {}
    for condition in rulebook.conditions.values():
        names = {leaf.name for way in condition.when for leaf in way}
        below[condition.id] = frozenset().union(*(below.get(n, {n}) for n in names))
    found: dict[str, set[str]] = {}
    arguments: list[Evidence | Condition] = [*rulebook.conditions.values(), *rulebook.evidence()]
    for argument in arguments:
        names = {leaf.name for way in argument.when for leaf in way}
        if isinstance(argument, Evidence) and argument.curve is not None:
            names.add(argument.curve.over)
        looked_at = frozenset().union(*(below.get(n, {n}) for n in names))
        for name in looked_at:
            found.setdefault(name, set()).update(looked_at)
    return {name: frozenset(names) for name, names in found.items()}


def infer(look_ahead: LookAhead, observations: Iterable[Observation]) -> Inferred:
    """Runs the engine on these observations and weighs what fired."""
    rulebook = look_ahead.rulebook
    trace = look_ahead.inference.run(observations)
    weighed = weigh(trace, rulebook.ranking)
    scores = {c.id: score(c, weighed, rulebook.ranking) for c in rulebook.causes.values()}
    beliefs = share_out(rulebook, scores, trace)
    totals = total_decibans(rulebook, scores, beliefs.question)
    return Inferred(trace, beliefs, beliefs.shares(), scores, totals, weighed)


def expected_information(
    look_ahead: LookAhead,
    inferred: Inferred,
    names: Iterable[str],
    follows: Follows = lambda name, value: (),
) -> tuple[Check, ...]:
    """The expected gain of each named observation, best per minute first.

    The look_ahead_over's engine must have run last for `inferred`.
    """
    checks = [information_of(look_ahead, inferred, name, follows) for name in names]
    return tuple(sorted(checks, key=lambda check: (-check.bits_a_minute, check.name)))


def information_of(
    look_ahead: LookAhead,
    inferred: Inferred,
    name: str,
    follows: Follows = lambda name, value: (),
) -> Check:
    """One observation: the chance of each answer, what it would put first, the bits expected."""
    rulebook = look_ahead.rulebook
    term = rulebook.vocabulary[name]
    now = inferred.shares
    moved = [
        scores_after(look_ahead, inferred, _supposed(name, value), follows)
        for value, _ in term.shares
    ]
    lifts = [lifts_of(rulebook, inferred.scores, scores) for scores in moved]
    chances = answer_chances(term.shares, lifts)
    gain = 0.0
    prospects: list[Prospect] = []
    for index, (value, share) in enumerate(term.shares):
        chance = math.fsum(
            belief * chances[cause][index] if cause in chances else belief * share
            for cause, belief in now.items()
        )
        totals, then = inferred.totals, now
        if moved[index]:
            answer = {name: _supposed(name, value)}
            trace = inferred.trace._replace(observations={**inferred.trace.observations, **answer})
            scores = {**inferred.scores, **moved[index]}
            totals = totals_after(rulebook, inferred.trace, totals, moved[index], scores, trace)
            then = shares_of(rulebook, scores, totals, trace)
            gain += chance * divergence_bits(then, now)
        first = _first(then, totals)
        prospects.append(Prospect(value, chance, first, then[first]))
    return Check(name, gain, term.minutes, tuple(prospects))


def _supposed(name: str, value: Value) -> Observation:
    return Observation(name, value, "told", "supposed", asked=True)


def _first(shares: Mapping[str, float], totals: Mapping[str, float]) -> str:
    """The likeliest cause; of equals the one with the higher score, then the first by name."""
    return min(totals, key=lambda cause: (-shares[cause], -totals[cause], cause))


def scores_after(
    look_ahead: LookAhead, inferred: Inferred, answer: Observation, follows: Follows
) -> dict[str, Score]:
    """The scores of those causes that an answer, with what follows from it, would move."""
    settings = look_ahead.rulebook.ranking
    asks = question_of({**inferred.trace.observations, answer.name: answer})
    if asks != inferred.beliefs.question:
        return _scores_anew(look_ahead, inferred, answer, follows)
    fired = _fired(look_ahead, inferred, answer, follows)
    if not fired:
        return {}
    mended: dict[str, dict[str, Argument]] = {}
    for firing in fired:
        evidence = firing.argument
        assert isinstance(evidence, Evidence)
        if evidence.owner not in mended:
            known = inferred.weighed.get(evidence.owner, ())
            mended[evidence.owner] = {a.evidence.key: a for a in known}
        size = discounted(firing, settings, asks)
        mended[evidence.owner].pop(evidence.key, None)
        if size != 0.0 or evidence.excludes:
            mended[evidence.owner][evidence.key] = Argument(firing, evidence, size)
    weighed = {**inferred.weighed, **{owner: list(a.values()) for owner, a in mended.items()}}
    causes = {cause for owner in mended for cause in look_ahead.owners_causes.get(owner, ())}
    return {
        cause: score(look_ahead.rulebook.causes[cause], weighed, settings)
        for cause in sorted(causes)
    }


def _scores_anew(
    look_ahead: LookAhead, inferred: Inferred, answer: Observation, follows: Follows
) -> dict[str, Score]:
    """All scores, where an answer turns the question into the other one."""
    settings = look_ahead.rulebook.ranking
    then = look_ahead.inference.what_if(inferred.trace, *_added(inferred, answer, follows))
    asks = question_of({**inferred.trace.observations, answer.name: answer})
    weighed = weigh_firings(then.evidence.values(), settings, asks)
    return {c.id: score(c, weighed, settings) for c in look_ahead.rulebook.causes.values()}


def _added(inferred: Inferred, answer: Observation, follows: Follows) -> list[Observation]:
    known = inferred.trace.observations
    return [answer, *(o for o in follows(answer.name, answer.value) if o.name not in known)]


def _fired(
    look_ahead: LookAhead, inferred: Inferred, answer: Observation, follows: Follows
) -> tuple[Firing, ...]:
    """The evidence that the answer, with what follows from it, adds or makes stronger."""
    known = inferred.trace.observations
    added = _added(inferred, answer, follows)
    looked_at = frozenset().union(*(look_ahead.beside.get(o.name, frozenset()) for o in added))
    key = (
        tuple(_as_met(o) for o in added),
        tuple(_as_met(known[name]) for name in sorted(looked_at & known.keys())),
    )
    found = look_ahead.tried.get(key)
    if found is None:
        then = look_ahead.inference.what_if(inferred.trace, *added)
        before = inferred.trace.evidence
        found = tuple(f for name, f in then.evidence.items() if before.get(name) is not f)
        look_ahead.tried[key] = found
    return found


def _as_met(item: Observation) -> tuple[object, ...]:
    """What rules see of an observation."""
    return item.name, item.said, item.origin == "estimated", item.band, item.asked
