"""What is worth asking next: the expected information about the cause, for every open question.

The same model of answers as in `ranking.next_checks`, reckoned for all questions at once. The
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
class Reckoner:
    """The engine of one rulebook, with what each tried answer made fire. Build it once."""

    rulebook: Rulebook
    inference: Inference
    beside: dict[str, frozenset[str]]
    owners_causes: dict[str, tuple[str, ...]]
    tried: dict[tuple[object, ...], tuple[Firing, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Thought:
    """What is believed on some observations, with what is needed to think on from there."""

    trace: Trace
    beliefs: Beliefs
    shares: dict[str, float]
    scores: dict[str, Score]
    totals: dict[str, float]
    weighed: dict[str, list[Argument]]


def reckoner(rulebook: Rulebook) -> Reckoner:
    """The engine over the whole vocabulary."""
    owners: dict[str, list[str]] = {}
    for cause in rulebook.causes.values():
        for owner in (cause.id, *cause.works_through):
            owners.setdefault(owner, []).append(cause.id)
    return Reckoner(
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


def think(reckon: Reckoner, observations: Iterable[Observation]) -> Thought:
    """Runs the engine on these observations and weighs what fired."""
    rulebook = reckon.rulebook
    trace = reckon.inference.run(observations)
    weighed = weigh(trace, rulebook.ranking)
    scores = {c.id: score(c, weighed, rulebook.ranking) for c in rulebook.causes.values()}
    beliefs = share_out(rulebook, scores, trace)
    totals = total_decibans(rulebook, scores, beliefs.question)
    return Thought(trace, beliefs, beliefs.shares(), scores, totals, weighed)


def worths(
    reckon: Reckoner,
    thought: Thought,
    names: Iterable[str],
    follows: Follows = lambda name, value: (),
) -> tuple[Check, ...]:
    """The expected gain of each named observation, best per minute first.

    The reckoner's engine must have run last for `thought`.
    """
    checks = [worth_of(reckon, thought, name, follows) for name in names]
    return tuple(sorted(checks, key=lambda check: (-check.worth, check.name)))


def worth_of(
    reckon: Reckoner,
    thought: Thought,
    name: str,
    follows: Follows = lambda name, value: (),
) -> Check:
    """One observation: the chance of each answer, what it would put first, the bits expected."""
    rulebook = reckon.rulebook
    term = rulebook.vocabulary[name]
    now = thought.shares
    moved = [
        scores_after(reckon, thought, _supposed(name, value), follows) for value, _ in term.shares
    ]
    lifts = [lifts_of(rulebook, thought.scores, scores) for scores in moved]
    chances = answer_chances(term.shares, lifts)
    gain = 0.0
    prospects: list[Prospect] = []
    for index, (value, share) in enumerate(term.shares):
        chance = math.fsum(
            belief * chances[cause][index] if cause in chances else belief * share
            for cause, belief in now.items()
        )
        totals, then = thought.totals, now
        if moved[index]:
            answer = {name: _supposed(name, value)}
            trace = thought.trace._replace(observations={**thought.trace.observations, **answer})
            scores = {**thought.scores, **moved[index]}
            totals = totals_after(rulebook, thought.trace, totals, moved[index], scores, trace)
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
    reckon: Reckoner, thought: Thought, answer: Observation, follows: Follows
) -> dict[str, Score]:
    """The scores of those causes that an answer, with what follows from it, would move."""
    settings = reckon.rulebook.ranking
    asks = question_of({**thought.trace.observations, answer.name: answer})
    if asks != thought.beliefs.question:
        return _scores_anew(reckon, thought, answer, follows)
    fired = _fired(reckon, thought, answer, follows)
    if not fired:
        return {}
    mended: dict[str, dict[str, Argument]] = {}
    for firing in fired:
        evidence = firing.argument
        assert isinstance(evidence, Evidence)
        if evidence.owner not in mended:
            known = thought.weighed.get(evidence.owner, ())
            mended[evidence.owner] = {a.evidence.key: a for a in known}
        size = discounted(firing, settings, asks)
        mended[evidence.owner].pop(evidence.key, None)
        if size != 0.0 or evidence.excludes:
            mended[evidence.owner][evidence.key] = Argument(firing, evidence, size)
    weighed = {**thought.weighed, **{owner: list(a.values()) for owner, a in mended.items()}}
    causes = {cause for owner in mended for cause in reckon.owners_causes.get(owner, ())}
    return {
        cause: score(reckon.rulebook.causes[cause], weighed, settings) for cause in sorted(causes)
    }


def _scores_anew(
    reckon: Reckoner, thought: Thought, answer: Observation, follows: Follows
) -> dict[str, Score]:
    """All scores, where an answer turns the question into the other one."""
    settings = reckon.rulebook.ranking
    then = reckon.inference.what_if(thought.trace, *_added(thought, answer, follows))
    asks = question_of({**thought.trace.observations, answer.name: answer})
    weighed = weigh_firings(then.evidence.values(), settings, asks)
    return {c.id: score(c, weighed, settings) for c in reckon.rulebook.causes.values()}


def _added(thought: Thought, answer: Observation, follows: Follows) -> list[Observation]:
    known = thought.trace.observations
    return [answer, *(o for o in follows(answer.name, answer.value) if o.name not in known)]


def _fired(
    reckon: Reckoner, thought: Thought, answer: Observation, follows: Follows
) -> tuple[Firing, ...]:
    """The evidence that the answer, with what follows from it, adds or makes stronger."""
    known = thought.trace.observations
    added = _added(thought, answer, follows)
    looked_at = frozenset().union(*(reckon.beside.get(o.name, frozenset()) for o in added))
    key = (
        tuple(_as_met(o) for o in added),
        tuple(_as_met(known[name]) for name in sorted(looked_at & known.keys())),
    )
    found = reckon.tried.get(key)
    if found is None:
        then = reckon.inference.what_if(thought.trace, *added)
        before = thought.trace.evidence
        found = tuple(f for name, f in then.evidence.items() if before.get(name) is not f)
        reckon.tried[key] = found
    return found


def _as_met(item: Observation) -> tuple[object, ...]:
    """What rules see of an observation."""
    return item.name, item.said, item.origin == "estimated", item.band, item.asked
