"""What was tried after the first harm and what followed, what harm comes back with, how soon they
fell ill; which readings still count; and what is set aside, with its reason.
"""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.findings.set_aside import set_aside
from diagnose.intake.case import Case, Event
from diagnose.intake.moments import read_moment
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from tests.observed import ASKED_AT, observations, observed, values, written_case

RULEBOOK = load_rulebook(bundled("knowledge"))
DIED = "deaths: {first: 2026-03-12 08:00}\n"


def aside(rulebook: Rulebook, text: str) -> dict[str, str]:
    case = written_case(rulebook, text)
    return dict(set_aside(case, rulebook.vocabulary, now=ASKED_AT))


@pytest.mark.parametrize(
    ("event", "followed", "name", "word"),
    [
        ("water-change", "recovered", "change_helped", "yes"),
        ("water-change", "died on", "change_helped", "no"),
        ("water-change", "worse", "change_helped", "worse"),
        ("air-added", "helped", "air_helped", "yes"),
        ("cooled", "no change", "tried_cooling", "nothing"),
        ("fasting", "helped", "tried_food_stop", "helped"),
        ("medicine", "more died", "tried_medicine", "worse"),
        ("carbon-added", "better", "tried_carbon", "helped"),
    ],
)
def test_what_followed_what_was_tried_is_an_observation(
    rulebook: Rulebook, event: str, followed: str, name: str, word: str
) -> None:
    text = f"events: [{{what: {event}, at: 2026-03-13 08:00, followed: {followed}}}]"
    found = observed(rulebook, DIED + text)
    assert (found[name].value, found[name].origin) == (word, "told")
    assert found[name].statement == "events[0]"
    assert "did_water_change" not in found


def test_who_dies_a_day_after_the_water_change_was_not_saved_by_it(rulebook: Rulebook) -> None:
    change = "events: [{what: water-change, at: 2026-03-12 20:00}]"
    went_on = observed(
        rulebook, "deaths: {first: 2026-03-12 08:00, last: 2026-03-14 08:00}\n" + change
    )
    assert (went_on["change_helped"].value, went_on["change_helped"].origin) == ("no", "derived")
    within_hours = "deaths: {first: 2026-03-12 08:00, last: 2026-03-12 23:00}\n"
    assert "change_helped" not in values(rulebook, within_hours + change)


def test_what_was_tried_without_a_word_of_what_followed_is_set_aside(rulebook: Rulebook) -> None:
    text = DIED + "events: [{what: water-change, at: 2026-03-13 08:00}]"
    assert "change_helped" not in values(rulebook, text)
    assert "what followed is not told" in aside(rulebook, text)["events[0]"]


def test_an_event_after_the_first_death_is_set_aside_until_told_what_followed(
    rulebook: Rulebook,
) -> None:
    text = DIED + "events: [{what: netting, at: 2026-03-13 08:00}]"
    assert "what followed is not told" in aside(rulebook, text)["events[0]"]
    before = DIED + "events: [{what: netting, at: 2026-03-11 08:00}]"
    assert aside(rulebook, before) == {}


def test_a_log_without_times_is_read_from_top_to_bottom(rulebook: Rulebook) -> None:
    """A change, then deaths, then all moved to clean water: only the change came before."""
    text = (
        "events:\n"
        "  - {what: water-change}\n"
        "  - {what: death, count: 4}\n"
        "  - {what: container-exchanged, followed: recovered}\n"
    )
    found = values(rulebook, text)
    assert found["did_water_change"] == "present"
    assert "did_container_exchanged" not in found
    assert found["change_helped"] == "yes"


def test_a_log_that_is_not_in_order_of_time_tells_nothing_by_its_order(rulebook: Rulebook) -> None:
    text = (
        "events:\n"
        "  - {what: death, at: 2026-03-12 08:00}\n"
        "  - {what: spray}\n"
        "  - {what: pruning, at: 2026-03-10 08:00}\n"
    )
    assert values(rulebook, text)["did_spray"] == "present"


@pytest.mark.parametrize(
    ("at", "present"), [("before the deaths", True), ("after the deaths", False)]
)
def test_before_and_after_the_deaths_are_times(rulebook: Rulebook, at: str, present: bool) -> None:
    found = values(rulebook, f"deaths: {{dead: 3}}\nevents: [{{what: spray, at: {at}}}]")
    assert ("did_spray" in found) is present
    assert "hours_from_spray" not in found


def test_a_day_without_an_hour_is_held_to_be_before_and_after(rulebook: Rulebook) -> None:
    found = observed(rulebook, "deaths: {first: yesterday}\nevents: [{what: spray, at: yesterday}]")
    assert found["did_spray"].either == ("present", "absent")
    assert "before it or after it" in found["did_spray"].because
    surely = observed(
        rulebook, "deaths: {first: yesterday}\nevents: [{what: spray, at: 3 days ago}]"
    )
    assert surely["did_spray"].either is None


