"""From a file to the answer on the screen: however a keeper writes a thing, the answer is the same,
and a mix-up is answered with one sentence and no answer.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from diagnose.cli import BAD_INPUT, ERROR_WIDTH, main

BAD_INPUT_FILES = sorted((Path(__file__).parent / "bad_input").glob("*.yaml"))

#: A jar of the glaze room with something for every way of writing.
JAR = """\
case: glaze-room-jar
asked_at: 2026-03-12 18:00
container: {kind: jar, volume: 6 L, filter: none, water_source: tap, age: 3 weeks}
stock: {species: cherry shrimp, adults: 12}
events:
  - {what: water-change, at: 2026-03-10 08:00, share: 50 %, conditioner: full}
deaths: {first: 2026-03-11 08:00, dead: 4, of: 12}
readings:
  - {what: temperature, value: 24 C, at: 2026-03-12 17:00}
  - {what: ammonia, value: 1.5, as: total-N, at: 2026-03-12 17:00}
  - {what: nitrite, value: 0.5, as: N, at: 2026-03-12 17:00}
  - {what: ph, value: 7.8, at: 2026-03-12 17:00}
  - {what: gh, value: 8 dGH, at: 2026-03-12 17:00}
"""


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


@pytest.fixture
def asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Writes files side by side, asks about the first one, and gives the answer as data."""

    def ask(text: str, **beside: str) -> dict[str, Any]:
        for name, content in beside.items():
            (tmp_path / f"{name}.csv").write_text(content, encoding="utf-8")
        file = tmp_path / "jar.yaml"
        file.write_text(text, encoding="utf-8")
        code = main(["triage", str(file), "--format", "json", "--units", "metric"])
        shown = capsys.readouterr()
        assert code == 0, shown.err
        found: dict[str, Any] = json.loads(shown.out)
        return found

    return ask


