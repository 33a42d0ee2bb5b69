"""The rulebook as experta rules, run over the observations of a case.

Every way in which an argument or a condition can be met is one experta rule over typed facts.
Conditions chain forward: the firing of one declares a fact of its own, which further rules match.
Each firing is
noted with the facts it matched, so that every line of a report can be traced back.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from typing import Any, NamedTuple, Protocol

from diagnose.findings.observation import Observation
from diagnose.inference.experta_door import Fact, InitialFact, KnowledgeEngine, P, Rule
from diagnose.inference.matcher import TypedMatcher
from diagnose.rulebook.requirements import decibans, degree
from diagnose.rulebook.terms import Condition, Curve, Evidence, Leaf

Argument = Evidence | Condition


class RuleSet(Protocol):
    """What the engine needs of a rulebook: conditions in order, and the evidence to run."""

    @property
    def conditions(self) -> dict[str, Condition]: ...
    def evidence(self) -> tuple[Evidence, ...]: ...


class Firing(NamedTuple):
    """An argument or condition that matched.

    degree: how far it was met (0 to 1); estimated: whether an estimate was among what it rests on;
    names: the observations and conditions it matched directly; decibans: its weight times degree,
    for evidence, before any discount (0 for a condition); sure: how far all values within the bands
    of its estimates would say the same (0 to 1, 1 without estimates); guessed: those of the names
    that are estimates or rest on one; asked: whether all it rests on was only told on being asked.
    """

    argument: Argument
    degree: float
    estimated: bool
    names: tuple[str, ...]
    decibans: float
    sure: float = 1.0
    guessed: tuple[str, ...] = ()
    asked: bool = False


class Trace(NamedTuple):
    """Everything that fired for one set of observations."""

    observations: dict[str, Observation]
    conditions: dict[str, Firing]
    evidence: dict[str, Firing]

    def rests_on(self, firing: Firing) -> tuple[Observation, ...]:
        """The observations a firing rests on, directly or through conditions, sorted by name."""
        found: dict[str, Observation] = {}
        waiting = list(firing.names)
        while waiting:
            name = waiting.pop()
            if name in self.observations:
                found[name] = self.observations[name]
            elif name in self.conditions:
                waiting.extend(self.conditions[name].names)
        return tuple(found[name] for name in sorted(found))


def merge_stronger(into: dict[str, Firing], key: str, firing: Firing) -> None:
    """Keeps the firing that met its argument furthest; measured before estimated when equal."""
    known = into.get(key)
    if known is None or _strength(firing) > _strength(known):
        into[key] = firing


def _strength(firing: Firing) -> tuple[float, bool, tuple[str, ...]]:
    return firing.degree, not firing.estimated, firing.names


@cache
def _fact_type(name: str) -> type:
    return type(name, (Fact,), {})


@cache
def _meets(leaf: Leaf) -> Any:
    """experta shares the test of two rules only if it is the same object, hence the cache."""
    return P(lambda value: degree(leaf, value) > 0.0)


class Inference:
    """An experta engine holding the rules that the given names can reach.

    A rule that needs something nobody knows cannot fire, since rules never match ignorance;
    leaving it out changes nothing but the time it takes. `touching`: keep only evidence that
    could change once one of these names becomes known (for what-ifs on a trace that already
    holds the rest). `matcher` is experta's matcher class.
    """

    def __init__(
        self,
        rulebook: RuleSet,
        names: Iterable[str],
        touching: Iterable[str] | None = None,
        matcher: type = TypedMatcher,
    ) -> None:
        self._firings: list[tuple[Argument, tuple[Any, ...]]] = []
        arguments, known = reachable(rulebook, names)
        if touching is not None:
            arguments = touched(arguments, touching)
        rules = [rule for argument in arguments for rule in self._rules_of(argument, known)]
        engine_type = type(
            "Rules",
            (KnowledgeEngine,),
            {
                "__matcher__": matcher,
                "get_rules": lambda _self: rules,
                "get_deffacts": _first_facts,
            },
        )
        self._engine = engine_type()

    def run(self, observations: Iterable[Observation]) -> Trace:
        """Everything that fires for these observations. One call declares them all."""
        self._engine.reset()
        self._firings.clear()
        known = {item.name: item for item in observations}
        self._engine.declare(*[_fact(known[name]) for name in sorted(known)])
        self._engine.run()
        return _trace(known, self._firings)

    def what_if(self, trace: Trace, *answers: Observation) -> Trace:
        """The trace there would be with one more observation, or with several that come together;
        the engine is as before afterwards.

        `trace` must hold what fired for the observations of this engine's last `run`, and
        `answers` must be names that none of them has.
        """
        facts = self._engine.facts
        before = set(facts)
        self._firings.clear()
        self._engine.declare(*map(_fact, answers))
        self._engine.run()
        gained = _trace({}, self._firings)
        for index in sorted(set(facts) - before, reverse=True):
            self._engine.retract(index)
        conditions, evidence = dict(trace.conditions), dict(trace.evidence)
        for into, more in ((conditions, gained.conditions), (evidence, gained.evidence)):
            for key, firing in more.items():
                merge_stronger(into, key, firing)
        observations = {**trace.observations, **{item.name: item for item in answers}}
        return Trace(observations, conditions, evidence)

    def _rules_of(self, argument: Argument, names: set[str]) -> Iterator[Any]:
        over = argument.curve.over if isinstance(argument, Evidence) and argument.curve else None
        for way in argument.when:
            if names.issuperset([leaf.name for leaf in way]):
                leaves = way
                if over is not None and all(leaf.name != over for leaf in way):
                    leaves = (*way, Leaf(over, "known"))
                yield ArgumentRule.of(argument, leaves, self._firings)


class ArgumentRule(Rule):  # type: ignore[misc]
    """An experta rule that notes its firing, and declares the condition it stands for if it is one.

    Two rules are the same only if they are one object: several arguments may share a requirement.
    """

    argument: Argument
    leaves: tuple[Leaf, ...]
    firings: list[tuple[Argument, tuple[Any, ...]]]

    @classmethod
    def of(cls, argument: Argument, leaves: tuple[Leaf, ...], firings: list[Any]) -> ArgumentRule:
        """The rule for one way of meeting an argument; it notes what it matched in `firings`."""
        rule: ArgumentRule = cls(*map(_pattern, leaves, range(len(leaves))))
        return rule._standing_for(argument, leaves, firings)

    def new_conditions(self, *conditions: Any) -> ArgumentRule:
        """The same argument on experta's rewritten conditions (the stock matcher asks for it)."""
        rule: ArgumentRule = type(self)(*conditions)
        return rule._standing_for(self.argument, self.leaves, self.firings)

    def _standing_for(
        self, argument: Argument, leaves: tuple[Leaf, ...], firings: list[Any]
    ) -> ArgumentRule:
        self.argument, self.leaves, self.firings = argument, leaves, firings
        self.__name__ = argument.id
        return self

    def __call__(self, engine: Any, **facts: Any) -> None:
        """Fires: notes the facts matched, in the order of the leaves."""
        matched = tuple(facts[f"f{i}"] for i in range(len(self.leaves)))
        self.firings.append((self.argument, tuple(zip(self.leaves, matched, strict=True))))
        if isinstance(self.argument, Condition):
            engine.declare(
                _fact_type(self.argument.id)(
                    value=_degree(self.leaves, matched),
                    estimated=any(fact["estimated"] for fact in matched),
                    band=None,
                    sure=_sure(None, zip(self.leaves, matched, strict=True)),
                    asked=all(fact["asked"] for fact in matched),
                )
            )

    __hash__ = object.__hash__

    def __eq__(self, other: object) -> bool:
        return self is other


