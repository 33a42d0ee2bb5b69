"""How many share the water, what they weigh, what they are fed."""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values

BOWL = "container: {volume: 5 L}\n"


def test_forty_grown_shrimp_in_five_litres_are_eight_to_the_litre(rulebook: Rulebook) -> None:
    found = observed(rulebook, BOWL + "stock: {adults: 40}")
    mass_g = 40 * rulebook.species["hardy-dwarf"].adult_mass_mg / 1000
    assert found["shrimp_per_l"].value == pytest.approx(8.0)
    assert found["biomass_g_per_l"].value == pytest.approx(mass_g / 5)
    assert found["shrimp_per_l"].origin == "derived"


def test_females_and_males_make_up_the_adults(rulebook: Rulebook) -> None:
    found = values(rulebook, BOWL + "stock: {females: 6, males: 4}")
    assert found["shrimp_per_l"] == pytest.approx(2.0)


def test_a_young_one_counts_by_its_mass(rulebook: Rulebook) -> None:
    kind = rulebook.species["hardy-dwarf"]
    found = values(rulebook, BOWL + "stock: {adults: 10, juveniles: 20}")
    worth = 10 + 20 * kind.juvenile_mass_mg / kind.adult_mass_mg
    assert found["shrimp_per_l"] == pytest.approx(worth / 5)


def test_a_number_without_sizes_is_an_estimate(rulebook: Rulebook) -> None:
    found = observed(rulebook, BOWL + "deaths: {dead: 2, of: 20}")["shrimp_per_l"]
    kind = rulebook.species["hardy-dwarf"]
    assert found.origin == "estimated"
    assert found.band is not None
    assert found.band[0] == pytest.approx(4.0 * kind.juvenile_mass_mg / kind.adult_mass_mg)
    assert found.value == found.band[2] == pytest.approx(4.0)


def test_without_a_volume_nobody_is_crowded(rulebook: Rulebook) -> None:
    assert "shrimp_per_l" not in values(rulebook, "stock: {adults: 40}")


def test_weighed_food_is_derived_and_counted_pieces_are_an_estimate(rulebook: Rulebook) -> None:
    weighed = observed(rulebook, "stock: {adults: 25, feeding: {per_feed: 30 mg, times: daily}}")[
        "ration_mg_per_g_day"
    ]
    pieces = observed(
        rulebook, "stock: {adults: 25, feeding: {per_feed: two small pellets, times: daily}}"
    )["ration_mg_per_g_day"]
    assert weighed.value == pytest.approx(30.0)
    assert weighed.origin == "derived"
    assert pieces.origin == "estimated"
    assert pieces.band == pytest.approx((1.0, 3.0, 8.0))


def test_a_piece_of_unknown_weight_makes_no_ration(rulebook: Rulebook) -> None:
    found = values(
        rulebook, "stock: {adults: 25, feeding: {per_feed: one mulberry leaf, times: weekly}}"
    )
    assert "ration_mg_per_g_day" not in found
    assert found["feeds_per_week"] == 1.0


def test_the_feeds_of_the_log_show_habit_and_ration(rulebook: Rulebook) -> None:
    rows = "".join(
        f"  - {{what: feed, at: 2026-03-{day:02d} 09:00, amount: 20 mg}}\n" for day in range(2, 10)
    )
    found = observed(rulebook, f"stock: {{adults: 25}}\nevents:\n{rows}")
    assert found["feeds_per_week"].value == pytest.approx(7.0)
    assert found["ration_mg_per_g_day"].value == pytest.approx(20.0)


def test_only_a_named_species_tells_its_group(rulebook: Rulebook) -> None:
    assert values(rulebook, "stock: {species: bee shrimp}") == {"species_group": "soft_water_dwarf"}
    assert "species_group" not in values(rulebook, "stock: {adults: 5}")
