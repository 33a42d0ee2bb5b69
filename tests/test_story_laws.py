"""What holds for every story: laws of reading, with texts made up at random."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.story.as_case import case_text
from diagnose.story.lexicon import Lexicon, load_lexicon
from diagnose.story.reader import read_story

NOW = datetime(2026, 5, 12, 18, 0)
#: Sentences that stand alone: none counts its time from another.
SENTENCES = (
    "Five of my 20 cherry shrimp died yesterday.",
    "I changed half the water on Saturday.",
    "The bowl holds 8 litres.",
    "They are twitching.",
    "The water smells rotten.",
    "There is a film on the surface.",
    "Ammonia is 0.25 and nitrite 0.",
    "My other jars are fine.",
    "We have no filter.",
    "The snails climb out.",
    "Somebody used fly spray in the studio two days ago.",
    "It has been running since February.",
    "I added root tabs on the 3rd.",
    "Ammonia and nitrite are both 0.",
    "We feed them twice a week.",
    "A female lost her eggs.",
)
UNRELATED = (
    "The kiln was fired at noon.",
    "My sister lives in Norway.",
    "We sold forty mugs at the market.",
    "Thank you for reading.",
)
#: A sentence and its negation.
DENIALS = (
    ("They are twitching.", "They are not twitching."),
    ("There is foam on the water.", "There is no foam on the water."),
    ("I changed the water.", "I did not change the water."),
    ("The water smells rotten.", "The water doesn't smell rotten."),
    ("The snails are fine.", "The snails are not fine."),
    ("Somebody sprayed in the room.", "Nobody sprayed in the room."),
    ("We have a heater.", "We have no heater."),
    ("The light failed.", "The light never failed."),
    ("Food is left over.", "No food is left over."),
    ("We have a filter.", "We have no filter."),
    ("They are pale.", "They are not pale."),
    ("I moved the jar.", "I never moved the jar."),
    ("I added new plants.", "I added no new plants."),
    ("There is a film on the surface.", "There is no film on the surface."),
    ("They eat less.", "They do not eat less."),
)
some = st.lists(st.sampled_from(SENTENCES), min_size=1, max_size=5, unique=True)


@pytest.fixture(scope="module")
def lexicon(rulebook: Rulebook) -> Lexicon:
    return load_lexicon(
        [bundled("knowledge")],
        rulebook.vocabulary,
        rulebook.species.values(),
        rulebook.companions.values(),
    )


def facts(rulebook: Rulebook, lexicon: Lexicon, text: str) -> set[tuple[str, object]]:
    return set(read_story(text, lexicon, rulebook.vocabulary, NOW).tells())


@settings(max_examples=40, deadline=None)
@given(said=some, breaks=st.randoms(use_true_random=False))
def test_capitals_and_line_breaks_change_nothing(
    rulebook: Rulebook, lexicon: Lexicon, said: list[str], breaks: object
) -> None:
    text = " ".join(said)
    found = facts(rulebook, lexicon, text)
    assert found
    assert facts(rulebook, lexicon, text.upper()) == found
    assert facts(rulebook, lexicon, text.lower()) == found
    assert facts(rulebook, lexicon, text.replace(" ", "\n")) == found


@settings(max_examples=40, deadline=None)
@given(said=some.flatmap(lambda row: st.tuples(st.just(row), st.permutations(row))))
def test_the_order_of_sentences_that_stand_alone_changes_nothing(
    rulebook: Rulebook, lexicon: Lexicon, said: tuple[list[str], list[str]]
) -> None:
    one, other = (facts(rulebook, lexicon, " ".join(row)) for row in said)
    assert one == other


@pytest.mark.parametrize(("says", "denies"), DENIALS, ids=[s for s, _ in DENIALS])
def test_a_sentence_and_its_negation_never_give_the_same_fact(
    rulebook: Rulebook, lexicon: Lexicon, says: str, denies: str
) -> None:
    """That there are snails is said either way, and no part of what is denied."""
    said = {fact for fact in facts(rulebook, lexicon, says) if fact != ("other:snail", "snails")}
    assert said
    assert not said & facts(rulebook, lexicon, denies)


@settings(max_examples=40, deadline=None)
@given(said=some, besides=st.sampled_from(UNRELATED), place=st.integers(0, 5))
def test_an_unrelated_sentence_removes_no_fact(
    rulebook: Rulebook, lexicon: Lexicon, said: list[str], besides: str, place: int
) -> None:
    more = [*said[:place], besides, *said[place:]]
    found = facts(rulebook, lexicon, " ".join(said))
    assert found <= facts(rulebook, lexicon, " ".join(more))


@settings(max_examples=120, deadline=None)
@given(data=st.binary(max_size=400))
def test_any_bytes_are_read_without_harm(rulebook: Rulebook, lexicon: Lexicon, data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    story = read_story(text, lexicon, rulebook.vocabulary, NOW)
    case_text(story, text, "any", rulebook.vocabulary, NOW)


@settings(max_examples=80, deadline=None)
@given(text=st.text(max_size=300), said=st.sampled_from(SENTENCES))
def test_any_letters_are_read_without_harm_and_the_case_file_can_be_read(
    rulebook: Rulebook, lexicon: Lexicon, text: str, said: str
) -> None:
    from diagnose.intake.case_file import read_case

    whole = f"{said}\n\n{text}"
    story = read_story(whole, lexicon, rulebook.vocabulary, NOW)
    written = case_text(story, whole, "any", rulebook.vocabulary, NOW)
    if story.readings:
        read_case(written.encode(), "any", NOW, vocabulary=rulebook.vocabulary)


def test_control_codes_and_markup_are_text(rulebook: Rulebook, lexicon: Lexicon) -> None:
    found = facts(rulebook, lexicon, "\x1b[31mThey are twitching.\x1b[0m [b]Five died.[/b]")
    assert {("twitching", "present"), ("deaths.dead", "5")} <= found
