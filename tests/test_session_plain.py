"""The session without a terminal: a pipe, a file of answers, nobody at all."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from diagnose.cli import main

ANSWERS = """\
# the glaze room jar
story: all my shrimp died two days after I put in a new plant.
story_right: yes
over: overnight
snails_state: fine
plants_origin: elsewhere
twitching: yes
did_water_change: no
volume_l: 6 L
temperature_c: 24 C
"""


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def typed(monkeypatch: pytest.MonkeyPatch, lines: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(lines))


def test_with_nobody_there_it_says_what_to_do_instead_of_waiting(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "")
    assert main(["triage"]) == 3
    said = " ".join(capsys.readouterr().err.split())
    for way in ("bowlside triage FILE", "bowlside case new FILE", "--plain", "--answers FILE"):
        assert way in said


def test_answers_played_in_give_the_answer_and_the_case(
    own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "answers.txt").write_text(ANSWERS)
    assert main(["triage", "--answers", "answers.txt", "--save", "jar.yaml"]) == 0
    said = capsys.readouterr().out
    assert "What fits best" in said
    assert "\x1b" not in said
    assert all(len(line) <= 80 for line in said.splitlines())
    assert "share: 100 %" in (own_folders / "jar.yaml").read_text()


def test_the_written_case_answers_as_the_session_did(
    own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "answers.txt").write_text(ANSWERS)
    assert (
        main(["triage", "--answers", "answers.txt", "--save", "jar.yaml", "--format", "json"]) == 0
    )
    in_session = json.loads(capsys.readouterr().out)
    assert main(["triage", "jar.yaml", "--format", "json"]) == 0
    from_file = json.loads(capsys.readouterr().out)
    assert in_session.pop("case") != from_file.pop("case")
    assert in_session == from_file


def test_the_end_can_be_a_page_that_is_asked_again(
    own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "answers.txt").write_text(ANSWERS)
    assert (
        main(["triage", "--answers", "answers.txt", "--save", "jar.html", "--format", "json"]) == 0
    )
    in_session = json.loads(capsys.readouterr().out)
    assert (own_folders / "jar.html").read_text().startswith("<!DOCTYPE html>")
    assert main(["triage", "jar.html", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out) == in_session


def test_a_time_told_as_so_long_ago_is_placed_by_asking_for_the_first_body(
    own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "answers.txt").write_text(
        "dead: 5 of 12\nover: 2 days\ndid_new_plants: yes\nhours_from_new_plants: 5 days ago\n"
        "first_body: 3 days ago\n"
    )
    assert main(["triage", "--answers", "answers.txt", "--save", "jar.yaml"]) == 0
    said = capsys.readouterr().out
    assert "When was that (new plants, moss or wood)?\n" in said
    told, _, later = said.partition("> 5 days ago")
    assert "When was the first body found?" not in told
    assert "When was the first body found?" in later
    written = (own_folders / "jar.yaml").read_text()
    assert "first: 3 days ago" in written
    assert "at: 5 days ago" in written


def test_answers_that_were_never_asked_are_named(
    own_folders: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "answers.txt").write_text(ANSWERS + "copper_mg_l: 0.1\n")
    main(["triage", "--answers", "answers.txt"])
    said = " ".join(capsys.readouterr().out.split())
    assert "Answered but never asked, so not used:" in said


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("twitching yes", "line 1: no answer"),
        (
            "# a\ntwiching: yes",
            "line 2: no question is called `twiching`. Did you mean `twitching`?",
        ),
        ("ph: 7\nph: 8", "line 2: `ph` is answered twice"),
    ],
)
def test_a_wrong_answers_file_is_met_with_file_line_and_a_hint(
    own_folders: Path, capsys: pytest.CaptureFixture[str], text: str, says: str
) -> None:
    (own_folders / "answers.txt").write_text(text)
    assert main(["triage", "--answers", "answers.txt"]) == 3
    assert f"answers.txt, {says}" in " ".join(capsys.readouterr().err.split())


def test_line_by_line_without_redrawing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "\n5 of 12\n2 days\n7\nenough\n\nno\n")
    assert main(["triage", "--plain"]) == 0
    heard = capsys.readouterr()
    said = heard.out + heard.err
    assert "\x1b" not in said
    assert "Now: Insecticide" in said
    assert "What fits best" in heard.out


def test_the_end_of_a_pipe_keeps_what_was_answered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "\n5 of 12\n")
    assert main(["triage", "--plain"]) == 0
    assert "--resume" in capsys.readouterr().err
    typed(monkeypatch, "2 days\n7\nenough\n\nno\n")
    assert main(["triage", "--plain", "--resume"]) == 0
    heard = capsys.readouterr()
    assert "2 answers kept" in heard.out + heard.err
    assert "What fits best" in heard.out


def test_there_is_nothing_to_resume_at_first(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "")
    assert main(["triage", "--plain", "--resume"]) == 3
    assert "No unfinished session is kept" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_is_said_once_and_no_reason_to_stop(
    own_folders: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (own_folders / "state").write_text("a file where the folder should be")
    typed(monkeypatch, "\n5 of 12\n2 days\n7\nenough\n\nno\n")
    assert main(["triage", "--plain"]) == 0
    heard = capsys.readouterr()
    assert (heard.out + heard.err).count("cannot be kept") == 1


def test_a_case_file_that_is_there_already_is_not_overwritten(
    own_folders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (own_folders / "mine.yaml").write_text("keep me")
    typed(monkeypatch, "\n5 of 12\n2 days\n7\nenough\n\nmine\nother\n")
    assert main(["triage", "--plain"]) == 0
    assert (own_folders / "mine.yaml").read_text() == "keep me"
    assert (own_folders / "other.yaml").exists()


def test_nothing_told_gives_no_answer_made_of_air(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "\nenough\n")
    assert main(["triage", "--plain"]) == 0
    heard = capsys.readouterr()
    assert "Nothing was told" in heard.out + heard.err
    assert "What fits best" not in heard.out


def test_a_case_and_a_session_at_once_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["triage", "jar.yaml", "--plain"]) == 3
    assert "leave out jar.yaml" in " ".join(capsys.readouterr().err.split())
