"""What everybody who keeps small planted bowls agrees on.

Common practice, no source, unless a source is named.
"""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from diagnose.uses.care import care_of_case
from tests.stocking_jars import CLEAN, NOW, jar, may_come, observed


@pytest.mark.parametrize("litres", [4, 5, 6, 8])
@pytest.mark.parametrize("adults", [5, 8, 10])
def test_five_to_ten_may_come_into_a_mature_planted_bowl_of_4_to_8_litres(
    rulebook: Rulebook, litres: float, adults: int
) -> None:
    assert may_come(rulebook, jar(volume_l=litres), adults).judgement.verdict == "add now"


@pytest.mark.parametrize("litres", [4, 6, 8])
def test_forty_may_not(rulebook: Rulebook, litres: float) -> None:
    found = may_come(rulebook, jar(volume_l=litres), 40)
    assert found.judgement.verdict == "do not add" and found.limit == "capacity"
    assert 5 <= found.now < 40


@pytest.mark.parametrize("litres", [4, 20, 200])
@pytest.mark.parametrize("planting", ["none", "sparse", "moderate", "dense"])
def test_nothing_goes_into_a_container_of_one_week(
    rulebook: Rulebook, litres: float, planting: str
) -> None:
    found = may_come(rulebook, jar(age_days=7, volume_l=litres, planting=planting), 1)
    assert found.judgement.verdict != "add now" and found.now == 0
    assert found.earliest is not None and 14 <= (found.earliest - NOW.date()).days <= 90


def test_material_from_a_settled_container_shortens_the_wait_but_not_to_a_week(
    rulebook: Rulebook,
) -> None:
    bare = may_come(rulebook, jar(age_days=7), 4)
    moved = may_come(rulebook, jar(age_days=7, case={"seen": ("settled_material",)}), 4)
    assert moved.judgement.verdict == "wait"
    assert bare.earliest is not None and moved.earliest is not None
    assert moved.earliest < bare.earliest


def test_thin_facts_ask_for_a_measurement_first(rulebook: Rulebook) -> None:
    found = may_come(rulebook, jar(readings={}), 6)
    assert found.judgement.verdict == "wait" and found.limit == "facts"
    missing = {fact.id for fact in found.judgement.unknown}
    assert {"ammonia", "nitrite", "warmth", "minerals"} <= missing
    assert found.later is not None and found.later >= 6


@pytest.mark.parametrize(
    ("others", "verdict"),
    [
        ("ramshorn snails", "add now"),
        ("dwarf crayfish", "do not add"),
        ("betta", "do not add"),
        ("damselfly nymph", "do not add"),
        ("guppies", "do not add"),
    ],
)
def test_snails_are_good_company_and_hunters_are_not(
    rulebook: Rulebook, others: str, verdict: str
) -> None:
    case = jar(stock={"others": ({"kind": others, "count": 2},)}, case={"not_seen": ()})
    assert may_come(rulebook, case, 6).judgement.verdict == verdict


def test_two_kinds_that_need_different_water_are_kept_apart(rulebook: Rulebook) -> None:
    cherries = jar(stock={"species": "cherry shrimp", "adults": 3}, volume_l=20)
    cherries = cherries.model_copy(update={"seen": ("survivors_normal",)})
    found = may_come(rulebook, cherries, 5, "bee shrimp")
    assert found.judgement.verdict == "do not add"
    assert found.judgement.trace.observations["shrimp_company"].value == "other_water"


def test_two_colours_of_one_kind_will_interbreed(rulebook: Rulebook) -> None:
    blue = jar(stock={"species": "blue dream", "adults": 3}, case={"seen": ("survivors_normal",)})
    found = may_come(rulebook, blue, 3, "yellow shrimp")
    assert found.judgement.trace.observations["shrimp_company"].value == "may_interbreed"


def test_the_care_of_such_a_bowl_is_a_weekly_half_change_and_small_feeds(
    rulebook: Rulebook,
) -> None:
    bowl = jar(
        volume_l=6,
        stock={"species": "cherry shrimp", "adults": 8},
        readings={**CLEAN, "solids": 220.0},
        water_source="tap",
    )
    plan = care_of_case(rulebook, observed(rulebook, bowl), now=NOW, with_outlook=False)
    assert plan.change.share == pytest.approx(0.5) and plan.change.every_days == 7
    assert plan.ration.feeds_a_day >= 2
    assert 0.01 * 320 <= plan.ration.mg_a_day <= 0.03 * 320
    leftovers = next(task for task in plan.tasks if task.topic == "leftovers")
    assert "2 to 3 hours" in leftovers.what
    words = " ".join(task.what for task in plan.tasks)
    assert "20 to 24 C" in words and "Dose by its label" in words


def test_a_breeding_bowl_needs_young_taken_out(rulebook: Rulebook) -> None:
    """30 to 50 young per female every four to six weeks: a bowl of 6 L fills within two months."""
    bowl = jar(
        volume_l=6,
        stock={"species": "cherry shrimp", "adults": 10, "berried": 3},
        readings={**CLEAN, "temperature": 25.0},
    )
    plan = care_of_case(rulebook, observed(rulebook, bowl), now=NOW)
    assert plan.outlook is not None
    low, middle, high = plan.outlook.young_out
    assert middle >= 10 and low <= middle <= high
    task = next(task for task in plan.tasks if task.topic == "young to give away")
    assert "Never outdoors" in task.what and task.first is not None


def test_larvae_that_need_the_sea_leave_no_young_to_take_out(rulebook: Rulebook) -> None:
    tank = jar(volume_l=60, filter="running", stock={"species": "Amano shrimp", "adults": 6})
    plan = care_of_case(rulebook, observed(rulebook, tank), now=NOW)
    assert not any(task.topic == "young to give away" for task in plan.tasks)
