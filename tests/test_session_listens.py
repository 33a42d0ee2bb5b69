"""A talk that listens: contradictions are asked back, what matters is asked before it is sure, the
answer is offered, what is mended is kept, and the steps come last.
"""

from __future__ import annotations

import io
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.dialogue.belief_state import (
    QUICK_MINUTES,
    QUICK_UPSET_CHANCE,
    SessionRules,
    belief_state,
    next_question,
    quick_upset,
    session_rules,
    weighed,
)
from diagnose.dialogue.talk import MANY_ANSWERS
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from tests.robot_keeper import keeper_of, talk_with
from tests.worked_files import worked_files

STORY = "Five of my 12 cherry shrimp died overnight in my 8 litre jar, it smells rotten."
#: Every how many worked cases one is talked through, and to how many questions.
EVERY, MOST = 12, 20


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="module")
def rules(rulebook: Rulebook) -> SessionRules:
    return session_rules(rulebook, [bundled("knowledge")])


def held(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *lines: str) -> str:
    """What is said when these lines are typed: the talk, and after it what was answered."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    assert main(["triage", "--plain"]) == 0
    said = capsys.readouterr()
    return said.err + said.out


def test_nothing_is_firm_while_a_minutes_look_might_overturn_it(
    rulebook: Rulebook, rules: SessionRules
) -> None:
    """Over worked cases whose stories are told: each question that stands when a talk ends as firm
    is longer than a minute, or hardly overturns.
    """
    firm = 0
    for file in worked_files()[::EVERY]:
        keeper = replace(keeper_of(file, rulebook), tells_story=True)
        last = None
        for turn in talk_with(keeper, rules, most=MOST):
            last = turn
        if last is None:
            continue
        seen = belief_state(rules, last.seen.session)
        if next_question(rules, seen).stop != "firm":
            continue
        firm += 1
        first = seen.inferred.beliefs.first.cause
        for check in weighed(rules, seen):
            quick = (
                check.minutes <= QUICK_MINUTES
                and rules.rulebook.vocabulary[check.name].needs == "eyes"
            )
            for prospect in check.prospects if quick else ():
                overturns = prospect.first not in (first, "unexplained")
                assert not (overturns and prospect.chance >= QUICK_UPSET_CHANCE), check.name
        assert quick_upset(rules, seen, weighed(rules, seen)) is None
    assert firm > 0


def test_what_says_otherwise_than_before_is_asked_back_and_the_first_can_stay(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", "no smell at all", "1", "enough")
    assert "You told before" in said and "Which is right?" in said
    assert "smell" in said.partition("You told before")[2].splitlines()[0]
    also = held(monkeypatch, capsys, STORY, "yes", "it smells rotten", "enough")
    assert "You told before" not in also


def test_a_reading_is_taken_at_any_prompt(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", "ammonia 2", "so far", "enough")
    assert "Noted:" in said and "ammonia" in said.partition("Noted:")[2].splitlines()[1].lower()


def test_what_was_told_is_not_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", *["not sure"] * MANY_ANSWERS)
    for asked in ("How many shrimp have died", "Over how long", "How large is", "How many litres"):
        assert asked not in said


def test_after_three_times_not_sure_the_answer_is_offered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", *["idk"] * 3, "")
    assert "The answer can be had now." in said
    assert "What fits best" in said


def test_the_steps_come_last_and_other_answers_only_for_who_asks(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", "enough", "", "no")
    assert "What if one thing" not in said
    after = said.partition("Write all this down")[2]
    assert "To do now:" in after
    assert "What if one thing" in held(
        monkeypatch, capsys, STORY, "yes", "enough", "what if", "", "", "no"
    )


def test_an_answer_mended_after_the_answer_is_kept(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_folders: Path
) -> None:
    said = held(
        monkeypatch, capsys,
        "it smells rotten", "yes", "5 of 12", "overnight", "enough",
        "change 2", "7 of 12", "", "jar",
    )  # fmt: skip
    assert said.count("What fits best") == 2
    written = (own_folders / "jar.yaml").read_text()
    assert "dead: 7" in written


def test_what_is_told_after_the_answer_counts_too(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_folders: Path
) -> None:
    said = held(monkeypatch, capsys, STORY, "yes", "enough", "ammonia 2", "", "jar")
    assert said.count("What fits best") == 2
    assert "ammonia" in (own_folders / "jar.yaml").read_text()


def test_a_story_that_begins_with_help_is_a_story(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = held(monkeypatch, capsys, f"Help please. {STORY}", "yes", "enough")
    assert "I read from this:" in said
