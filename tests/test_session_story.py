"""What is read out of a keeper's own words, and what is left alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.dialogue.story import Phrases, load_phrases
from diagnose.story.reader import (read_story)
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from tests.robot_keeper import keeper_of
from tests.worked_files import worked_files


@pytest.fixture(scope="module")
def phrases(rulebook: Rulebook) -> Phrases:
    return load_phrases([bundled("knowledge")], rulebook.vocabulary)


def read(rulebook: Rulebook, phrases: Phrases, story: str) -> dict[str, object]:
    return {
        name: value
        for reading in read_story(story, phrases, rulebook.vocabulary)
        for name, value in reading.tells
    }


SAID = [
    ("Three of us feed it and none knew of the others.", {"several_feeders": "present"}),
    ("Each of us fed them a pinch.", {"several_feeders": "present"}),
    ("All of them feed and graze as always.", {"several_feeders": None}),
    (
        "all my shrimp died two days after I put in a new plant",
        {
            "deaths_share": 100.0,
            "did_new_plants": "present",
            "at:new-plants": "two days before the first death",
        },
    ),
    ("Six of nine were dead by morning.", {"deaths.dead": 6, "deaths.of": 9}),
    (
        "I changed the water yesterday.",
        {"did_water_change": "present", "at:water-change": "yesterday"},
    ),
    (
        "They die one by one, always at the moult.",
        {"death_shape": "trickle", "died_at_moult": "present"},
    ),
    ("Some twitch and lie on their sides.", {"twitching": "present", "lying_on_side": "present"}),
    ("The snails are fine.", {"snails_state": "fine"}),
    ("No film on the surface and no foam.", {"surface_film": "absent", "foam": "absent"}),
    ("My brother used fly spray in the room.", {"did_spray": "present", "spray_kind": "insects"}),
]


@pytest.mark.parametrize(("story", "tells"), SAID, ids=[s[:30] for s, _ in SAID])
def test_what_is_plainly_said_is_read(
    rulebook: Rulebook, phrases: Phrases, story: str, tells: dict[str, object]
) -> None:
    found = read(rulebook, phrases, story)
    assert {name: found.get(name) for name in tells} == tells


LEFT_ALONE = [
    "Should I change the water?",
    "If they twitch I will move them.",
    "I want to put in a new plant next week.",
    "Maybe somebody sprayed something.",
    "What does it mean when snails climb out?",
    "The kiln is fine and the glaze is blue.",
    "",
    "12345 !!! ???",
]


@pytest.mark.parametrize("story", LEFT_ALONE)
def test_questions_wishes_and_doubts_are_not_read(
    rulebook: Rulebook, phrases: Phrases, story: str
) -> None:
    assert read(rulebook, phrases, story) == {}


def test_two_statements_that_do_not_agree_are_both_left_out(
    rulebook: Rulebook, phrases: Phrases
) -> None:
    assert "snails_state" not in read(
        rulebook, phrases, "The snails are fine. Later the snails were dead."
    )


def test_of_the_studios_stories_nineteen_in_twenty_readings_agree_with_the_case(
    rulebook: Rulebook, phrases: Phrases
) -> None:
    """A reading that the case contradicts would be shown back and denied; it must be rare."""
    agreeing = contradicted = 0
    for file in worked_files():
        keeper = keeper_of(file, rulebook)
        for name, value in read(rulebook, phrases, keeper.case.story or "").items():
            if name in keeper.knows:
                agreeing += keeper.knows[name].value == value
                contradicted += keeper.knows[name].value != value
    assert agreeing > 60
    assert contradicted <= 0.05 * (agreeing + contradicted), (agreeing, contradicted)


def test_a_phrase_with_an_unknown_name_is_refused_by_a_sentence(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    (tmp_path / "phrases.yaml").write_text("phrases:\n  - {says: [x], means: {no_such: present}}\n")
    with pytest.raises(ValueError, match="entry 1: `no_such` is not in the vocabulary"):
        load_phrases([tmp_path], rulebook.vocabulary)


def test_a_story_of_ten_thousand_characters_is_read_quickly_and_safely(
    rulebook: Rulebook, phrases: Phrases
) -> None:
    assert "twitching" in read(rulebook, phrases, "they twitch. " + "a b c d e " * 1000)
