"""What instruments said, and how it moved."""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values


def log(what: str, *readings: tuple[str, float]) -> str:
    rows = "\n".join(f"  - {{what: {what}, at: {at}, value: {value}}}" for at, value in readings)
    return f"readings:\n{rows}\n"


def test_the_latest_reading_counts_and_says_where_it_comes_from(rulebook: Rulebook) -> None:
    found = observed(rulebook, log("ph", ("2026-03-13 08:00", 6.9), ("2026-03-14 07:10", 7.3)))
    assert found["ph"].value == 7.3
    assert found["ph"].origin == "measured"
    assert found["ph"].because == "reading, 2026-03-14 07:10: 7.3"


def test_two_readings_at_one_time_are_averaged(rulebook: Rulebook) -> None:
    found = values(rulebook, log("gh", ("2026-03-14 07:00", 6), ("2026-03-14 07:00", 8)))
    assert found["gh_dgh"] == 7.0


def test_a_reading_of_the_tap_says_nothing_of_the_container(rulebook: Rulebook) -> None:
    found = values(rulebook, "readings: [{what: gh, value: 9, where: tap}]")
    assert "gh_dgh" not in found


def test_an_ammonia_reading_of_last_month_does_not_speak_of_today(rulebook: Rulebook) -> None:
    found = values(rulebook, log("ammonia", ("2026-02-10", 2)) + "deaths: {first: today}")
    assert "tan_mg_l" not in found


def test_hardness_of_last_month_still_does(rulebook: Rulebook) -> None:
    found = values(rulebook, log("gh", ("2026-02-10", 9)) + "deaths: {first: today}")
    assert found["gh_dgh"] == 9.0


def test_kit_ammonia_is_turned_into_nitrogen(rulebook: Rulebook) -> None:
    # 14.007 of 17.031 g in a mole of NH3 (atomic weights of 2021, from memory).
    found = values(rulebook, "readings: [{what: ammonia, value: 1}]")
    assert found["tan_mg_l"] == pytest.approx(14.007 / 17.031)


def test_a_number_beyond_the_possible_becomes_the_last_possible_one(rulebook: Rulebook) -> None:
    highest = rulebook.vocabulary["copper_mg_l"].possible
    found = values(rulebook, "readings: [{what: copper, value: 900 mg/L}]")
    assert highest is not None
    assert found["copper_mg_l"] == highest[1]


def test_dawn_and_afternoon_show_the_swing_of_a_day(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        log(
            "temperature",
            ("2026-03-12 07:00", 17),
            ("2026-03-12 16:00", 26),
            ("2026-03-14 07:00", 15),
        ),
    )
    assert found["temperature_swing_c"] == 9.0
    assert found["temperature_max_c"] == 26.0
    assert found["temperature_min_c"] == 15.0
    assert found["temperature_rate_c_per_h"] == 1.0


def test_two_readings_within_the_hour_do_not_show_a_steady_day(rulebook: Rulebook) -> None:
    found = values(
        rulebook, log("temperature", ("2026-03-14 07:00", 22), ("2026-03-14 08:00", 22.1))
    )
    assert "temperature_swing_c" not in found


def test_readings_of_different_days_show_no_swing(rulebook: Rulebook) -> None:
    found = values(rulebook, log("temperature", ("2026-03-10 07:00", 17), ("2026-03-12 16:00", 26)))
    assert "temperature_swing_c" not in found


def test_a_sparse_log_does_not_show_that_nothing_went_fast(rulebook: Rulebook) -> None:
    found = values(rulebook, log("temperature", ("2026-03-14 07:00", 22), ("2026-03-14 17:00", 23)))
    assert "temperature_rate_c_per_h" not in found


def test_one_temperature_is_neither_the_highest_nor_the_lowest(rulebook: Rulebook) -> None:
    found = values(rulebook, log("temperature", ("2026-03-14 07:00", 22)))
    assert "temperature_max_c" not in found
    assert "temperature_min_c" not in found


def test_ph_between_dawn_and_evening_is_a_swing_and_over_months_a_fall(
    rulebook: Rulebook,
) -> None:
    swing = values(rulebook, log("ph", ("2026-03-14 06:00", 7.0), ("2026-03-14 17:00", 8.6)))
    fall = values(rulebook, log("ph", ("2026-01-10", 7.4), ("2026-03-13", 5.9)))
    assert swing["ph_swing"] == pytest.approx(1.6)
    assert "ph_fall" not in swing
    assert fall["ph_fall"] == pytest.approx(1.5)
    assert "ph_swing" not in fall


def test_a_rising_ph_has_not_fallen(rulebook: Rulebook) -> None:
    assert values(rulebook, log("ph", ("2026-01-10", 6.5), ("2026-03-13", 7.5)))["ph_fall"] == 0.0


@pytest.mark.parametrize("what", ["solids", "conductivity", "gh"])
def test_minerals_creep_up_over_weeks(rulebook: Rulebook, what: str) -> None:
    found = values(rulebook, log(what, ("2026-01-10", 20), ("2026-03-13", 30)))
    assert found["solids_rise_percent"] == pytest.approx(50.0)


def test_a_container_above_its_own_tap_water_has_crept_up(rulebook: Rulebook) -> None:
    text = (
        "readings: [{what: solids, value: 600, at: today},"
        " {what: solids, value: 200, at: today, where: tap}]\n"
    )
    tap = text + "container: {water_source: tap}"
    over_lime = text + "container: {water_source: tap, substrate: limestone}"
    assert values(rulebook, tap)["solids_rise_percent"] == pytest.approx(200.0)
    assert "solids_rise_percent" not in values(rulebook, over_lime)


def test_oxygen_read_before_the_light_is_dawn_oxygen(rulebook: Rulebook) -> None:
    found = values(rulebook, log("oxygen", ("2026-03-14 05:40", 2.1), ("2026-03-14 15:00", 9.0)))
    assert found["oxygen_dawn_mg_l"] == 2.1
    assert found["oxygen_mg_l"] == 9.0
