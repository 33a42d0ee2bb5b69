"""What an answer rests on without having been told, and what nobody wrote down."""

from __future__ import annotations

from diagnose.findings.assumptions import assumptions, not_logged
from diagnose.rulebook.terms import Rulebook
from tests.observed import observations, written_case


def missing(rulebook: Rulebook, text: str) -> tuple[str, ...]:
    case = written_case(rulebook, text)
    return not_logged(case, observations(rulebook, case), rulebook.vocabulary)


def assumed(rulebook: Rulebook, text: str) -> str:
    return "\n".join(assumptions(written_case(rulebook, text), rulebook.companions))


def test_a_thin_story_lacks_nearly_every_topic(rulebook: Rulebook) -> None:
    found = missing(rulebook, "seen: [twitching]")
    assert "how the living behave" not in found
    assert {"the feeding", "the temperature", "ammonia and nitrite", "pH"} <= set(found)


def test_a_reading_takes_its_topic_off_the_list(rulebook: Rulebook) -> None:
    assert "pH" not in missing(rulebook, "readings: [{what: ph, value: 7}]")


def test_a_told_habit_of_feeding_is_something_known(rulebook: Rulebook) -> None:
    text = "stock: {feeding: {per_feed: one mulberry leaf}}"
    assert "the feeding" not in missing(rulebook, text)


def test_how_a_kit_counts_is_said(rulebook: Rulebook) -> None:
    kit = assumed(rulebook, "readings: [{what: ammonia, value: 0.5}]")
    laboratory = assumed(rulebook, "readings: [{what: ammonia, value: 0.5, as: total-N}]")
    assert "Ammonia was read as the total, counted as NH3" in kit
    assert "Ammonia" not in laboratory


def test_what_a_pellet_weighs_is_said(rulebook: Rulebook) -> None:
    found = assumed(rulebook, "stock: {feeding: {per_feed: one pellet, times: daily}}")
    assert "Food was reckoned at 10 mg (1 to 30) for one pellet." in found


def test_the_species_is_assumed_only_where_it_matters(rulebook: Rulebook) -> None:
    assert "hardy dwarf" in assumed(rulebook, "stock: {adults: 9}")
    assert "hardy dwarf" not in assumed(rulebook, "stock: {adults: 9, species: bee shrimp}")
    assert "hardy dwarf" not in assumed(rulebook, "seen: [twitching]")


def test_untimed_readings_and_events_are_said_to_be_placed(rulebook: Rulebook) -> None:
    found = assumed(
        rulebook, "asked_at: 2026-03-14\nreadings: [{what: ph, value: 7}]\nevents: [{what: spray}]"
    )
    assert "Readings without a time are taken as the present state." in found
    assert "Events without a time are taken to lie in the two weeks" in found
