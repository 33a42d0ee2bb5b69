"""The inference does what the rules say, and the faster matcher fires exactly what the stock one
does.
"""

from __future__ import annotations

import collections

import pytest
from hypothesis import given, settings

from diagnose.findings.observation import Observation
from diagnose.inference.engine import Firing, Inference, Trace
from diagnose.inference.experta_door import ReteMatcher
from diagnose.rulebook.requirements import decibans, degree
from diagnose.rulebook.terms import Evidence, Rulebook
from tests.supposed import any_observations, any_value, seeds, told


def plainly(firing: Firing) -> tuple[float, bool, float]:
    return round(firing.degree, 12), firing.estimated, round(firing.decibans, 9)


def everything(trace: Trace) -> dict[str, tuple[float, bool, float]]:
    return {key: plainly(f) for key, f in {**trace.conditions, **trace.evidence}.items()}


def by_hand(rulebook: Rulebook, observations: list[Observation]) -> dict[str, float]:
    """Degrees and decibans worked out without any engine: least of all leaves, most of all ways."""
    values: dict[str, str | float] = {o.name: o.value for o in observations}
    found: dict[str, float] = {}
    for condition in rulebook.conditions.values():
        met = [
            min(degree(leaf, values[leaf.name]) for leaf in way)
            for way in condition.when
            if all(leaf.name in values for leaf in way)
        ]
        if met and max(met) > 0:
            values[condition.id] = max(met)
            found[condition.id] = max(met)
    for item in rulebook.evidence():
        met = [
            min(degree(leaf, values[leaf.name]) for leaf in way)
            for way in item.when
            if all(leaf.name in values for leaf in way)
        ]
        if not met or max(met) <= 0:
            continue
        weight = item.weight
        if item.curve is not None:
            if item.curve.over not in values:
                continue
            weight = decibans(item.curve, float(values[item.curve.over]))
        found[item.key] = weight * max(met)
    return found


def names_of(observations: list[Observation]) -> list[str]:
    return [o.name for o in observations]


@settings(max_examples=40, deadline=None)
@given(seed=seeds)
def test_every_firing_is_what_the_rule_says_and_nothing_else_fires(
    rulebook: Rulebook, seed: int
) -> None:
    observations = any_observations(rulebook, seed)
    trace = Inference(rulebook, names_of(observations)).run(observations)
    fired = {
        key: f.decibans if isinstance(f.argument, Evidence) else f.degree
        for key, f in {**trace.conditions, **trace.evidence}.items()
    }
    assert fired == pytest.approx(by_hand(rulebook, observations))


@settings(max_examples=12, deadline=None)
@given(seed=seeds)
def test_the_stock_matcher_over_all_rules_fires_the_same(rulebook: Rulebook, seed: int) -> None:
    observations = any_observations(rulebook, seed)
    ours = Inference(rulebook, names_of(observations)).run(observations)
    stock = Inference(rulebook, rulebook.vocabulary, matcher=ReteMatcher).run(observations)
    assert everything(ours) == everything(stock)


@settings(max_examples=20, deadline=None)
@given(seed=seeds)
def test_supposing_an_answer_equals_knowing_it_and_leaves_no_trace(
    rulebook: Rulebook, seed: int
) -> None:
    import random

    *known, extra = any_observations(rulebook, seed)
    source = random.Random(seed)
    inference = Inference(rulebook, rulebook.vocabulary)
    trace = inference.run(known)
    for _ in range(3):
        answer = told(extra.name, any_value(rulebook.vocabulary[extra.name], source))
        supposed = inference.what_if(trace, answer)
        knowing = Inference(rulebook, rulebook.vocabulary).run([*known, answer])
        assert everything(supposed) == everything(knowing)
    assert everything(inference.run(known)) == everything(trace)


def test_importing_experta_leaves_collections_as_it_was() -> None:
    assert not hasattr(collections, "Mapping")


def test_what_nobody_told_fires_nothing(rulebook: Rulebook) -> None:
    trace = Inference(rulebook, []).run([])
    assert trace.evidence == {} and trace.conditions == {}


def test_a_firing_can_be_traced_to_the_observations_it_rests_on(rulebook: Rulebook) -> None:
    observations = [told("food_left_over", "present"), told("death_shape", "trickle")]
    trace = Inference(rulebook, names_of(observations)).run(observations)
    assert trace.rests_on(trace.conditions["rot-in-the-water"]) == (observations[0],)
