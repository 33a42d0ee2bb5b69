"""The last water change: how much, how warm, how mineral, how treated."""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values

DIED = "deaths: {first: 2026-03-14 08:00}\n"
TAP = "container: {water_source: tap}\n"


def change(fields: str = "share: 50 %", at: str = "2026-03-13 08:00") -> str:
    return f"events: [{{what: water-change, at: {at}, {fields}}}]\n"


def test_days_and_size_of_the_last_change(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + change())
    assert found["days_since_change"] == 1.0
    assert found["last_change_share"] == 50.0


def test_litres_poured_in_are_a_share_of_the_volume(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + change("volume: 2 L") + "container: {volume: 8 L}")
    assert found["last_change_share"] == 25.0


def test_where_the_log_is_silent_the_habit_gives_the_size(rulebook: Rulebook) -> None:
    found = values(rulebook, "container: {change: {share: 30 %, every: 10 days}}")
    assert found["last_change_share"] == 30.0
    assert found["change_interval_days"] == 10.0
    assert "did_water_change" not in found


def test_three_changes_in_the_log_show_how_often(rulebook: Rulebook) -> None:
    days = ("2026-02-21", "2026-02-28", "2026-03-07")
    rows = "".join(f"  - {{what: water-change, at: {day}}}\n" for day in days)
    assert values(rulebook, f"events:\n{rows}")["change_interval_days"] == 7.0


@pytest.mark.parametrize(
    ("used", "habit", "word"),
    [
        ("full", "never", "always"),
        ("none", "always", "missed"),
        ("part", "always", "missed"),
        ("none", "never", "never"),
    ],
)
def test_the_last_time_counts_for_the_conditioner_not_the_habit(
    rulebook: Rulebook, used: str, habit: str, word: str
) -> None:
    text = (
        change(f"conditioner: {used}") + f"container: {{water_source: tap, conditioner: {habit}}}"
    )
    assert values(rulebook, DIED + text)["conditioner_use"] == word


def test_the_habit_counts_where_the_last_time_was_not_told(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + change() + "container: {conditioner: never}")
    assert found["conditioner_use"] == "never"


def test_rain_water_without_conditioner_missed_nothing(rulebook: Rulebook) -> None:
    text = change("share: 50 %, conditioner: none") + "container: {water_source: rain}"
    found = values(rulebook, DIED + text)
    assert found["conditioner_use"] == "not_needed"
    assert found["untreated_share_percent"] == 0.0


def test_untreated_tap_water_is_counted_in_full_and_half_treated_by_an_estimate(
    rulebook: Rulebook,
) -> None:
    none = observed(rulebook, DIED + TAP + change("share: 60 %, conditioner: none"))
    part = observed(rulebook, DIED + TAP + change("share: 60 %, conditioner: part"))
    full = observed(rulebook, DIED + TAP + change("share: 60 %, conditioner: full"))
    assert none["untreated_share_percent"].value == 60.0
    assert none["untreated_share_percent"].origin == "derived"
    assert part["untreated_share_percent"].value == 30.0
    assert part["untreated_share_percent"].band == (0.0, 30.0, 60.0)
    assert part["untreated_share_percent"].origin == "estimated"
    assert full["untreated_share_percent"].value == 0.0


def test_chlorine_left_behind_needs_a_reading_of_the_tap(rulebook: Rulebook) -> None:
    text = DIED + TAP + change("share: 60 %, conditioner: none")
    assert "estimated_chlorine_mg_l" not in values(rulebook, text)
    read = text + "readings: [{what: chlorine, value: 1.5, where: tap}]"
    assert values(rulebook, read)["estimated_chlorine_mg_l"] == pytest.approx(0.9)


def test_cold_water_into_warm_is_a_step_of_so_many_degrees(rulebook: Rulebook) -> None:
    read = "readings: [{what: temperature, value: 23 C, at: 2026-03-13 07:00}]\n"
    found = observed(rulebook, DIED + read + change("temperature: 9 C"))
    assert found["change_temperature_step_c"].value == 14.0
    assert found["change_temperature_step_c"].origin == "derived"


def test_an_unheated_bowl_is_about_as_warm_as_its_room(rulebook: Rulebook) -> None:
    box = "container: {heater: none, room_temperature: 21 C}\n"
    found = observed(rulebook, DIED + box + change("temperature: 9 C"))["change_temperature_step_c"]
    assert (found.value, found.origin, found.band) == (12.0, "estimated", (10.0, 12.0, 14.0))


def test_a_bowl_read_just_after_the_change_does_not_tell_how_warm_it_was(
    rulebook: Rulebook,
) -> None:
    read = "readings: [{what: temperature, value: 16 C, at: 2026-03-13 09:00}]\n"
    found = values(rulebook, DIED + read + change("temperature: 9 C"))
    assert "change_temperature_step_c" not in found


def test_half_new_water_of_a_quarter_the_salts_takes_three_eighths_away(
    rulebook: Rulebook,
) -> None:
    read = "readings: [{what: solids, value: 400, at: 2026-03-12}]\n"
    found = values(rulebook, DIED + read + change("share: 50 %, solids: 100 ppm"))
    assert found["change_solids_step_percent"] == pytest.approx(37.5)


def test_readings_before_and_after_show_the_jump_too(rulebook: Rulebook) -> None:
    read = (
        "readings: [{what: gh, value: 10, at: 2026-03-12 08:00},"
        " {what: gh, value: 4, at: 2026-03-13 12:00}]\n"
    )
    found = values(rulebook, DIED + read + change())
    assert found["change_solids_step_percent"] == pytest.approx(60.0)


def test_tap_water_against_the_container_shows_the_jump_of_a_change(rulebook: Rulebook) -> None:
    read = (
        "readings: [{what: gh, value: 20, at: 2026-03-12 08:00},"
        " {what: gh, value: 10, where: tap}]\n"
    )
    found = values(rulebook, DIED + TAP + read + change("share: 80 %"))
    assert found["change_solids_step_percent"] == pytest.approx(40.0)


def test_newcomers_jump_from_the_water_of_the_bag(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        "readings: [{what: solids, value: 200, where: bag}, {what: solids, value: 320}]\n"
        "events: [{what: new-animals, at: yesterday}]",
    )
    assert found["change_solids_step_percent"] == pytest.approx(60.0)


def test_a_large_top_up_straight_from_the_tap_is_an_untreated_share(rulebook: Rulebook) -> None:
    poured = "events: [{what: top-up, at: 2026-03-14 06:00, share: 50 %, conditioner: none}]\n"
    found = values(rulebook, DIED + TAP + poured)
    assert found["untreated_share_percent"] == 50.0
    assert "last_change_share" not in found
    treated = poured.replace("conditioner: none", "conditioner: full")
    assert values(rulebook, DIED + TAP + treated)["untreated_share_percent"] == 0.0


def test_a_sunken_container_filled_up_at_once_went_through_a_step(rulebook: Rulebook) -> None:
    poured = "events: [{what: top-up, at: 2026-03-14 06:00, share: 60 %, conditioner: full}]\n"
    read = (
        "readings:\n"
        "  - {what: solids, value: 640 mg/L, at: 2026-03-14 05:00}\n"
        "  - {what: solids, value: 250 mg/L, at: 2026-03-14 07:00}\n"
    )
    found = values(rulebook, poured + read)
    assert found["change_solids_step_percent"] == pytest.approx(100.0 * 390.0 / 640.0)
    small = poured.replace("share: 60 %, ", "")
    assert "change_solids_step_percent" not in values(rulebook, small + read)