def test_a_rough_time_gives_rough_hours(rulebook: Rulebook) -> None:
    found = observed(rulebook, DIED + "events: [{what: spray, at: just before the first death}]")
    assert found["did_spray"].either is None
    span = found["hours_from_spray"].span
    assert span is not None
    assert span[0] < 6.0 < span[1]


def test_hours_count_to_the_first_illness_where_that_came_first(rulebook: Rulebook) -> None:
    text = (
        "deaths: {first: 2026-03-13 08:00, ill_since: 2026-03-12 10:00}\n"
        "events:\n"
        "  - {what: water-change, at: 2026-03-12 08:00}\n"
        "  - {what: air-added, at: 2026-03-12 14:00, followed: helped}\n"
    )
    found = observed(rulebook, text)
    assert found["hours_from_water_change"].value == 2.0
    assert "first illness" in found["hours_from_water_change"].because
    assert found["hours_to_illness"].value == 2.0
    assert found["air_helped"].value == "yes"
    assert "did_air_added" not in found


def test_ill_within_minutes_of_what_was_done(rulebook: Rulebook) -> None:
    text = DIED + "events: [{what: water-change, ill_within: 10 min}]"
    found = values(rulebook, text)
    assert found["hours_to_illness"] == pytest.approx(1.0 / 6.0)
    assert found["hours_from_water_change"] == pytest.approx(1.0 / 6.0)


@pytest.mark.parametrize(
    "written", ["harm_each_time: yes", "at: each time", "harm_each_time: yes, times: 3"]
)
def test_harm_that_comes_back_with_each_change(rulebook: Rulebook, written: str) -> None:
    found = observed(rulebook, f"events: [{{what: water-change, {written}}}]")
    assert found["harm_follows"].value == "water_change"


def test_the_season_is_told_of_the_container_or_by_the_month(rulebook: Rulebook) -> None:
    assert values(rulebook, "container: {season: August, outdoor: yes}") == {
        "season": "summer",
        "kept_outdoors": "present",
    }
    assert values(rulebook, "container: {season: late winter}") == {"season": "winter"}


def test_another_container_is_read_with_the_same_test(rulebook: Rulebook) -> None:
    text = (
        "readings:\n"
        "  - {what: ph, value: 7.2}\n"
        "  - {what: gh, value: 6}\n"
        "  - {what: ph, value: 7.4, where: other_container}\n"
        "  - {what: gh, value: %s, where: other_container}\n"
    )
    assert values(rulebook, text % 7)["other_container_reads"] == "alike"
    different = observed(rulebook, text % 14)
    assert different["other_container_reads"].value == "different"
    assert different["gh_dgh"].value == 6.0


# Readings have an age.


def test_this_mornings_oxygen_goes_before_the_lowest_ever_logged(rulebook: Rulebook) -> None:
    text = (
        "deaths: {first: 2026-03-14 06:00}\n"
        "readings:\n"
        "  - {what: oxygen, value: 1.2, at: 2026-02-20 05:30}\n"
        "  - {what: oxygen, value: 7.5, at: 2026-03-14 05:30}\n"
    )
    assert values(rulebook, text)["oxygen_dawn_mg_l"] == 7.5
    assert "readings[0]" in aside(rulebook, text)


def test_oxygen_read_once_air_was_given_does_not_clear_the_night_of_the_deaths(
    rulebook: Rulebook,
) -> None:
    text = (
        "deaths: {first: 2026-03-13 05:00}\n"
        "readings:\n"
        "  - {what: oxygen, value: 1.2, at: 2026-03-13 05:30}\n"
        "  - {what: oxygen, value: 7.5, at: 2026-03-14 05:30}\n"
    )
    assert values(rulebook, text)["oxygen_dawn_mg_l"] == 1.2


def test_a_ph_of_two_years_ago_makes_no_fall(rulebook: Rulebook) -> None:
    old = "{what: ph, value: 7.6, at: 2024-01-10}, {what: ph, value: 5.4, at: 2024-03-10}"
    found = values(rulebook, f"{DIED}readings: [{old}]")
    assert "ph_fall" not in found
    assert "ph" not in found
    lately = "{what: ph, value: 7.6, at: 2026-01-10}, {what: ph, value: 5.4, at: 2026-03-10}"
    assert values(rulebook, f"{DIED}readings: [{lately}]")["ph_fall"] == pytest.approx(2.2)


