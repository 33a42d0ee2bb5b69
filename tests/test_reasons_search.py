"""Finding reasons: by a sign, by a habit, by a cause, and telling two causes apart."""

from __future__ import annotations

import pytest

from diagnose.cli import BAD_INPUT, main
from diagnose.reasons.apart import apart
from diagnose.reasons.search import page_called, search
from diagnose.reasons.text import comparison_lines, hit_lines
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("milky", {"muscle-disease", "muscle-loss"}),
        ("white ring", {"failed-moult"}),
        ("lying on side", {"nerve-poisoning"}),
        ("topping up with tap water", {"mineral-creep"}),
        ("fly spray", {"insecticide"}),
        ("no conditioner", {"chlorine-in-tap", "chlorine-burn"}),
        ("gasping at the surface", {"suffocation"}),
        ("hot", {"overheating"}),
        ("rotten eggs", {"disturbed-substrate", "sulphide-poisoning"}),
        ("cat flea", {"insecticide"}),
        ("coins brass", {"copper-or-metal", "metal-poisoning"}),
        ("old", {"old-age", "old-water"}),
    ],
)
def test_what_a_keeper_would_type_finds_the_page(
    rulebook: Rulebook, words: str, expected: set[str]
) -> None:
    found = [hit.id for hit in search(rulebook, words)[:3]]
    assert set(found) & expected, found


def test_a_misspelt_word_is_read_as_the_nearest_one(rulebook: Rulebook) -> None:
    assert search(rulebook, "amonia")[0].id == search(rulebook, "ammonia")[0].id


def test_words_that_nobody_uses_find_nothing_and_say_so(rulebook: Rulebook) -> None:
    assert search(rulebook, "xyzzyx") == ()
    assert "Nothing in the rulebook" in hit_lines("xyzzyx", ())[0]


def test_every_page_is_found_by_its_name_and_by_its_title(rulebook: Rulebook) -> None:
    for item in (*rulebook.causes.values(), *rulebook.mechanisms.values()):
        assert page_called(rulebook, item.id) == item.id
        assert page_called(rulebook, item.title.upper()) is not None


def test_two_causes_are_told_apart_side_by_side(rulebook: Rulebook) -> None:
    found = apart(rulebook, "still-night-oxygen", "insecticide")
    assert found.left.tell and found.right.tell
    assert any("twitch" in text.lower() for text in found.look_at + found.right.marks)
    assert max(map(len, comparison_lines(found))) <= 80


def test_any_two_look_alikes_can_be_told_apart(rulebook: Rulebook) -> None:
    for cause in rulebook.causes.values():
        for other in cause.looks_like:
            found = apart(rulebook, cause.id, other.cause)
            assert found.right.tell == other.tell
            assert found.look_at


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "Very common"),
        (("overfeeding",), "One pellet left to rot"),
        (("Ammonia poisoning",), "Brought about by"),
        (("overfeeding", "lost-biofilter"), "most telling first"),
        (("milky",), "muscle-disease"),
        (("white", "ring"), "failed-moult"),
        (("qwxz",), "Nothing in the rulebook"),
    ],
)
def test_the_command_answers(
    arguments: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["reasons", *arguments]) == 0
    shown = capsys.readouterr().out
    assert said in shown
    assert max(map(len, shown.splitlines())) <= 80
    assert "\x1b" not in shown


def test_the_command_works_the_numbers_for_a_case(capsys: pytest.CaptureFixture[str]) -> None:
    file = bundled("cases") / "front-window-bowl-in-the-july-heat.yaml"
    assert main(["reasons", "overheating", "--case", str(file), "--units", "us"]) == 0
    shown = capsys.readouterr().out
    assert "The front-window bowl in the July heat" in shown and " F" in shown


def test_a_query_as_long_as_a_letter_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reasons", "milky " * 60]) == BAD_INPUT
    assert "a few words" in capsys.readouterr().err
