"""A log as a keeper uses it: a container made known, lines jotted, tables taken in, cases asked."""

from __future__ import annotations

import random
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from diagnose.cli import BAD_INPUT, main
from diagnose.findings.observed_case import observed_case
from diagnose.log.store import opened
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.log import jot_words, logged_file, make_known
from diagnose.uses.log_tables import take_table
from diagnose.uses.triage import triage_case

NOW = datetime(2026, 5, 1, 9, 0)
JAR = bundled("cases") / "glaze-room-jar-after-new-moss.yaml"
BOWL = """case: wheel-room-bowl
asked_at: 2026-04-01 09:00
container: {kind: bowl, volume: 8 L, age: 100 days, planting: dense}
stock: {species: cherry shrimp, adults: 20}
"""


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("XDG_CACHE_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))


@pytest.fixture
def bowl(tmp_path: Path, rulebook: Rulebook) -> Path:
    """A log that knows the bowl of the wheel room."""
    case, log = tmp_path / "bowl.yaml", tmp_path / "shelf.log"
    case.write_text(BOWL, encoding="utf-8")
    with opened(log) as store:
        make_known(store, case, rulebook, name=None, now=NOW)
    return log


def table(tmp_path: Path, text: str, name: str = "readings.csv") -> Path:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return file


def readings(log: Path) -> list[tuple[str, str, str]]:
    with opened(log) as store:
        return [
            (f"{e.jot.at:%Y-%m-%d %H:%M}", e.jot.content["what"], str(e.jot.content["value"]))
            for e in store.entries("wheel-room-bowl")
            if e.jot.kind == "reading"
        ]


def test_a_logged_case_names_the_cause_that_its_file_names(
    tmp_path: Path, rulebook: Rulebook
) -> None:
    files = sorted(bundled("cases").glob("*.yaml"))[::12]
    other = []
    with opened(tmp_path / "shelf.log") as store:
        for file in files:
            name, _ = make_known(store, file, rulebook, name=None, now=NOW)
            asked = store.described(name).at
            told = observed_case(file, rulebook, now=NOW)
            logged = observed_case(logged_file(store, name, now=asked), rulebook, now=asked)
            causes = [triage_case(rulebook, one).answer.ranking[0].cause for one in (told, logged)]
            if causes[0] != causes[1]:
                other.append((file.name, *causes))
    assert not other


def test_a_container_grows_older_in_the_log(bowl: Path, rulebook: Rulebook) -> None:
    later = datetime(2026, 4, 1, 9, 0) + timedelta(days=30)
    with opened(bowl) as store:
        seen = observed_case(logged_file(store, "wheel-room-bowl", now=later), rulebook, now=later)
    assert seen.case.container.age_days == pytest.approx(130)


@pytest.mark.parametrize(
    ("words", "kind", "content"),
    [
        ("changed 20 % of the water", "event", {"what": "water-change", "share": "20 %"}),
        ("two shrimp died this morning", "death", {"dead": 2}),
        ("Dorrit sang to it", "note", {"text": "Dorrit sang to it"}),
    ],
)
def test_what_is_jotted_in_words_is_kept_as_what_it_means(
    bowl: Path, rulebook: Rulebook, words: str, kind: str, content: dict[str, object]
) -> None:
    with opened(bowl) as store:
        done = jot_words(
            store,
            "wheel-room-bowl",
            words,
            rulebook,
            (bundled("knowledge"),),
            at="now",
            now=NOW,
        )
    first = done.jots[0]
    assert first.kind == kind
    assert content.items() <= first.content.items()


def test_a_keeper_jots_takes_back_and_asks(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["log", "know", str(JAR), "--name", "glaze"]) == 0
    assert main(["jot", "glaze", "--reading", "nitrite 0.5 mg/L", "--count", "9 adults"]) == 0
    assert main(["jot", "glaze", "--death", "2", "--sign", "no gasping"]) == 0
    assert main(["log", "names"]) == 0
    assert main(["log", "show", "glaze"]) == 0
    shown = capsys.readouterr().out
    assert "adults: 9" in shown and "nitrite" in shown
    assert all(len(line) <= 80 for line in shown.splitlines())
    assert main(["triage", "glaze"]) == 0
    assert "The glaze-room jar" in capsys.readouterr().out
    assert main(["jot", "glaze", "--undo"]) == 0
    assert "Taken back: dead: 2" in capsys.readouterr().out
    assert main(["log", "give", "glaze", "--as", "case"]) == 0
    assert "dead" not in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["jot", "glaze", "words"],
        ["log", "show", "glaze"],
        ["log", "know", "none.yaml"],
        ["triage", "glaze"],
    ],
)
def test_nothing_known_is_said_and_makes_no_log(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == BAD_INPUT
    assert "Traceback" not in capsys.readouterr().err


def test_jots_that_make_no_sense_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    main(["log", "know", str(JAR), "--name", "glaze"])
    for wrong in (
        ["--reading", "nitrite"],
        ["--reading", "nitrite lots and lots of it"],
        ["--event", "danced"],
        ["--sign", "purple elephants"],
        ["--count", "many ghosts"],
        ["--death", "x"],
        ["--note", "x", "--at", "in three weeks"],
        ["--note", "x", "--at", "2099-01-01"],
        [],
        ["words", "--undo"],
    ):
        assert main(["jot", "glaze", *wrong]) == BAD_INPUT, wrong
    assert main(["jot", "glaze", "--undo"]) == 0  # the entry that came with the case


def test_tables_as_loggers_write_them_tell_the_same(
    bowl: Path, tmp_path: Path, rulebook: Rulebook
) -> None:
    tables = (
        "Datum;Temperature (C);pH\n14.04.2026 08:00;22,5;7,1\n20.04.2026 08:00;24;6,8\n",
        "pH,date,clock,temperature\n7.1,4/14/2026,08:00,72.5 F\n6.8,4/20/2026,8:00,24\n",
        "time\tpH\tTemperature [C]\n2026-04-14T08:00\t7.1\t22.5\n2026-04-20 8:00\t6.8\t24.0\n",
    )
    added = []
    for text in tables:
        with opened(bowl) as store:
            file = table(tmp_path, text)
            added.append(take_table(store, "wheel-room-bowl", file, rulebook, now=NOW).added)
    assert added == [4, 0, 0]
    assert len(readings(bowl)) == 4


def test_a_column_told_once_is_known_the_next_time(
    bowl: Path, tmp_path: Path, rulebook: Rulebook
) -> None:
    with opened(bowl) as store:
        file = table(tmp_path, "when,probe 1,who\n2026-04-14 08:00,21,Ines\n")
        first = take_table(
            store, "wheel-room-bowl", file, rulebook, columns=["probe 1=temperature C"], now=NOW
        )
        file = table(tmp_path, "when,probe 1,who\n2026-04-15 08:00,22,Ines\n")
        second = take_table(store, "wheel-room-bowl", file, rulebook, now=NOW)
    assert (first.added, second.added) == (1, 1)
    assert dict(second.mapping) == {"when": "time", "probe 1": "temperature C", "who": "-"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("date,pH\n3/4/2026,7\n", "day from the month"),
        ("pH\n7\n", "no column holds a time"),
        ("time,pH\n2026-04-14 08:00,7\n2026-04-15 08:00,xyzzy\n", "line 3"),
        ("time,pH\n2026-14-14 08:00,7\n", "is no time"),
        ("time,pH\n2027-04-14 08:00,7\n", "future"),
        ("time,pH\n2026-04-14 08:00,7,1\n", "3 cells"),
        ("", "no table of text"),
    ],
)
def test_a_table_with_a_fault_is_taken_not_even_in_part(
    bowl: Path, tmp_path: Path, rulebook: Rulebook, text: str, says: str
) -> None:
    with opened(bowl) as store, pytest.raises(ValueError, match=says):
        take_table(store, "wheel-room-bowl", table(tmp_path, text), rulebook, now=NOW)
    assert readings(bowl) == []


