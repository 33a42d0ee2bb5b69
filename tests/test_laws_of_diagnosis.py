"""Laws that hold for every case, whatever the rules say."""

from __future__ import annotations

import math
import random
from itertools import combinations, pairwise
from typing import Literal

import pytest
from hypothesis import given, settings

from diagnose.advice.diagnosis import diagnose
from diagnose.advice.plan import conflict
from diagnose.belief.belief import Beliefs, base_rate, believe
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.rulebook.terms import Rulebook
from tests.supposed import any_observations, seeds


def beliefs_of(rulebook: Rulebook, observations: list[Observation]) -> Beliefs:
    trace = Inference(rulebook, [o.name for o in observations]).run(observations)
    return believe(rulebook, trace)


@settings(max_examples=30, deadline=None)
@given(seed=seeds)
def test_beliefs_and_the_unexplained_add_up_to_one(rulebook: Rulebook, seed: int) -> None:
    shares = beliefs_of(rulebook, any_observations(rulebook, seed)).shares()
    assert math.fsum(shares.values()) == pytest.approx(1.0, abs=1e-12)
    assert all(0.0 <= share <= 1.0 for share in shares.values())


@settings(max_examples=20, deadline=None)
@given(seed=seeds)
def test_the_order_of_facts_and_repeats_change_nothing(rulebook: Rulebook, seed: int) -> None:
    observations = any_observations(rulebook, seed)
    shuffled = [*observations, *observations]
    random.Random(seed).shuffle(shuffled)
    assert diagnose(rulebook, shuffled).beliefs == diagnose(rulebook, observations).beliefs


@settings(max_examples=30, deadline=None)
@given(seed=seeds)
def test_no_advice_holds_two_steps_that_contradict_each_other(
    rulebook: Rulebook, seed: int
) -> None:
    steps = [item.step for item in diagnose(rulebook, any_observations(rulebook, seed)).plan.steps]
    assert not [(a.id, b.id) for a, b in combinations(steps, 2) if conflict(a, b)]


@settings(max_examples=30, deadline=None)
@given(seed=seeds)
def test_cautions_travel_with_the_steps_that_need_them(rulebook: Rulebook, seed: int) -> None:
    plan = diagnose(rulebook, any_observations(rulebook, seed)).plan
    needed = {name for item in plan.steps for name in item.step.cautions}
    assert needed <= set(plan.cautions)


def harmful_curves(rulebook: Rulebook) -> list[tuple[str, str]]:
    """(observation, owner) of every curve that only rises: more of it argues more for its owner."""
    found = set()
    for item in rulebook.evidence():
        if item.curve is not None:
            weights = [y for _, y in item.curve.points]
            if weights == sorted(weights):
                found.add((item.curve.over, item.owner))
    return sorted(found)


@settings(max_examples=25, deadline=None)
@given(seed=seeds)
def test_more_of_what_harms_never_lowers_the_odds_of_what_it_causes(
    rulebook: Rulebook, seed: int
) -> None:
    source = random.Random(seed)
    name, owner = source.choice(harmful_curves(rulebook))
    term = rulebook.vocabulary[name]
    others = [o for o in any_observations(rulebook, seed, most=15) if o.name != name]
    low, high = term.plausible or term.possible or (0.0, 1.0)
    scores = []
    for value in (low, low + (high - low) / 7, low + (high - low) / 3, high):
        beliefs = beliefs_of(rulebook, [*others, Observation(name, value, "measured", "supposed")])
        joined = [
            s.score
            for s in beliefs.standings
            if owner == s.cause or rulebook.causes[s.cause].works_through == (owner,)
        ]
        scores.append(joined)
    if only_rising_in(rulebook, name, owner):
        for before, after in pairwise(scores):
            assert sorted(after) >= sorted(b - 1e-9 for b in before)


def only_rising_in(rulebook: Rulebook, name: str, owner: str) -> bool:
    """Whether the quantity speaks to this owner (and what it is joined with) through rising
    curves alone.
    """
    causes = [c for c in rulebook.causes.values() if owner == c.id or c.works_through == (owner,)]
    owners = {c.id for c in causes} | {m for c in causes for m in c.works_through}
    items = [
        item
        for item in rulebook.evidence()
        if item.owner in owners
        and (
            any(leaf.name == name for way in item.when for leaf in way)
            or (item.curve is not None and item.curve.over == name)
        )
    ]
    return all(
        item.curve is not None
        and [y for _, y in item.curve.points] == sorted(y for _, y in item.curve.points)
        and all(leaf.kind == "known" for way in item.when for leaf in way if leaf.name == name)
        for item in items
    )


@settings(max_examples=30, deadline=None)
@given(seed=seeds)
def test_one_statement_keeps_a_humble_belief(rulebook: Rulebook, seed: int) -> None:
    """Two thirds, and more only by as much as the cause is common in itself."""
    beliefs = beliefs_of(rulebook, any_observations(rulebook, seed, most=1))
    common = base_rate(rulebook.causes[beliefs.first.cause], beliefs.question)
    assert beliefs.first.belief <= common + (1.0 - common) * 2.0 / 3.0


def test_nobody_is_told_to_do_what_the_facts_make_pointless(rulebook: Rulebook) -> None:
    hot = [
        Observation("temperature_c", 34.0, "measured", "supposed"),
        Observation("heater_state", "none", "told", "supposed"),
        Observation("death_shape", "none", "told", "supposed"),
        Observation("at_surface", "present", "told", "supposed"),
    ]
    steps = {item.step.id for item in diagnose(rulebook, hot).plan.steps}
    assert "unplug-doubtful-heater" not in steps and "remove-bodies" not in steps
    unknown = {item.step.id for item in diagnose(rulebook, [hot[0], hot[3]]).plan.steps}
    assert "remove-bodies" in unknown
    faulty = Observation("heater_state", "faulty", "told", "supposed")
    found = {item.step.id for item in diagnose(rulebook, [hot[0], faulty, hot[3]]).plan.steps}
    assert "unplug-doubtful-heater" in found


def test_who_has_measured_is_not_told_to_and_who_has_only_reckoned_is(rulebook: Rulebook) -> None:
    young = Observation("container_age_days", 14.0, "told", "supposed")
    shape = Observation("death_shape", "burst", "told", "supposed")
    values = {"tan_mg_l": 2.0, "nitrite_mg_l": 0.5, "ph": 7.9, "gh_dgh": 9.0}

    def steps(origin: Literal["measured", "estimated"]) -> set[str]:
        read = [Observation(name, value, origin, "supposed") for name, value in values.items()]
        plan = diagnose(rulebook, [young, shape, *read]).plan
        return {item.step.id for item in plan.steps}

    assert "measure-before-acting" not in steps("measured")
    assert "measure-before-acting" in steps("estimated")
