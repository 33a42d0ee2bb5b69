"""A text that seems to say two things that exclude each other is answered all the same: what was
misread is left out, and said to be not understood.
"""

from __future__ import annotations

from datetime import datetime

import pytest

from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.story import read_text, triage_text

NOW = datetime(2026, 5, 20, 18, 0)
TETRAS = "10 litre jar with nine cherry shrimp. For a time tetras lived there too. No fish now."


def test_what_contradicts_the_rest_is_left_out_and_said(rulebook: Rulebook) -> None:
    folders = (bundled("knowledge"),)
    answer, read = triage_text(TETRAS.encode(), "jar", rulebook, folders, now=NOW)
    assert answer.answer.ranking
    assert "No fish" in read.story.unread
    assert "fish_kept" not in read.text


@pytest.mark.parametrize(
    ("text", "never"),
    [
        ("One female dropped most of her eggs. Nine cherries in my 8 litre bowl.", "dead: 1"),
        ("My bowl on the top floor holds ten shrimp, and it is warm there.", "at_surface"),
        ("Planted tank with many hiding places for my ten cherry shrimp.", "- hiding"),
        ("The third one has lived on for years in this jar of cherry shrimp.", "dead: 3"),
        ("The shrimp died suddenly and in great number, about five are left.", "survivors_normal"),
        ("A wafer is usually gone in an hour, my twelve shrimp love it.", "dead"),
    ],
)
def test_words_that_mean_something_else_tell_nothing(
    rulebook: Rulebook, text: str, never: str
) -> None:
    found = read_text(text.encode(), "jar", rulebook, (bundled("knowledge"),), now=NOW)
    told = found.text.split("story:")[1].split("\ncontainer:", 1)[-1]
    assert never not in told.split("# not understood")[0], found.text
