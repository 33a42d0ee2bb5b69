"""What the chemistry makes of readings, and how far they lie outside the animals' range.

The formulae are held against published tables in tests/published/water; here it is shown that the
right numbers reach them. Values are from the tables named beside them.
"""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values


def readings(*rows: str) -> str:
    return "readings:\n" + "\n".join(f"  - {{{row}}}" for row in rows) + "\n"


AMMONIA = "what: ammonia, value: 1, as: total-N, at: today"


def test_a_twentieth_of_the_ammonia_is_poisonous_at_ph_8_and_25_degrees(
    rulebook: Rulebook,
) -> None:
    # Emerson, Russo, Lund and Thurston 1975, J Fish Res Board Can 32:2379-2383: pKa at 25 C is
    # 0.09018 + 2729.92 / 298.15 = 9.2464, hence a share of 1 / (1 + 10^1.2464) = 5.37 %.
    found = observed(
        rulebook,
        readings(AMMONIA, "what: ph, value: 8, at: today", "what: temperature, value: 25 C"),
    )
    assert found["nh3_mg_l"].value == pytest.approx(0.0537, abs=0.0001)
    assert found["nh3_mg_l"].origin == "derived"


@pytest.mark.parametrize("other", ["what: ph, value: 8", "what: temperature, value: 25 C"])
def test_without_ph_or_temperature_the_poisonous_part_stays_unknown(
    rulebook: Rulebook, other: str
) -> None:
    assert "nh3_mg_l" not in values(rulebook, readings(AMMONIA, other))


def test_no_ammonia_is_no_poisonous_ammonia_at_any_ph(rulebook: Rulebook) -> None:
    assert values(rulebook, readings("what: ammonia, value: 0"))["nh3_mg_l"] == 0.0


def test_the_ph_of_the_same_hour_is_taken_not_that_of_last_week(rulebook: Rulebook) -> None:
    rows = [
        "what: ammonia, value: 1, as: total-N, at: 2026-03-07 18:00",
        "what: ph, value: 8, at: 2026-03-07 17:00",
        "what: ph, value: 6, at: 2026-03-14 17:00",
        "what: temperature, value: 25 C, at: 2026-03-07 17:00",
    ]
    found = values(rulebook, readings(*rows))
    assert found["ph"] == 6.0
    assert found["nh3_mg_l"] == pytest.approx(0.0537, abs=0.0001)


def test_told_numbers_serve_where_nothing_was_logged(rulebook: Rulebook) -> None:
    found = values(rulebook, "told: {tan_mg_l: 1, ph: 8, temperature_c: 25}")
    assert found["nh3_mg_l"] == pytest.approx(0.0537, abs=0.0001)


def test_half_the_oxygen_that_water_holds_at_20_degrees_is_50_percent(rulebook: Rulebook) -> None:
    # 9.09 mg/L at 20 C and 760 mmHg: U.S. Geological Survey, tables of dissolved oxygen, after
    # Benson and Krause 1984.
    rows = ["what: oxygen, value: 4.55, at: today", "what: temperature, value: 20 C, at: today"]
    assert values(rulebook, readings(*rows))["oxygen_percent"] == pytest.approx(50.0, abs=0.2)
    rows = ["what: oxygen, value: 50 %, at: today", "what: temperature, value: 20 C, at: today"]
    assert values(rulebook, readings(*rows))["oxygen_mg_l"] == pytest.approx(4.55, abs=0.02)


def test_the_same_oxygen_is_a_larger_share_high_in_the_hills(rulebook: Rulebook) -> None:
    rows = readings("what: oxygen, value: 6", "what: temperature, value: 20 C")
    sea = values(rulebook, rows)["oxygen_percent"]
    hills = values(rulebook, rows + "container: {altitude: 1500 m}")["oxygen_percent"]
    assert isinstance(sea, float)
    assert isinstance(hills, float)
    assert hills > sea * 1.15


CARBONATE = readings("what: kh, value: 4", "what: ph, value: 7", "what: temperature, value: 25 C")


def test_kh_4_at_ph_7_holds_about_12_mg_of_carbon_dioxide(rulebook: Rulebook) -> None:
    # The trade's table says 12 mg/L (3 * KH * 10^(7 - pH); common practice, no source).
    assert values(rulebook, CARBONATE)["co2_mg_l"] == pytest.approx(12.0, rel=0.15)


def test_over_plant_soil_alkalinity_tells_nothing_of_the_gas(rulebook: Rulebook) -> None:
    assert "co2_mg_l" not in values(rulebook, CARBONATE + "container: {substrate: soil}")


def test_dissolved_solids_come_from_the_conductivity_if_nothing_else(rulebook: Rulebook) -> None:
    found = observed(rulebook, readings("what: conductivity, value: 500"))["solids_mg_l"]
    assert found.value == pytest.approx(320.0)
    assert found.origin == "derived"
    found = observed(
        rulebook, readings("what: conductivity, value: 500", "what: solids, value: 280")
    )["solids_mg_l"]
    assert (found.value, found.origin) == (280.0, "measured")


def test_too_hot_too_soft_and_too_acid_are_told_by_the_species(rulebook: Rulebook) -> None:
    rows = ["what: temperature, value: 33 C", "what: gh, value: 3", "what: ph, value: 6.0"]
    hardy = values(rulebook, "stock: {species: cherry shrimp}\n" + readings(*rows))
    bees = values(rulebook, "stock: {species: bee shrimp}\n" + readings(*rows))
    comfortable = rulebook.species["hardy-dwarf"].comfortable
    assert hardy["heat_above_range_c"] == 33.0 - comfortable["temperature_c"][1]
    assert hardy["gh_below_range_dgh"] == comfortable["gh_dgh"][0] - 3.0
    assert hardy["ph_below_range"] == pytest.approx(comfortable["ph"][0] - 6.0)
    assert hardy["cold_below_range_c"] == 0.0
    assert bees["ph_below_range"] == 0.0


def test_a_mild_reading_a_week_later_does_not_say_that_it_was_never_hot(
    rulebook: Rulebook,
) -> None:
    today = readings("what: temperature, value: 23 C, at: today")
    later = values(rulebook, today + "deaths: {first: 8 days ago}")
    same_day = values(rulebook, today + "deaths: {first: today}")
    assert "heat_above_range_c" not in later
    assert same_day["heat_above_range_c"] == 0.0


def test_a_hot_reading_counts_whenever_it_was_taken(rulebook: Rulebook) -> None:
    today = readings("what: temperature, value: 34 C, at: today")
    found = values(rulebook, today + "deaths: {first: 8 days ago}")
    assert found["heat_above_range_c"] == 8.0


def test_a_mild_reading_does_not_speak_for_the_hour_after_cold_water(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        readings("what: temperature, value: 22 C, at: 2026-03-13 18:00")
        + "events: [{what: water-change, at: 2026-03-14 08:00, share: 50 %, temperature: 8 C}]\n"
        + "deaths: {first: 2026-03-14 09:00}",
    )
    assert "cold_below_range_c" not in found