def test_a_hot_day_twelve_days_before_heats_no_deaths_of_today(rulebook: Rulebook) -> None:
    hot = "{what: temperature, value: 33 C, at: 2026-03-02 15:00}"
    now = "{what: temperature, value: 22 C, at: 2026-03-14 07:00}"
    found = values(rulebook, f"deaths: {{first: 2026-03-14 06:00}}\nreadings: [{hot}, {now}]")
    assert "temperature_max_c" not in found
    assert found["temperature_c"] == 22.0
    assert found["heat_above_range_c"] == 0.0
    near = "{what: temperature, value: 33 C, at: 2026-03-13 15:00}"
    found = values(rulebook, f"deaths: {{first: 2026-03-14 06:00}}\nreadings: [{near}, {now}]")
    assert found["temperature_max_c"] == 33.0


def test_water_changed_to_help_does_not_clear_the_water_before(rulebook: Rulebook) -> None:
    text = (
        "deaths: {first: 2026-03-12 08:00}\n"
        "events: [{what: water-change, at: 2026-03-12 20:00}]\n"
        "readings:\n"
        "  - {what: nitrate, value: 180 mg/L, at: 2026-03-12 10:00}\n"
        "  - {what: nitrate, value: 5 mg/L, at: 2026-03-13 10:00}\n"
    )
    assert values(rulebook, text)["nitrate_mg_l"] == 180.0
    assert "changed to help" in aside(rulebook, text)["readings[1]"]


def test_every_quantity_that_is_read_says_for_how_long_it_holds(rulebook: Rulebook) -> None:
    vocabulary = rulebook.vocabulary
    for name in ("temperature_c", "ph", "tan_mg_l", "nitrite_mg_l", "oxygen_mg_l", "copper_mg_l"):
        assert vocabulary[name].holds_h
    for name in ("temperature_max_c", "temperature_min_c", "oxygen_dawn_mg_l", "ph_fall"):
        assert vocabulary[name].matters_h


# Channel and statement.


def test_every_observation_says_which_statement_it_rests_on(rulebook: Rulebook) -> None:
    text = (
        "container: {volume: 6 L, filter: none, water_source: tap, conditioner: never}\n"
        "stock: {species: hardy dwarf, adults: 9, feeding: {times: daily, eaten_within: 5 h}}\n"
        "deaths: {first: 2026-03-12 08:00, dead: 3}\n"
        "seen: [twitching]\nnot_seen: [foul_smell]\nnot_done: [spray]\ntold: {bodies: whole}\n"
        "events: [{what: water-change, at: 2026-03-11 08:00, share: 50 %}]\n"
        "readings: [{what: ammonia, value: 1 mg/L}, {what: ph, value: 7.4}, "
        "{what: temperature, value: 24 C}, {what: kh, value: 4}]\n"
    )
    found = observed(rulebook, text)
    assert [item.name for item in found.values() if not item.statement] == []
    assert found["surface_moved"].statement == "container.filter"
    assert found["volume_l"].statement == "container.volume"
    assert found["nh3_mg_l"].statement == "readings[0]"
    assert found["last_change_share"].statement == "events[0]"
    assert found["deaths_share"].statement == "deaths"


def test_what_follows_from_an_answer_that_was_asked_for_was_asked_for(rulebook: Rulebook) -> None:
    text = (
        "readings: [{what: temperature, value: 33 C}]\nseen: [twitching, racing]\n"
        "asked: [temperature_c, racing]\n"
    )
    found = observed(rulebook, text)
    assert {name for name, item in found.items() if item.asked} == {
        "temperature_c",
        "heat_above_range_c",
        "cold_below_range_c",
        "racing",
    }


# Laws.

dated = st.builds(
    lambda what, hours, followed: Event.model_validate(
        {"what": what, "at": read_moment(f"{hours} h ago"), "followed": followed}
    ),
    st.sampled_from(["water-change", "air-added", "medicine", "spray", "death"]),
    st.integers(0, 200),
    st.sampled_from([None, "helped", "nothing", "worse"]),
)


@given(st.lists(dated, max_size=7), st.randoms(use_true_random=False))
def test_the_order_of_dated_events_changes_neither_what_is_found_nor_what_is_set_aside(
    events: list[Event], order: object
) -> None:
    mixed = list(events)
    order.shuffle(mixed)  # type: ignore[attr-defined]
    one = Case(case="jar", asked_at=datetime(2026, 3, 14, 18, 0), events=tuple(events))
    other = one.model_copy(update={"events": tuple(mixed)})
    assert observations(RULEBOOK, one) == observations(RULEBOOK, other)
    reasons = [
        sorted(item.why for item in set_aside(case, RULEBOOK.vocabulary, now=ASKED_AT))
        for case in (one, other)
    ]
    assert reasons[0] == reasons[1]
