"""What was done before the first death, and how long before."""

from __future__ import annotations

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values

DIED = "deaths: {first: 2026-03-12 08:00}\n"


def test_plants_two_days_before_the_first_death_are_present_with_their_hours(
    rulebook: Rulebook,
) -> None:
    found = observed(rulebook, DIED + "events: [{what: new-plants, at: 2026-03-10 08:00}]")
    assert found["did_new_plants"].value == "present"
    assert found["hours_from_new_plants"].value == 48.0
    assert found["hours_from_new_plants"].because == "log: new-plants 48 h before the first death"


def test_the_latest_of_several_before_the_first_death_counts(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        DIED
        + "events:\n"
        + "  - {what: spray, at: 2026-03-13 08:00}\n"
        + "  - {what: spray, at: 2026-03-11 08:00}\n"
        + "  - {what: spray, at: 2026-03-08 08:00}\n",
    )
    assert found["hours_from_spray"] == 24.0


def test_what_came_after_the_first_death_is_neither_present_nor_absent(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + "events: [{what: water-change, at: 2026-03-13 08:00}]")
    assert "did_water_change" not in found
    assert "hours_from_water_change" not in found


def test_what_lay_longer_ago_than_a_fortnight_has_hours_but_was_not_done_lately(
    rulebook: Rulebook,
) -> None:
    found = values(rulebook, DIED + "events: [{what: moved, at: 2026-02-10 08:00}]")
    assert "did_moved" not in found
    assert found["hours_from_moved"] == 30 * 24.0


def test_only_what_was_asked_about_and_denied_is_absent(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + "not_done: [spray]")
    assert {n: v for n, v in found.items() if n.startswith("did_")} == {"did_spray": "absent"}


def test_where_nobody_died_hours_are_counted_to_the_asking(rulebook: Rulebook) -> None:
    text = "told: {death_shape: none}\nevents: [{what: netting, at: 5 h ago}]"
    found = observed(rulebook, text)
    assert found["hours_from_netting"].value == 5.0
    assert found["hours_from_netting"].because == "log: netting 5 h before asking"


def test_where_no_death_is_told_hours_are_counted_to_the_asking(rulebook: Rulebook) -> None:
    found = values(rulebook, "seen: [twitching]\nevents: [{what: spray, at: 5 h ago}]")
    assert found["hours_from_spray"] == 5.0


@pytest.mark.parametrize(
    "death", ["told: {death_shape: burst}", "deaths: {dead: 3}", "seen: [deaths_go_on]"]
)
def test_with_the_first_death_at_an_unknown_time_there_are_no_hours(
    rulebook: Rulebook, death: str
) -> None:
    found = observed(rulebook, f"{death}\nevents: [{{what: spray, at: 30 h ago}}]")
    assert found["did_spray"].value == "present"
    assert "hours_from_spray" not in found


def test_hours_told_from_the_first_death_need_no_date(rulebook: Rulebook) -> None:
    found = values(rulebook, "events: [{what: spray, at: 36 h before the first death}]")
    assert found == {"did_spray": "present", "hours_from_spray": 36.0, "losses": "some"}


def test_an_event_without_a_time_was_done_lately_at_an_unknown_hour(rulebook: Rulebook) -> None:
    found = values(rulebook, DIED + "events: [{what: medicine}]")
    assert found["did_medicine"] == "present"
    assert "hours_from_medicine" not in found


def test_two_days_named_without_an_hour_have_no_order_within_half_a_day(
    rulebook: Rulebook,
) -> None:
    same_day = values(
        rulebook, "deaths: {first: yesterday}\nevents: [{what: spray, at: yesterday}]"
    )
    assert same_day["did_spray"] == "present"
    assert "hours_from_spray" not in same_day
    day_before = values(
        rulebook, "deaths: {first: yesterday}\nevents: [{what: spray, at: 3 days ago}]"
    )
    assert day_before["hours_from_spray"] == 72.0 - 30.0


def test_the_first_of_the_counted_bodies_is_the_first_death(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        "deaths: {counts: [{at: 2026-03-13 08:00, dead: 1}, {at: 2026-03-12 08:00, dead: 1}]}\n"
        "events: [{what: spray, at: 2026-03-11 08:00}]",
    )
    assert found["hours_from_spray"] == 24.0


def test_a_death_in_the_log_is_a_first_death_too(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        "events:\n"
        "  - {what: spray, at: 2026-03-11 08:00}\n"
        "  - {what: death, at: 2026-03-12 08:00, count: 2}\n",
    )
    assert found["hours_from_spray"] == 24.0


def test_the_span_of_the_deaths_places_the_first_one(rulebook: Rulebook) -> None:
    found = values(
        rulebook, "deaths: {dead: 6, over: 24 h}\nevents: [{what: spray, at: 3 days ago}]"
    )
    assert found["hours_from_spray"] == 48.0


@pytest.mark.parametrize("first", ["2026-03-12 08:00", "2026-03-12"])
def test_what_was_done_on_the_day_of_the_first_death_came_before_it_at_no_known_hour(
    rulebook: Rulebook, first: str
) -> None:
    death = f"deaths: {{first: {first}, dead: 3}}\n"
    found = observed(rulebook, death + "events: [{what: new-plants, at: 2026-03-12}]")
    assert found["did_new_plants"].value == "present"
    assert "on the day of the first death" in found["did_new_plants"].because
    assert "hours_from_new_plants" not in found


def test_the_change_before_the_first_death_counts_not_the_one_that_was_to_help(
    rulebook: Rulebook,
) -> None:
    found = values(
        rulebook,
        DIED
        + "events:\n"
        + "  - {what: water-change, at: 2026-03-11 08:00, share: 30 %}\n"
        + "  - {what: water-change, at: 2026-03-12 20:00, share: 80 %}\n",
    )
    assert found["hours_from_water_change"] == 24.0
    assert found["last_change_share"] == 30.0
