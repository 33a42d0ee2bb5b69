"""What is read out of a keeper's own words, and what is left alone."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.story.lexicon import Lexicon, load_lexicon
from diagnose.story.reader import read_story
from tests.robot_keeper import keeper_of
from tests.worked_files import worked_files

NOW = datetime(2026, 5, 12, 18, 0)


def lexicon_of(rulebook: Rulebook, folder: Path) -> Lexicon:
    return load_lexicon(
        [folder], rulebook.vocabulary, rulebook.species.values(), rulebook.companions.values()
    )


@pytest.fixture(scope="module")
def lexicon(rulebook: Rulebook) -> Lexicon:
    return lexicon_of(rulebook, bundled("knowledge"))


def read(rulebook: Rulebook, lexicon: Lexicon, story: str) -> dict[str, object]:
    return dict(read_story(story, lexicon, rulebook.vocabulary, NOW).tells())


SAID = [
    ("Three of us feed it and none knew of the others.", {"several_feeders": "present"}),
    ("Each of us fed them a pinch.", {"several_feeders": "present"}),
    ("All of them feed and graze as always.", {"several_feeders": None}),
    (
        "all my shrimp died two days after I put in a new plant",
        {
            "deaths.share": "all",
            "did_new_plants": "present",
            "at:new-plants": "2 days before the first death",
        },
    ),
    ("Six of nine were dead by morning.", {"deaths.dead": "6", "deaths.of": "9"}),
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
    ("Two days ago I lost 3, yesterday 2 more, and this morning another 4.", {"deaths.dead": "9"}),
    ("Saturday two dead, by Sunday all but one of the eleven.", {"deaths.dead": "10"}),
    ("Ammonia and nitrite are both 0.", {"reading:ammonia": "0", "reading:nitrite": "0"}),
    (
        "No filter, heater or lid.",
        {"container.filter": "none", "container.heater": "none", "container.lid": "open"},
    ),
    ("Can I add fish to my 20 litre tank?", {"container.volume": "20 L"}),
    ("Tub of flakes. Found a dead snail.", {"container.kind": None, "deaths.dead": None}),
    ("Everyone was fine until Friday.", {"survivors_normal": None}),
    ("No film on the surface and no foam.", {"surface_film": "absent", "foam": "absent"}),
    ("My brother used fly spray in the room.", {"did_spray": "present", "spray_kind": "insects"}),
]


@pytest.mark.parametrize(("story", "tells"), SAID, ids=[s[:30] for s, _ in SAID])
def test_what_is_plainly_said_is_read(
    rulebook: Rulebook, lexicon: Lexicon, story: str, tells: dict[str, object]
) -> None:
    found = read(rulebook, lexicon, story)
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
    rulebook: Rulebook, lexicon: Lexicon, story: str
) -> None:
    assert read(rulebook, lexicon, story) == {}


def test_two_statements_that_do_not_agree_are_both_left_out(
    rulebook: Rulebook, lexicon: Lexicon
) -> None:
    assert "snails_state" not in read(
        rulebook, lexicon, "The snails are fine. Later the snails were dead."
    )


def test_of_the_studios_stories_nineteen_in_twenty_readings_agree_with_the_case(
    rulebook: Rulebook, lexicon: Lexicon
) -> None:
    """A reading that the case contradicts would be shown back and denied; it must be rare."""
    agreeing = contradicted = 0
    for file in worked_files():
        keeper = keeper_of(file, rulebook)
        for name, value in read(rulebook, lexicon, keeper.case.story or "").items():
            if name in keeper.knows:
                agreeing += keeper.knows[name].value == value
                contradicted += keeper.knows[name].value != value
    assert agreeing > 60
    assert contradicted <= 0.05 * (agreeing + contradicted), (agreeing, contradicted)


def test_a_phrase_with_an_unknown_name_is_refused_by_a_sentence(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    (tmp_path / "story_lexicon.yaml").write_text(
        "ways:\n  - {says: [x], means: {no_such: present}}\n"
    )
    with pytest.raises(ValueError, match="entry 1: `no_such` is neither in the vocabulary"):
        lexicon_of(rulebook, tmp_path)


def test_a_story_of_ten_thousand_characters_is_read_quickly_and_safely(
    rulebook: Rulebook, lexicon: Lexicon
) -> None:
    assert "twitching" in read(rulebook, lexicon, "they twitch. " + "a b c d e " * 1000)