def reachable(rulebook: RuleSet, names: Iterable[str]) -> tuple[list[Argument], set[str]]:
    """The conditions and evidence that can fire when exactly `names` may be known, and all names
    that may then be known: conditions too.
    """
    known = set(names)
    arguments: list[Argument] = []
    for condition in rulebook.conditions.values():
        if any(all(leaf.name in known for leaf in way) for way in condition.when):
            known.add(condition.id)
            arguments.append(condition)
    for item in rulebook.evidence():
        over = {item.curve.over} if item.curve is not None else set()
        if over <= known and any(all(leaf.name in known for leaf in way) for way in item.when):
            arguments.append(item)
    return arguments, known


def touched(arguments: Iterable[Argument], names: Iterable[str]) -> list[Argument]:
    """All conditions, and the evidence that one of `names` bears on, directly or through a
    condition.
    """
    fresh = set(names)
    kept: list[Argument] = []
    for argument in arguments:
        mentioned = {leaf.name for way in argument.when for leaf in way}
        if isinstance(argument, Evidence) and argument.curve is not None:
            mentioned.add(argument.curve.over)
        if isinstance(argument, Condition):
            kept.append(argument)
            if not fresh.isdisjoint(mentioned):
                fresh.add(argument.id)
        elif not fresh.isdisjoint(mentioned):
            kept.append(argument)
    return kept