def test_spoilt_tables_never_crash_nor_half_import(
    bowl: Path, tmp_path: Path, rulebook: Rulebook
) -> None:
    chance = random.Random(7)
    good = b"time;temperature (C);pH;note\n" + b"".join(
        b"2026-04-%02d 08:00;22,%d;7,1;fine\n" % (day, day % 10) for day in range(1, 20)
    )
    file = tmp_path / "spoilt.csv"
    with opened(bowl) as store:
        for _ in range(150):
            data = bytearray(good)
            for _ in range(chance.randint(1, 12)):
                place = chance.randrange(len(data))
                data[place : place + chance.randint(0, 3)] = chance.randbytes(chance.randint(0, 3))
            file.write_bytes(bytes(data))
            before = len(store.entries("wheel-room-bowl"))
            try:
                taken = take_table(store, "wheel-room-bowl", file, rulebook, now=NOW)
            except ValueError:
                assert len(store.entries("wheel-room-bowl")) == before
            else:
                assert len(store.entries("wheel-room-bowl")) == before + taken.added


def test_an_archive_holds_everything_byte_for_byte(
    bowl: Path, tmp_path: Path, rulebook: Rulebook
) -> None:
    file = table(tmp_path, "time,pH,note\n2026-04-14 08:00,7,a line\u2028parted\n")
    with opened(bowl) as store:
        take_table(store, "wheel-room-bowl", file, rulebook, now=NOW)
        store.undo("wheel-room-bowl", now=NOW)
        packed = store.packed()
    with opened(tmp_path / "other.log") as other:
        other.unpack(packed)
        assert other.packed() == packed
        with pytest.raises(ValueError, match="not empty"):
            other.unpack(packed)


@pytest.mark.parametrize(
    "text", ["", "{}", "no archive", '{"bowlside log": 99}', '{"bowlside log": 1}\n["entry", 1]']
)
def test_what_is_no_archive_leaves_the_log_empty(tmp_path: Path, text: str) -> None:
    with opened(tmp_path / "new.log") as store, pytest.raises(ValueError, match="archive"):
        store.unpack(text)
    with opened(tmp_path / "new.log") as store:
        assert store.names() == ()


def test_the_table_given_lies_beside_a_case(bowl: Path, tmp_path: Path, rulebook: Rulebook) -> None:
    from diagnose.uses.log_tables import table_of

    file = table(tmp_path, "time,pH,temperature\n2026-04-14 08:00,7,22\n")
    with opened(bowl) as store:
        take_table(store, "wheel-room-bowl", file, rulebook, now=NOW)
        given = table(tmp_path, table_of(store.entries("wheel-room-bowl")), "given.csv")
        again = take_table(store, "wheel-room-bowl", given, rulebook, now=NOW)
    assert again.added == 0
    assert again.known == 2
