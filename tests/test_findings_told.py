"""What the keeper said in so many words is observed as it was said."""

from __future__ import annotations

import pytest

from diagnose.intake.problems import CaseErrors
from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values


def test_a_thing_seen_is_present_and_a_thing_looked_for_is_absent(rulebook: Rulebook) -> None:
    found = values(rulebook, "seen: [twitching]\nnot_seen: [cloudy_water]")
    assert found == {"twitching": "present", "cloudy_water": "absent"}


def test_what_was_not_told_makes_no_observation(rulebook: Rulebook) -> None:
    found = values(rulebook, "container: {kind: jar, volume: 6 L}")
    assert found == {"volume_l": 6.0}


def test_an_answer_keeps_its_word_and_its_number(rulebook: Rulebook) -> None:
    found = observed(rulebook, "told: {died_sizes: small_first, months_kept: 14 months}")
    assert found["died_sizes"].value == "small_first"
    assert found["months_kept"].value == 14.0
    assert {found[name].origin for name in ("died_sizes", "months_kept")} == {"told"}


def test_the_container_is_observed_in_the_words_of_the_vocabulary(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        "container: {filter: stopped, heater: none, co2: 'on', topup: tap, sun_hours: 3 h,"
        " surface_moved: yes, lid: sealed, age: 3 weeks}",
    )
    assert found == {
        "filter_state": "stopped",
        "heater_state": "none",
        "co2_feed": "on",
        "topup_water": "tap",
        "sun": "long",
        "surface_moved": "present",
        "lid": "sealed",
        "container_age_days": 21.0,
    }


@pytest.mark.parametrize(("hours", "word"), [("0 h", "none"), ("0.5 h", "short"), ("1 h", "long")])
def test_hours_of_sun_are_put_into_a_word(rulebook: Rulebook, hours: str, word: str) -> None:
    assert values(rulebook, f"container: {{sun_hours: {hours}}}")["sun"] == word


def test_without_filter_and_air_stone_nothing_moves_the_surface(rulebook: Rulebook) -> None:
    surface = observed(rulebook, "container: {filter: none}")["surface_moved"]
    assert (surface.value, surface.origin) == ("absent", "derived")


def test_food_gone_in_two_hours_leaves_nothing_over(rulebook: Rulebook) -> None:
    gone = "stock: {feeding: {eaten_within: 2 h}}"
    there = "stock: {feeding: {eaten_within: 10 h}}"
    assert values(rulebook, gone)["food_left_over"] == "absent"
    assert values(rulebook, there)["food_left_over"] == "present"


def test_of_two_kinds_of_snails_the_worse_off_counts(rulebook: Rulebook) -> None:
    found = values(
        rulebook,
        "stock: {others: [{kind: ramshorn snails, state: fine}, {kind: snail, state: dying}]}",
    )
    assert found == {"snails_state": "dead", "company_risk": "none"}


def test_fish_and_crayfish_are_kept_but_only_fish_gasp(rulebook: Rulebook) -> None:
    fish = values(rulebook, "stock: {others: [{kind: small fish, state: gasping}]}")
    crayfish = values(rulebook, "stock: {others: [{kind: crayfish, state: fine}]}")
    assert fish == {"fish_kept": "present", "fish_state": "gasping", "company_risk": "unknown"}
    assert crayfish == {
        "fish_kept": "present",
        "predator_seen": "present",
        "company_risk": "eats_grown",
    }


def test_snails_alone_do_not_say_that_there_are_no_fish(rulebook: Rulebook) -> None:
    assert "fish_kept" not in values(rulebook, "stock: {others: [{kind: snails, state: fine}]}")


def test_water_fleas_gone_are_microcrustaceans_gone(rulebook: Rulebook) -> None:
    found = values(rulebook, "stock: {others: [{kind: water fleas, state: gone}]}")
    assert found == {"microcrustaceans_state": "gone", "company_risk": "none"}


@pytest.mark.parametrize(
    "text",
    [
        "seen: [twitching]\ntold: {twitching: no}",
        "not_done: [spray]\ntold: {did_spray: yes}",
        "container: {sun: none}\ntold: {sun: long}",
        "events: [{what: water-change, at: 2 days ago}]\ntold: {did_water_change: no}",
    ],
)
def test_two_answers_that_exclude_each_other_are_refused(rulebook: Rulebook, text: str) -> None:
    with pytest.raises(CaseErrors, match=r"it is both .* and .* Keep the true one"):
        observed(rulebook, text)


def test_a_reading_goes_before_what_was_told(rulebook: Rulebook) -> None:
    found = observed(rulebook, "readings: [{what: ph, value: 7.2}]\ntold: {ph: 6.5}")
    assert (found["ph"].value, found["ph"].origin) == (7.2, "measured")


def test_what_was_told_goes_before_what_the_log_derives(rulebook: Rulebook) -> None:
    found = values(rulebook, "deaths: {dead: 1, of: 10}\ntold: {death_shape: trickle}")
    assert found["death_shape"] == "trickle"