@cache
def _pattern(leaf: Leaf, place: int) -> Any:
    """What a rule asks of its fact in that place; rules that ask the same share the pattern."""
    asked = {} if leaf.kind == "known" else {"value": _meets(leaf)}
    return f"f{place}" << _fact_type(leaf.name)(**asked)


def _fact(observation: Observation) -> Any:
    return _fact_type(observation.name)(
        value=observation.said,
        estimated=observation.origin == "estimated",
        band=observation.band,
        sure=1.0,
        asked=observation.asked,
    )


def _first_facts(_engine: Any) -> list[Callable[[], Iterator[Any]]]:
    """experta searches all attributes of an engine for these; here is its usual one without the
    search.
    """

    def first_fact() -> Iterator[Any]:
        yield InitialFact()

    return [first_fact]


def _degree(leaves: tuple[Leaf, ...], matched: tuple[Any, ...]) -> float:
    return min(degree(leaf, fact["value"]) for leaf, fact in zip(leaves, matched, strict=True))


def _sure(curve: Curve | None, pairs: Iterable[tuple[Leaf, Any]]) -> float:
    """How far all values within the bands say the same: the least of what it is for each estimate.

    For a curve see `agreement`; else the mean of how far the leaf is met.
    """
    least = 1.0
    for leaf, fact in pairs:
        if not fact["estimated"]:
            continue
        least = min(least, fact["sure"])
        band = fact["band"]
        if band is None:
            continue
        if curve is not None and leaf.name == curve.over:
            least = min(least, agreement([decibans(curve, x) for x in spread(band)]))
        elif leaf.kind != "known":
            met = [degree(leaf, x) for x in spread(band)]
            least = min(least, math.fsum(met) / len(met))
    return least


def spread(band: tuple[float, float, float]) -> tuple[float, ...]:
    """Five values of equal weight that stand for a band (10, 30, 50, 70 and 90 %)."""
    low, middle, high = map(float, band)
    return low, 0.5 * (low + middle), middle, 0.5 * (middle + high), high


def agreement(weights: Sequence[float]) -> float:
    """How much of the weight in the middle of a band may be said, 0 to 1: the mean likelihood ratio
    over the band, taken against what the middle says, so that an end that may say otherwise counts
    most.

    >>> round(agreement([-9.5, -8.0, -6.0, -0.5, 1.7]), 2), agreement([4.0, 4.0, 4.0])
    (0.4, 1.0)
    >>> agreement([-6.0, -2.0, 1.0, 2.0, 3.0])
    0.0
    """
    middle = weights[len(weights) // 2]
    if middle == 0.0:
        return 0.0
    sign = math.copysign(1.0, middle)
    mean = math.fsum(10.0 ** (-sign * weight / 10.0) for weight in weights) / len(weights)
    return min(1.0, max(0.0, -10.0 * math.log10(mean) / abs(middle)))


def _trace(known: dict[str, Observation], firings: list[tuple[Argument, Any]]) -> Trace:
    conditions: dict[str, Firing] = {}
    evidence: dict[str, Firing] = {}
    for argument, pairs in firings:
        leaves = tuple(leaf for leaf, _ in pairs)
        matched = tuple(fact for _, fact in pairs)
        firing = Firing(
            argument=argument,
            degree=_degree(leaves, matched),
            estimated=any(fact["estimated"] for fact in matched),
            names=tuple(sorted({leaf.name for leaf in leaves})),
            decibans=0.0,
            guessed=tuple(sorted({leaf.name for leaf, fact in pairs if fact["estimated"]})),
            asked=all(fact["asked"] for fact in matched),
        )
        if firing.estimated:
            curve = argument.curve if isinstance(argument, Evidence) else None
            firing = firing._replace(sure=_sure(curve, pairs))
        if isinstance(argument, Condition):
            merge_stronger(conditions, argument.id, firing)
        else:
            weight = argument.weight
            if argument.curve is not None:
                over = argument.curve.over
                value = next(f["value"] for leaf, f in pairs if leaf.name == over)
                weight = decibans(argument.curve, value)
            merge_stronger(
                evidence,
                argument.key,
                firing._replace(decibans=weight * firing.degree),
            )
    return Trace(known, conditions, evidence)
