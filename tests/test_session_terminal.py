"""The session in a real terminal, with a keeper who types, leaves and comes back."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

pytest.importorskip("pexpect")
pytest.importorskip("pyte")

from tests.keeper_terminal import KeeperTerminal

OPENING = ("", "5 of 12", "2 days", "2 7")


@pytest.fixture
def terminal(tmp_path: Path) -> Callable[..., KeeperTerminal]:
    def start(*options: str, **settings: object) -> KeeperTerminal:
        return KeeperTerminal(tmp_path, *options, **settings)  # type: ignore[arg-type]

    return start


def test_from_the_first_question_to_the_written_case(
    terminal: Callable[..., KeeperTerminal], tmp_path: Path
) -> None:
    with terminal() as keeper:
        for line in OPENING:
            keeper.type(line)
        keeper.until("Bring air into the water.")
        keeper.until("Unplug lamps, heaters and pumps")
        keeper.until("Now to the reason.")
        keeper.type("what for")
        keeper.until("first would be")
        keeper.type("not sure")
        keeper.type("enough")
        keeper.until("What fits best")
        keeper.until("Enter to finish.")
        assert "What if one thing" not in keeper.shown
        keeper.type("what if")
        keeper.until("What if one thing were otherwise?")
        keeper.type("1")
        keeper.type("11 of 12")
        keeper.until("Insecticide")
        keeper.type("")
        keeper.type("")
        keeper.until("Write all this down")
        keeper.type("front-window")
        keeper.until("Written: front-window.yaml")
        keeper.until("To do now:")
        assert keeper.ended() == 0
    assert "dead: 5" in (tmp_path / "front-window.yaml").read_text()


def test_a_told_story_is_shown_back_before_it_counts(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        keeper.type("all my shrimp died two days after I put in a new plant. The snails are fine.")
        keeper.until("I read from this:")
        keeper.until("2 days before the first")
        keeper.type("3")
        keeper.until("Over how long")
        keeper.type("so far")
        shown = keeper.until("Your own words")
        assert "How are the snails?" not in shown.rpartition("Your own words")[2]


def test_going_back_asks_the_question_again(terminal: Callable[..., KeeperTerminal]) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.type("5 of 12")
        keeper.until("Over how long")
        keeper.type("back")
        keeper.until_asked()
        assert keeper.shown.count("How many shrimp have died") == 2
        keeper.send(b"half\r")
        keeper.type("so far")
        keeper.until("and of how many? half")


def test_a_killed_session_is_gone_on_with_where_it_was(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        for line in OPENING[:3]:
            keeper.type(line)
        keeper.until("How do the living behave?")
        keeper.kill()
    with terminal("--resume") as keeper:
        keeper.until("3 answers kept")
        keeper.until("How do the living behave?")
        keeper.type("so far")
        keeper.until("of how many? 5 of 12")
        keeper.until("Over how long, from the first body to the last? 2 days")


def test_control_c_keeps_the_answers_and_says_how_to_go_on(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.type("5 of 12")
        keeper.until("Over how long")
        keeper.press(b"\x03")
        keeper.until("--resume")
        assert "Traceback" not in keeper.shown
        assert keeper.ended() == 0
    with terminal("--resume") as keeper:
        keeper.until("2 answers kept")


def test_the_end_of_input_keeps_the_answers(terminal: Callable[..., KeeperTerminal]) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.type("5 of 12")
        keeper.press(b"\x04")
        keeper.until("Kept.")
        assert keeper.ended() == 0


def test_a_window_made_narrower_in_the_middle_is_followed(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.type("5 of 12")
        keeper.until("Over how long")
        keeper.until_asked()
        keeper.resize(60, 30)
        keeper.read(0.5)
        before = len(keeper.raw)
        keeper.send(b"2 days\r")
        keeper.until("How do the living behave?")
        lines = keeper.raw[before:].decode().replace("\x1b[0m", "").split("\r\n")
        printed = [line for line in lines if "\x1b[" not in line]
        assert printed
        assert all(len(line) <= 60 for line in printed), printed


def test_no_colour_is_sent_when_none_is_wanted(terminal: Callable[..., KeeperTerminal]) -> None:
    with terminal(NO_COLOR="1") as keeper:
        for line in OPENING:
            keeper.type(line)
        keeper.until("Now to the reason.")
        keeper.until_asked()
        for colour in range(30, 50):
            assert f"\x1b[{colour}m".encode() not in keeper.raw
            assert f";{colour}m".encode() not in keeper.raw
        assert b"\x1b[38;" not in keeper.raw
        assert re.search(r"\[#*\.*\] +\d+ %", keeper.shown)


def test_a_locale_that_is_not_utf_8_is_no_hindrance(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal(LC_ALL="C", LANG="C", PYTHONIOENCODING="latin-1", PYTHONUTF8="0") as keeper:
        keeper.type("Die K\u00fcbel waren voll \u2603 they twitch")
        keeper.until("Do any twitch")
        keeper.type("yes")
        keeper.type("5 of 12")
        keeper.until("Over how long")
        assert "Traceback" not in keeper.shown


def test_ten_thousand_characters_pasted_are_met_calmly(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.press(b"\x1b[200~" + b"they twitch\n\x1b[31m" * 600 + b"\x1b[201~")
        keeper.read(0.5)
        keeper.send(b"\r")
        keeper.until("too long for an answer here")
        keeper.type("5 of 12")
        keeper.until("Over how long")
        assert "Traceback" not in keeper.shown


def test_a_story_of_ten_thousand_characters_is_taken(
    terminal: Callable[..., KeeperTerminal],
) -> None:
    with terminal() as keeper:
        keeper.press(
            b"\x1b[200~" + b"the jar stands by the kiln and is green. " * 250 + b"\x1b[201~"
        )
        keeper.read(0.5)
        keeper.send(b"\r")
        keeper.until("Is that right?")
        keeper.type("yes")
        keeper.until("How many shrimp have died")


@pytest.mark.parametrize(
    "typed",
    ["[bold red]x[/bold red]", "'; rm -rf /", "&anchor *alias !!tag", "{a: b}", "\u202eabc"],
)
def test_nothing_typed_breaks_the_screen(
    terminal: Callable[..., KeeperTerminal], typed: str
) -> None:
    with terminal() as keeper:
        keeper.type("")
        keeper.type(typed)
        keeper.type("5 of 12")
        keeper.until("Over how long")
        assert "Traceback" not in keeper.shown
