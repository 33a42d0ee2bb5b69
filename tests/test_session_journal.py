"""A session on disk: every answer at once, never half, and nothing foreign is believed."""

from __future__ import annotations

import json
import os
import stat
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.dialogue.journal import keep, last_unfinished, new_file, read_kept
from diagnose.dialogue.state import Given, Session, ask_again, skip

NAMES = ("twitching", "snails_state", "deaths_share")
SESSION = Session(
    datetime(2026, 3, 14, 21, 30),
    "front-window-jar",
    story='they twitch \u2603 "quoted" #:',
    given=(
        Given("story", (("twitching", "present"),), ""),
        Given("dead", (("deaths.dead", 5), ("deaths.of", 12)), "5 of 12"),
        Given("equipment:thermometer", (("equipment:thermometer", True),), "yes"),
        Given("snails_state", (), "not sure"),
    ),
)


def test_a_session_comes_back_as_it_was_left(tmp_path: Path) -> None:
    file = new_file(tmp_path / "sessions", SESSION)
    left = skip(ask_again(SESSION, "dead"), "events")
    keep(left, file)
    kept = read_kept(file, NAMES)
    assert kept.session == left
    assert not kept.finished


def test_only_its_owner_may_read_it(tmp_path: Path) -> None:
    file = new_file(tmp_path, SESSION)
    keep(SESSION, file)
    assert stat.S_IMODE(os.stat(file).st_mode) == 0o600


def test_nothing_half_written_is_left_when_the_disk_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = new_file(tmp_path, SESSION)
    keep(SESSION, file)
    before = file.read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        keep(skip(SESSION, "events"), file)
    assert file.read_bytes() == before


def test_the_newest_unfinished_session_is_gone_on_with(tmp_path: Path) -> None:
    old, new = (
        tmp_path / "2026-03-01-080000.session.json",
        tmp_path / "2026-03-02-080000.session.json",
    )
    done = tmp_path / "2026-03-03-080000.session.json"
    keep(SESSION, old)
    keep(skip(SESSION, "events"), new)
    keep(SESSION, done, finished=True)
    (tmp_path / "2026-03-04-080000.session.json").write_text("{broken")
    kept = last_unfinished(tmp_path, NAMES)
    assert kept is not None
    assert kept.file == new


def test_two_sessions_of_one_second_get_two_files(tmp_path: Path) -> None:
    first = new_file(tmp_path, SESSION)
    keep(SESSION, first)
    assert new_file(tmp_path, SESSION) != first


@pytest.mark.parametrize(
    "content",
    [
        "",
        "[]",
        "{}",
        '{"format": "other/1"}',
        "\x00\xff",
        "[" * 5000,
        '{"format": "bowlside-session/1"}',
    ],
)
def test_a_foreign_file_is_refused_by_a_sentence(tmp_path: Path, content: str) -> None:
    file = tmp_path / "x.session.json"
    file.write_bytes(content.encode("latin-1"))
    with pytest.raises(ValueError, match="Start anew"):
        read_kept(file, NAMES)


def test_answers_to_names_that_the_rulebook_no_longer_has_are_left_out(tmp_path: Path) -> None:
    file = new_file(tmp_path, SESSION)
    keep(SESSION, file)
    content = json.loads(file.read_text())
    content["given"].append(["gone", [["no_such_sign", "present"]], "yes"])
    file.write_text(json.dumps(content))
    assert "no_such_sign" not in read_kept(file, NAMES).session.told()
