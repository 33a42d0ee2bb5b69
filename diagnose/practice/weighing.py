"""What a set of facts says for one cause through one mechanism, reckoned without the engine.

The same weights, channels, groups and soft edges as the engine uses, for making up cases that fit
a cause: there thousands of sets of facts are weighed, and each differs from the last by one fact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from diagnose.belief.belief import Argument, counted, discounted
from diagnose.inference.engine import Firing
from diagnose.rulebook.requirements import decibans, met
from diagnose.rulebook.terms import Evidence, Rulebook

Value = str | float


def conditions_met(rulebook: Rulebook, facts: Mapping[str, Value]) -> dict[str, float]:
    """The degree to which each condition holds, for those that hold at all."""
    values = dict(facts)
    holding: dict[str, float] = {}
    for condition in rulebook.conditions.values():
        found = met(condition.when, values)
        if found > 0.0:
            values[condition.id] = holding[condition.id] = found
    return holding


def speaks_for(rulebook: Rulebook, cause: str, mechanism: str, facts: Mapping[str, Value]) -> float:
    """Decibans that the facts, each the answer to a question, lend a cause which works through a
    mechanism, base rate left out.
    """
    settings = rulebook.ranking
    values = {**facts, **conditions_met(rulebook, facts)}
    arguments = []
    for item in (*rulebook.causes[cause].evidence, *rulebook.mechanisms[mechanism].evidence):
        size = _size(item, values)
        if size != 0.0:
            firing = Firing(item, 1.0, False, (), size, asked=True)
            arguments.append(Argument(firing, item, discounted(firing, settings, "losses")))
    return math.fsum(argument.decibans for argument in counted(arguments))


def _size(item: Evidence, values: Mapping[str, Value]) -> float:
    weight = item.weight
    if item.curve is not None:
        value = values.get(item.curve.over)
        if not isinstance(value, float | int):
            return 0.0
        weight = decibans(item.curve, float(value))
    return weight * met(item.when, values)