@pytest.fixture
def refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Asks about a file that cannot be used, and gives the message in one line."""

    def ask(text: str) -> str:
        file = tmp_path / "jar.yaml"
        file.write_text(text, encoding="utf-8")
        assert main(["triage", str(file)]) == BAD_INPUT
        shown = capsys.readouterr()
        assert shown.out == ""
        assert file.read_text(encoding="utf-8") == text
        return " ".join(shown.err.split())

    return ask


def ranking(answer: dict[str, Any]) -> list[tuple[str, Any]]:
    return [
        (entry["cause"], pytest.approx(entry["belief"], abs=0.005)) for entry in answer["ranking"]
    ]


def with_line(old: str, new: str) -> str:
    assert JAR.count(old) == 1, old
    return JAR.replace(old, new)


def test_a_young_jar_with_ammonia_and_nitrite_is_called_young(asked: Any) -> None:
    """Common practice, no source: a jar of three weeks has not settled."""
    assert asked(JAR)["ranking"][0]["cause"] == "immature-container"


@pytest.mark.parametrize(
    ("metric", "other"),
    [
        ("volume: 6 L", "volume: 1.585 gal"),
        ("value: 24 C", "value: 75.2 F"),
        ("value: 1.5, as: total-N", "value: 1.824, as: total-NH3"),
        ("value: 1.5, as: total-N", "value: 1.824"),
        ("value: 0.5, as: N", "value: 1.642, as: ion"),
        ("value: 8 dGH", "value: 143 ppm"),
        ("at: 2026-03-10 08:00", "at: 24 h before the first death"),
        ("at: 2026-03-10 08:00", "at: 58 hours ago"),
        ("first: 2026-03-11 08:00", "first: yesterday 08:00"),
        ("share: 50 %", "volume: 3 L"),
        ("age: 3 weeks", "age: 21 days"),
        ("species: cherry shrimp", "species: Neocaridina davidi"),
    ],
)
def test_the_same_thing_written_otherwise_gets_the_same_answer(
    asked: Any, metric: str, other: str
) -> None:
    assert ranking(asked(with_line(metric, other))) == ranking(asked(JAR))


def test_a_us_file_may_leave_its_units_out(asked: Any) -> None:
    us = with_line("volume: 6 L", "volume: 1.585").replace("value: 24 C", "value: 75.2")
    assert ranking(asked("units: us\n" + us)) == ranking(asked(JAR))


def test_a_log_beside_the_case_counts_like_a_log_in_it(asked: Any) -> None:
    start = JAR.index("readings:")
    rows = (
        "at,what,value,unit,as\n"
        "2026-03-12 17:00,temperature,24,C,\n"
        "2026-03-12 17:00,ammonia,1.5,mg/L,total-N\n"
        "2026-03-12 17:00,nitrite,0.5,mg/L,N\n"
        "2026-03-12 17:00,ph,7.8,,\n"
        "2026-03-12 17:00,gh,8,dGH,\n"
    )
    assert ranking(asked(JAR[:start] + "log: log.csv\n", log=rows)) == ranking(asked(JAR))


def test_an_argument_from_the_log_names_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "log.csv").write_text("at,what,value\n2026-03-12 17:00,nitrite,6\n", "utf-8")
    file = tmp_path / "jar.yaml"
    file.write_text("case: jar\nasked_at: 2026-03-12 18:00\nlog: log.csv\n", encoding="utf-8")
    assert main(["triage", str(file), "--explain", "immature-container"]) == 0
    assert "log.csv, line 2" in " ".join(capsys.readouterr().out.split())


def test_kit_ammonia_read_as_unionised_is_a_far_stronger_dose(asked: Any) -> None:
    """1.5 mg/L in all is mild at pH 7.8; 1.5 mg/L of the poisonous part kills."""
    total = asked(JAR)["ranking"][0]
    unionised = asked(with_line("as: total-N", "as: un-ionised-N"))["ranking"][0]
    assert total["cause"] == unionised["cause"] == "immature-container"
    assert unionised["mechanism"] == "ammonia-poisoning"

    def most(entry: dict[str, Any]) -> float:
        return max(float(a["weight"]) for a in entry["for"])

    assert most(unionised) >= most(total)


@pytest.mark.parametrize(
    ("metric", "mixed_up", "place", "right"),
    [
        ("value: 24 C", "value: 75.2", "line 9", "write 75.2 F"),
        ("value: 8 dGH", "value: 143", "line 13", "143 ppm"),
        ("value: 7.8", "value: 78", "line 12", "pH"),
        ("volume: 6 L", "volume: -6 L", "line 3", "volume"),
        ("dead: 4, of: 12", "dead: 14, of: 12", "line 7", "14 dead of 12"),
        ("what: nitrite", "what: nitritte", "line 11", "nitrite"),
    ],
)
def test_a_mix_up_is_answered_with_its_place_and_what_would_be_right(
    refused: Any, metric: str, mixed_up: str, place: str, right: str
) -> None:
    message = refused(with_line(metric, mixed_up))
    assert "jar.yaml" in message and place in message and right in message


def test_two_answers_that_exclude_each_other_are_answered_with_the_file(refused: Any) -> None:
    message = refused(JAR + "seen: [twitching]\ntold: {twitching: no}\n")
    assert "jar.yaml, twitching: it is both" in message


@pytest.mark.parametrize("file", BAD_INPUT_FILES, ids=lambda file: file.stem)
def test_no_bad_file_gets_a_traceback_and_every_message_fits_the_screen(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = file.read_bytes()
    assert main(["triage", str(file)]) == BAD_INPUT
    shown = capsys.readouterr()
    assert shown.out == "" and "Traceback" not in shown.err
    assert shown.err.strip()
    for line in shown.err.splitlines():
        assert len(line) <= ERROR_WIDTH or len(line.split()) == 1, line
        assert all(character.isprintable() for character in line), line
    assert file.read_bytes() == before
