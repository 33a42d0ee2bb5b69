"""What a set of facts says for one cause through one mechanism, reckoned without the engine.

The same weights, groups and soft edges as the engine uses, for making up cases that fit a cause:
there thousands of sets of facts are weighed, and each differs from the last by one fact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from diagnose.inference.engine import Firing
from diagnose.ranking.belief import Argument, counted
from diagnose.rulebook.requirements import decibans, degree
from diagnose.rulebook.terms import Evidence, Rulebook, Ways

Value = str | float


def conditions_met(rulebook: Rulebook, facts: Mapping[str, Value]) -> dict[str, float]:
    """The degree to which each condition holds, for those that hold at all."""
    met: dict[str, float] = {}
    for condition in rulebook.conditions.values():
        found = _degree(condition.when, facts, met)
        if found > 0.0:
            met[condition.id] = found
    return met


def speaks_for(rulebook: Rulebook, cause: str, mechanism: str, facts: Mapping[str, Value]) -> float:
    """Decibans that the facts lend a cause which works through a mechanism, base rate left out."""
    met = conditions_met(rulebook, facts)
    arguments = []
    for item in (*rulebook.causes[cause].evidence, *rulebook.mechanisms[mechanism].evidence):
        size = _size(item, facts, met)
        if size != 0.0:
            firing = Firing(item, 1.0, False, (), size)
            arguments.append(Argument(firing, item, size))
    return math.fsum(argument.decibans for argument in counted(arguments))


def _size(item: Evidence, facts: Mapping[str, Value], met: Mapping[str, float]) -> float:
    weight = item.weight
    if item.curve is not None:
        value = facts.get(item.curve.over)
        if not isinstance(value, float | int):
            return 0.0
        weight = decibans(item.curve, float(value))
    return weight * _degree(item.when, facts, met)


def _degree(ways: Ways, facts: Mapping[str, Value], met: Mapping[str, float]) -> float:
    best = 0.0
    for way in ways:
        least = 1.0
        for leaf in way:
            value = met.get(leaf.name) if leaf.kind == "holds" else facts.get(leaf.name)
            least = min(least, 0.0 if value is None else degree(leaf, value))
        best = max(best, least)
    return best
