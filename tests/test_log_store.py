"""A log on disk loses nothing that was acknowledged, whatever happens to the machine."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from diagnose.log.entry import Jot
from diagnose.log.faults import LogFault
from diagnose.log.schema import NEWEST, STEPS
from diagnose.log.store import opened

ROOT = Path(__file__).parents[1]
NOW = datetime(2026, 4, 16, 8, 0)
OLD = sorted((Path(__file__).parent / "logs").glob("schema_*.sql"))
#: Jots one act of three entries after the other and says each number once it is kept.
WRITER = """
import sys
from datetime import datetime
from pathlib import Path
from diagnose.log.entry import Jot
from diagnose.log.store import opened
now = datetime(2026, 4, 16, 8, 0)
with opened(Path(sys.argv[1])) as log:
    for number in range(100_000):
        jots = [Jot("note", now, {"text": f"{number} {i}"}) for i in range(3)]
        log.keep("jar", jots, now=now)
        print(number, flush=True)
"""


def note(text: str, at: datetime = NOW) -> Jot:
    return Jot("note", at, {"text": text})


def begun(file: Path) -> Path:
    with opened(file) as log:
        log.begin("jar", {"container": {"volume": "6 L"}}, (), at=NOW, now=NOW)
    return file


def texts(file: Path) -> list[str]:
    with opened(file, create=False) as log:
        return [entry.jot.content["text"] for entry in log.entries("jar")]


def test_a_jot_is_there_when_the_log_is_opened_again(tmp_path: Path) -> None:
    file = begun(tmp_path / "deep" / "shelf.log")
    with opened(file) as log:
        log.keep("jar", [note("moss trimmed")], now=NOW)
        assert log.described("jar").content == {"container": {"volume": "6 L"}}
    assert texts(file) == ["moss trimmed"]


def test_entries_come_in_the_order_of_what_they_are_about(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        log.keep("jar", [note("today")], now=NOW)
        log.keep("jar", [note("yesterday", NOW - timedelta(days=1))], now=NOW)
    assert texts(file) == ["yesterday", "today"]


def test_what_is_taken_back_no_longer_counts_and_is_still_on_disk(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        log.keep("jar", [note("first")], now=NOW)
        log.keep("jar", [note("wrong"), note("jar")], now=NOW)
        assert [one.jot.content["text"] for one in log.undo("jar", now=NOW)] == ["wrong", "jar"]
        assert [one.jot.content["text"] for one in log.undo("jar", now=NOW)] == ["first"]
        with pytest.raises(LogFault, match="nothing of `jar` is left"):
            log.undo("jar", now=NOW)
    assert texts(file) == []
    assert sqlite3.connect(file).execute("SELECT count(*) FROM entry").fetchone() == (3,)


def test_a_correction_stands_for_the_old_act(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        old = log.keep("jar", [note("pH 8.6")], now=NOW).act
        log.keep("jar", [note("pH 6.8")], now=NOW, corrects=old)
        with pytest.raises(LogFault):
            log.keep("jar", [note("pH 7")], now=NOW, corrects=old)
    assert texts(file) == ["pH 6.8"]


def test_nothing_is_changed_or_wiped_out_even_with_other_tools(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        log.keep("jar", [note("kept")], now=NOW)
    with pytest.raises(sqlite3.IntegrityError, match="only added to"):
        sqlite3.connect(file, isolation_level=None).execute("UPDATE entry SET content = '{}'")
    with pytest.raises(sqlite3.IntegrityError, match="only added to"):
        sqlite3.connect(file, isolation_level=None).execute("DELETE FROM entry")


def test_a_clock_set_back_loses_nothing_and_is_noticed(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        assert not log.keep("jar", [note("a")], now=NOW).clock_back
        assert log.keep("jar", [note("b")], now=NOW - timedelta(days=400)).clock_back
    assert texts(file) == ["a", "b"]


def test_an_unknown_name_is_answered_with_the_known_ones(tmp_path: Path) -> None:
    with opened(begun(tmp_path / "shelf.log")) as log, pytest.raises(LogFault, match="are: jar"):
        log.entries("jra")


def test_files_that_are_no_log_are_left_as_they_are(tmp_path: Path) -> None:
    text, other = tmp_path / "notes.txt", tmp_path / "other.db"
    text.write_text("not a log at all, " * 100, encoding="utf-8")
    with sqlite3.connect(other) as connection:
        connection.execute("CREATE TABLE birds (name)")
    for file, words in ((text, "no log of bowlside"), (other, "something else")):
        before = file.read_bytes()
        with pytest.raises(LogFault, match=words), opened(file):
            pass
        assert file.read_bytes() == before


def test_a_newer_log_is_not_touched(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with sqlite3.connect(file) as connection:
        connection.execute(f"PRAGMA user_version = {NEWEST + 1}")
    with pytest.raises(LogFault, match="newer bowlside"), opened(file):
        pass


def test_a_full_disk_is_said_and_keeps_what_was_there(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        log.keep("jar", [note("before")], now=NOW)
        pages = log._db.execute("PRAGMA page_count").fetchone()[0]
        log._db.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(LogFault, match="disk is full"):
            log.keep("jar", [note("x" * 100_000)], now=NOW)
    assert texts(file) == ["before"]


@pytest.mark.skipif(os.getuid() == 0, reason="root may write everywhere")
def test_a_read_only_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "shut").mkdir(mode=0o500)
    with pytest.raises(LogFault, match="cannot be opened"), opened(tmp_path / "shut" / "shelf.log"):
        pass


def test_a_read_only_log_is_said(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    with opened(file) as log:
        log._db.execute("PRAGMA query_only = ON")
        with pytest.raises(LogFault, match="cannot be written"):
            log.keep("jar", [note("x")], now=NOW)


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(LogFault, match="folder cannot be made"), opened(tmp_path / "file" / "log"):
        pass


def test_a_writer_that_finds_the_log_taken_gives_up_within_a_second(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    other = sqlite3.connect(file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with opened(file) as log:
        start = time.monotonic()
        with pytest.raises(LogFault, match="another terminal"):
            log.keep("jar", [note("x")], now=NOW)
        waited = time.monotonic() - start
    assert waited < 5  # the patience itself is 0.9 s; the rest is a busy machine's
    other.close()


def test_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    file = begun(tmp_path / "shelf.log")
    kept: list[str] = []

    def write(writer: int) -> None:
        for number in range(10):
            for _ in range(50):
                try:
                    with opened(file) as log:
                        log.keep("jar", [note(f"{writer}-{number}")], now=NOW)
                except LogFault:
                    continue
                kept.append(f"{writer}-{number}")
                break

    threads = [threading.Thread(target=write, args=(one,)) for one in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(kept) == 40
    assert sorted(texts(file)) == sorted(kept)


@pytest.mark.parametrize(
    "kills", [4, pytest.param(200, marks=pytest.mark.exhaustive, id="two-hundred")]
)
def test_a_kill_while_writing_loses_no_acknowledged_entry(tmp_path: Path, kills: int) -> None:
    chance = random.Random(14)
    for number in range(kills):
        file = begun(tmp_path / f"{number}.log")
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(file)],
            stdout=subprocess.PIPE,
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        assert writer.stdout is not None
        first = writer.stdout.readline()
        time.sleep(chance.uniform(0, 0.05))
        writer.send_signal(signal.SIGKILL)
        said = (first + writer.stdout.read()).decode().split("\n")
        writer.wait()
        found = texts(file)
        acknowledged = int(said[-2])
        expected = [f"{act} {part}" for act in range(len(found) // 3) for part in range(3)]
        assert found == expected  # whole acts only
        assert len(found) // 3 >= acknowledged + 1
        assert sqlite3.connect(file).execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.parametrize("old", OLD, ids=lambda file: file.stem)
def test_a_log_of_every_older_schema_opens(tmp_path: Path, old: Path) -> None:
    file = tmp_path / "shelf.log"
    with sqlite3.connect(file) as connection:
        connection.executescript(old.read_text(encoding="utf-8"))
    with opened(file) as log:
        assert log.names() == ("wheel-room-bowl",)
        assert log.described("wheel-room-bowl").content["container"]["volume"] == "8 L"
        (entry,) = log.entries("wheel-room-bowl")
        assert entry.jot.content == {"what": "nitrite", "value": "0 mg/L", "as": "N"}
        log.undo("wheel-room-bowl", now=NOW)
    with sqlite3.connect(file) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (NEWEST,)


def test_every_schema_has_its_file() -> None:
    assert [file.stem for file in OLD] == [f"schema_{n + 1}" for n in range(len(STEPS))]


def test_a_move_to_a_newer_schema_is_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = begun(tmp_path / "shelf.log")
    broken = (*STEPS, ("CREATE TABLE further (id INTEGER)", "no SQL at all"))
    monkeypatch.setattr("diagnose.log.schema.STEPS", broken)
    monkeypatch.setattr("diagnose.log.schema.NEWEST", NEWEST + 1)
    with pytest.raises(LogFault), opened(file):
        pass
    monkeypatch.undo()
    with opened(file) as log:
        assert log.names() == ("jar",)
    tables = sqlite3.connect(file).execute("SELECT name FROM sqlite_master").fetchall()
    assert ("further",) not in tables
