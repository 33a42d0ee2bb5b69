"""Every command that answers takes the same formats and units, for one container or a folder."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import jsonschema
import pytest

from diagnose.cli import main
from diagnose.intake.carried import ELEMENT
from tests.test_pages import CASES, HOSTILE, harmless

#: One whose animals die, and one of which all is well.
ONE = CASES / "binders-jar-in-its-fifth-week.yaml"
OTHER = CASES / "stocking" / "full-already.yaml"
MIX = (
    "mix waters --first|16 dGH|--second|2 dGH|--target|8 dGH|--volume|6 L",
    "mix change --old|80 mg/L|--new|5 mg/L|--target|40 mg/L|--volume|6 L",
    "mix spill --amount|200 mg|--volume|6 L|--limit|0.5 mg/L",
    "mix minerals --from|2 dGH|--to|6 dGH|--volume|6 L",
    "mix ammonia --total|0.5 mg/L|--ph|7.4|--temperature|24 C",
)
ANSWERING = [
    ["triage", str(ONE)],
    ["stocking", str(ONE), "--add", "4 adults", "--no-outlook"],
    ["care", str(OTHER), "--no-outlook"],
    ["outlook", str(ONE)],
    *([*line.split(" ", 2)[:2], *line.split(" ", 2)[2].split("|")] for line in MIX),
]
NAMES = [" ".join(command[:2] if command[0] == "mix" else command[:1]) for command in ANSWERING]
#: Answers with much prose of the rulebook, and with readings behind their findings.
MORE_IN_US = [
    ["triage", str(CASES / "front-window-bowl-in-the-july-heat.yaml")],
    ["triage", str(CASES / "ice-cold-from-the-yard-tap.yaml")],
    ["stocking", str(CASES / "stocking" / "the-unheated-back-room.yaml"), "--no-outlook"],
    ["stocking", str(CASES / "stocking" / "eight-for-the-front-window.yaml"), "--no-outlook"],
]
#: A number in Celsius or in litres, as answers write them.
METRIC = re.compile(r"\d ?(?:degC|C|m?L)\b|per L\b")


def out(capsys: pytest.CaptureFixture[str], *command: str, code: int = 0) -> str:
    assert main(list(command)) == code
    return capsys.readouterr().out


@pytest.mark.parametrize("command", ANSWERING, ids=NAMES)
def test_every_answer_has_every_format(
    command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    data = json.loads(out(capsys, *command, "--format", "json"))
    assert data["format"].startswith("bowlside-")
    assert out(capsys, *command, "--format", "markdown").startswith("# ")
    page = out(capsys, *command, "--format", "html")
    harmless(page)
    carried = re.search(rf'id="{ELEMENT}">([^<]*)</script>', page)
    assert carried is not None and json.loads(carried[1])["answer"] == data


@pytest.mark.parametrize("command", [*ANSWERING, *MORE_IN_US], ids=lambda command: command[0])
def test_us_units_leave_no_celsius_and_no_litres(
    command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    shown = out(capsys, *command, "--units", "us", "--format", "markdown")
    assert METRIC.findall(shown) == []


def test_a_week_in_us_units_is_the_same_week(capsys: pytest.CaptureFixture[str]) -> None:
    # 1 US gallon is 3.785411784 L, 0 C is 32 F (NIST Handbook 44, appendix C; from memory).
    metric = out(capsys, "care", str(OTHER), "--no-outlook", "--units", "metric")
    us = out(capsys, "care", str(OTHER), "--no-outlook", "--units", "us")
    litres = re.search(r"\(([\d.]+)\s+L\)", metric)
    gallons = re.search(r"\(([\d.]+)\s+US\s+gal\)", us)
    assert litres is not None and gallons is not None
    assert float(gallons[1]) * 3.785411784 == pytest.approx(float(litres[1]), rel=0.01)


def test_the_drawing_of_an_outlook_is_in_the_same_units_as_its_words(
    capsys: pytest.CaptureFixture[str],
) -> None:
    us = out(capsys, "outlook", str(ONE), "--units", "us", "--format", "html")
    assert "(F)" in us and "(C)" not in us
    metric = out(capsys, "outlook", str(ONE), "--units", "metric", "--format", "html")
    assert "(C)" in metric and "(F)" not in metric


@pytest.fixture
def log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """A container that is logged, with readings, counts, a change and a death."""
    file = str(tmp_path / "studio.log")
    assert main(["log", "know", str(OTHER), "--name", "oak", "--log", file]) == 0
    for told in (
        ["--reading", "temperature 22 C", "--count", "21 adults", "--at", "9 days ago"],
        ["--reading", "temperature 25 C", "--event", "water-change 2 L", "--at", "4 days ago"],
        ["--count", "19 adults", "--death", "2", "--note", HOSTILE, "--at", "1 day ago"],
    ):
        assert main(["jot", "--log", file, *told, "oak"]) == 0
    capsys.readouterr()
    return file


@pytest.mark.parametrize("command", [["log", "show", "oak"], ["round"]], ids=lambda c: c[0])
def test_a_log_has_every_format(
    command: list[str], log: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command = [*command, "--log", log]
    data = json.loads(out(capsys, *command, "--format", "json"))
    assert data["format"].startswith("bowlside-")
    assert "oak" in out(capsys, *command, "--format", "markdown")
    page = out(capsys, *command, "--format", "html")
    harmless(page)
    assert page.count("<svg") == 2
    us = out(capsys, *command, "--format", "html", "--units", "us").split("<footer>")[0]
    # 22 C is 71.6 F and 25 C is 77 F.
    assert "71.6" in us and "77 F" in us and METRIC.findall(us) == []
    schema = json.loads(out(capsys, *command, "--answer-schema"))
    jsonschema.validate(data, schema)


def test_a_logged_container_by_its_name_gives_a_page_that_carries_its_log(
    log: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = out(capsys, "triage", "oak", "--log", log, "--format", "html")
    harmless(page)
    file = tmp_path / "oak.html"
    file.write_text(page, encoding="utf-8")
    told = json.loads(out(capsys, "triage", str(file), "--format", "json"))
    texts = [fact["text"] for fact in told["observations"]]
    assert any(text.startswith("temperature: 25 C") for text in texts), texts


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    folder.mkdir()
    for file in (ONE, OTHER):
        shutil.copy(file, folder)
    return folder


@pytest.mark.parametrize(
    "command",
    [["care", "--no-outlook"], ["outlook"], ["stocking", "--add", "2 adults", "--no-outlook"]],
    ids=lambda command: command[0],
)
def test_a_folder_is_answered_as_a_shelf(
    command: list[str], shelf: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shelf / "broken.yaml").write_text(f"case: {json.dumps(HOSTILE)}\nvolume:", encoding="utf-8")
    command = [command[0], str(shelf), *command[1:]]
    lines = [
        json.loads(line)
        for line in out(capsys, *command, "--format", "json", code=3).split("\n")
        if line
    ]
    assert {line["file"] for line in lines} == {ONE.name, OTHER.name, "broken.yaml"}
    assert sum("answer" in line for line in lines) == 2
    page = out(capsys, *command, "--format", "html", code=3)
    harmless(page)
    assert all(name in page for name in (ONE.name, OTHER.name, "broken.yaml"))


def test_the_calendar_of_a_shelf_has_every_container_that_is_well(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "shelf.ics"
    assert main(["care", str(shelf), "--no-outlook", "--calendar", str(file)]) == 0
    said = capsys.readouterr().err
    written = file.read_text(encoding="utf-8").replace("\r\n ", "")
    assert "Full already\\, if you count: measure" in written
    assert "The strip has a pink square now" in said and "pink square" not in written
