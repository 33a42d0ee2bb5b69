"""The gates, the ration and the way in against published limits for holding aquatic animals.

Each row of `holding_limits.csv` names its source, its provenance and how much of it was seen.
The limits are of three kinds (acceptability of a test, husbandry, effect); none was measured on
dwarf shrimp unless the row says so.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.acclimation.plan import Water, acclimation_plan
from diagnose.care.feeding import ration
from diagnose.rulebook.terms import Rulebook
from diagnose.water.ammonia import unionised_fraction
from diagnose.water.nitrogen import nitrite_as_n
from tests.stocking_jars import CLEAN, jar, may_come

ROWS = list(csv.DictReader(Path(__file__).with_name("holding_limits.csv").open(encoding="utf-8")))
NH3_PER_N = 17.031 / 14.007


def limits(quantity: str) -> list[float]:
    return [float(row["limit"]) for row in ROWS if row["quantity"] == quantity]


def shut(rulebook: Rulebook, **readings: float) -> set[str]:
    case = jar(readings=CLEAN | readings)
    return {met.gate.limit for met in may_come(rulebook, case, 4).shut}


@pytest.mark.parametrize("limit", limits("nh3_mg_l"))
@pytest.mark.parametrize("ph", [7.0, 8.0, 8.8])
def test_free_ammonia_above_the_holding_limit_shuts_a_gate(
    rulebook: Rulebook, limit: float, ph: float
) -> None:
    tan = 1.3 * limit / NH3_PER_N / unionised_fraction(ph, 22.0)
    assert "ammonia" in shut(rulebook, ammonia=tan, ph=ph)


@pytest.mark.parametrize("limit", limits("nh3_mg_l"))
def test_free_ammonia_well_below_the_limit_shuts_none(rulebook: Rulebook, limit: float) -> None:
    tan = 0.4 * limit / NH3_PER_N / unionised_fraction(8.8, 22.0)
    assert "ammonia" not in shut(rulebook, ammonia=tan, ph=8.8)


@pytest.mark.parametrize("limit", limits("nitrite_mg_l"))
def test_nitrite_is_held_to_the_limit_of_the_trade(rulebook: Rulebook, limit: float) -> None:
    assert "nitrite" in shut(rulebook, nitrite=nitrite_as_n(1.1 * limit))
    assert "nitrite" not in shut(rulebook, nitrite=nitrite_as_n(0.5 * limit))


@pytest.mark.parametrize("limit", limits("nitrate_mg_l"))
def test_nitrate_is_held_near_the_limit_for_sensitive_invertebrates(
    rulebook: Rulebook, limit: float
) -> None:
    assert "nitrate" in shut(rulebook, nitrate=1.2 * limit)
    assert "nitrate" not in shut(rulebook, nitrate=0.6 * limit)


def test_oxygen_is_held_to_sixty_percent_and_five_milligrams(rulebook: Rulebook) -> None:
    (share,), (least,) = limits("oxygen_percent"), limits("oxygen_mg_l")
    saturation = 8.74  # mg/L at 22 degC and 760 mmHg, Benson and Krause 1984
    assert "oxygen" in shut(rulebook, oxygen=0.95 * share / 100 * saturation)
    assert "oxygen" in shut(rulebook, oxygen=0.95 * least)
    assert "oxygen" not in shut(rulebook, oxygen=1.25 * share / 100 * saturation)


@pytest.mark.parametrize("limit", limits("chlorine_mg_l"))
def test_chlorine_above_that_of_dilution_water_shuts_a_gate(
    rulebook: Rulebook, limit: float
) -> None:
    assert "chlorine" in shut(rulebook, chlorine=1.05 * limit)
    assert "chlorine" not in shut(rulebook, chlorine=0.0)


@pytest.mark.parametrize("limit", limits("copper_mg_l"))
def test_half_of_a_lethal_copper_concentration_forbids(rulebook: Rulebook, limit: float) -> None:
    found = may_come(rulebook, jar(readings=CLEAN | {"copper": 0.5 * limit}), 4)
    assert found.judgement.verdict == "do not add" and found.limit == "copper"


@pytest.mark.parametrize("planting", ["none", "sparse", "moderate", "dense"])
@pytest.mark.parametrize("filtered", ["none", "running"])
def test_no_container_is_given_more_than_the_bench_allows(
    rulebook: Rulebook, planting: str, filtered: str
) -> None:
    """Loading limits are ceilings of a test bench: husbandry stays far below them."""
    ceiling = min(limits("loading_g_l"))
    found = may_come(rulebook, jar(volume_l=10, planting=planting, filter=filtered), 1)
    grams = found.now * 0.040
    assert 0.0 < grams / 10.0 <= 0.4 * ceiling


def test_what_may_come_lies_within_the_densities_of_the_published_trial(
    rulebook: Rulebook,
) -> None:
    """Reared at 2.5 to 10 a litre: a still planted jar is given about the thinnest of these, and
    none is given the densest."""
    thin, dense = min(limits("density_per_l")), max(limits("density_per_l"))
    still = may_come(rulebook, jar(volume_l=10), 1).now / 10.0
    best = may_come(rulebook, jar(volume_l=10, planting="dense", filter="running"), 1).now / 10.0
    assert still == pytest.approx(thin, rel=0.15)
    assert still < best < dense


@pytest.mark.parametrize("limit", limits("temperature_step_c"))
@pytest.mark.parametrize("gap_c", [0.5, 2.0, 3.0, 4.5, 8.0])
def test_the_way_in_keeps_to_the_published_rate_of_warming(
    rulebook: Rulebook, limit: float, gap_c: float
) -> None:
    for sign in (1, -1):
        plan = acclimation_plan(
            Water(temperature_c=22 + sign * gap_c), Water(temperature_c=22), rulebook.numbers
        )
        windows = max(1.0, plan.temperature_hours / 12.0)
        assert gap_c / windows <= limit + 1e-9
        assert plan.total_h >= plan.temperature_hours


@pytest.mark.parametrize("limit", limits("ration_percent"))
def test_the_ration_is_of_the_size_of_published_ones(rulebook: Rulebook, limit: float) -> None:
    food = ration(1.0, 24.0, rulebook.numbers)
    assert 0.3 * limit <= food.mg_a_day / 1000.0 * 100.0 <= limit
    assert food.low_mg_a_day < food.mg_a_day < food.high_mg_a_day


def test_food_is_out_before_pellets_have_leached_for_long(rulebook: Rulebook) -> None:
    out = rulebook.numbers["leftovers_out_h"]
    assert out.between is not None and out.between[0] <= limits("eaten_within_h")[0]
    assert out.value <= limits("eaten_within_h")[0] + 1.0


def test_the_feed_is_as_rich_as_published_shrimp_feeds(rulebook: Rulebook) -> None:
    low, high = sorted(limits("protein_percent"))
    assert low <= 100 * rulebook.numbers["feed_protein_share"].value <= high


def test_the_ration_feeds_what_the_animals_breathe(rulebook: Rulebook) -> None:
    """Food of about 18 kJ/g against oxygen used at 14 kJ/g (both from memory): the ration covers
    the mean respiration published for a small freshwater shrimp, and is at most four times that;
    the rest goes into growth, skins, broods and what is not digested."""
    (breathing,) = limits("respiration_mg_g_h")
    needed_kj = breathing * 24.0 / 1000.0 * 14.0
    given_kj = ration(1.0, 24.0, rulebook.numbers).mg_a_day / 1000.0 * 18.0
    assert 1.0 <= given_kj / needed_kj <= 4.0


def test_every_row_names_its_source_and_how_it_was_seen() -> None:
    for row in ROWS:
        assert len(row["citation"]) > 20
        assert (row["provenance"], row["seen"]) == ("from memory", "") or (
            row["provenance"] == "published" and row["seen"] in ("text", "secondary", "abstract")
        )
