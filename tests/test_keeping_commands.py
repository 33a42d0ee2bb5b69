"""`bowlside stocking`, `care` and `mix` as a keeper uses them."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import jsonschema
import pytest
from icalendar import Calendar

from diagnose.cli import BAD_INPUT, main
from diagnose.rulebook.places import bundled

CASE = str(bundled("cases") / "stocking" / "eight-for-the-front-window.yaml")
FORTY = str(bundled("cases") / "stocking" / "forty-for-the-big-vase.yaml")


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("NO_COLOR", "1")


def said(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> str:
    assert main(arguments) == code
    out, err = capsys.readouterr()
    return out if code == 0 else err


def test_the_answer_comes_first_and_fits_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "stocking", CASE, "--no-outlook")
    lines = [line.rstrip() for line in text.splitlines()]
    assert lines[1] == "Add now: they may come."
    assert "Number that may be added now: 10 grown ones." in text
    assert max(map(len, lines)) <= 80
    assert "\x1b" not in text
    for must in ("How to bring them in", "Stop and let them rest at", "Take care", "pond"):
        assert must in text


def test_more_can_be_asked_for_than_the_file_says(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "stocking", CASE, "--add", "40 adults", "--no-outlook")
    assert "Do not add" in text and "What limits it: capacity." in text


def test_another_kind_can_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(
        capsys, "stocking", CASE, "--add", "4 adults", "--species", "Amano shrimp", "--no-outlook"
    )
    assert "Do not add" in text and "volume" in text


@pytest.mark.parametrize(
    ("command", "file"), [("stocking", CASE), ("stocking", FORTY), ("care", CASE)]
)
def test_json_keeps_to_its_schema(
    capsys: pytest.CaptureFixture[str], command: str, file: str
) -> None:
    schema = json.loads(said(capsys, command, "--answer-schema"))
    answer = json.loads(said(capsys, command, file, "--format", "json", "--no-outlook"))
    jsonschema.validate(answer, schema)
    assert answer["format"] == f"bowlside-{command}/2"
    assert answer["cautions"]


def test_the_outlook_has_bands_in_order(capsys: pytest.CaptureFixture[str]) -> None:
    answer = json.loads(said(capsys, "stocking", CASE, "--format", "json"))
    jsonschema.validate(answer, json.loads(said(capsys, "stocking", "--answer-schema")))
    found = answer["outlook"]
    assert found["weeks"] == 8
    for name in ("dawn_oxygen_mg_l", "nh3_mg_l", "animals"):
        assert found[name] == sorted(found[name])
    assert 0 <= found["dawn_oxygen_mg_l"][0] <= found["dawn_oxygen_mg_l"][2] < 12


@pytest.mark.parametrize("command", ["stocking", "care"])
def test_markdown_has_headings(capsys: pytest.CaptureFixture[str], command: str) -> None:
    text = said(capsys, command, CASE, "--format", "markdown", "--no-outlook")
    assert text.startswith("# Eight for the front window\n") and "\n## Take care\n" in text


def test_a_rule_is_explained_down_to_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "stocking", FORTY, "--explain", "over-capacity")
    assert "It is shut" in text and "common practice, no source" in text and "1.6 g" in text
    wrong = said(capsys, "stocking", FORTY, "--explain", "over-capasity", code=BAD_INPUT)
    assert "over-capacity" in wrong


def test_a_calendar_is_written_beside_the_answer(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "jar.ics"
    said(capsys, "care", CASE, "--calendar", str(file), "--no-outlook")
    assert Calendar.from_ical(file.read_bytes()).walk("VEVENT")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["stocking", CASE, "--add", "a wardrobe"], ["wardrobe", "8 adults"]),
        (["stocking", CASE, "--add", "0 adults"], ["Nobody is to come", "--add"]),
        (["stocking", "missing.yaml", "--add", "3"], ["missing.yaml", "cannot be read"]),
        (["care"], ["bowlside care FILE"]),
        (
            [
                "mix",
                "waters",
                "--first",
                "16 dGH",
                "--second",
                "3 C",
                "--target",
                "8 dGH",
                "--volume",
                "6 L",
            ],
            ["not of one kind"],
        ),
        (
            [
                "mix",
                "waters",
                "--first",
                "4 dGH",
                "--second",
                "8 dGH",
                "--target",
                "9 dGH",
                "--volume",
                "6 L",
            ],
            ["target", "9"],
        ),
        (["mix", "minerals", "--from", "8 dGH", "--to", "2 dGH", "--volume", "6 L"], ["hardness"]),
        (
            ["mix", "ammonia", "--total", "much", "--ph", "7", "--temperature", "20 C"],
            ["--total", "much"],
        ),
        (["mix", "spill", "--amount", "1 g", "--volume", "0 L", "--limit", "1 mg/L"], ["--volume"]),
    ],
)
def test_bad_input_is_told_in_a_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str], words: list[str]
) -> None:
    text = said(capsys, *arguments, code=BAD_INPUT)
    assert "Traceback" not in text
    assert all(word in " ".join(text.split()) for word in words), text


def test_care_without_a_volume_says_what_is_missing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "jar.yaml"
    file.write_text("case: jar\nstock: {adults: 3}\n", encoding="utf-8")
    assert "volume" in said(capsys, "care", str(file), code=BAD_INPUT)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["waters", "--first", "16 dGH", "--second", "0 dGH", "--target", "8 dGH",
          "--volume", "6 L"], "3.00 L of the first"),
        (["waters", "--first", "10 C", "--second", "40 C", "--target", "22 C", "--volume", "5 L"],
         "2.00 L of the second"),
        (["change", "--old", "80 mg/L", "--new", "0 mg/L", "--target", "20 mg/L", "--volume",
          "6 L"], "75 % (4.50 L)"),
        (["change", "--old", "80 mg/L", "--new", "0 mg/L", "--target", "20 mg/L", "--share",
          "50 %"], "2 changes of 50 % each"),
        (["spill", "--amount", "120 mg", "--volume", "6 L", "--limit", "5 mg/L"],
         "2 changes of 50 % leave 5 mg/L"),
        (["minerals", "--from", "2 dGH", "--to", "8 dGH", "--volume", "6 L", "--label", "1 g",
          "10 L", "2 dGH"], "By the label: 1.80 g"),
        (["ammonia", "--total", "0.5 mg/L", "--ph", "7.4", "--temperature", "24 C", "--ph-after",
          "8.4"], "8.9 times"),
    ],
)  # fmt: skip
def test_mix_reckons(capsys: pytest.CaptureFixture[str], arguments: list[str], words: str) -> None:
    text = said(capsys, "mix", *arguments)
    assert words in " ".join(text.split())
    data = json.loads(said(capsys, "mix", *arguments, "--format", "json"))
    assert data["format"] == "bowlside-mix/1" and data["results"]


def test_without_a_file_it_asks(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter(
        ["a bucket", "6 L", "9 months", "moderate", "none", "0", "0 mg/L", "0 mg/L", "22 C",
         "8 dGH", "no", "cherry shrimp", "", "8 adults"]
    )  # fmt: skip
    monkeypatch.setattr("builtins.input", lambda prompt="": next(answers))
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    text = said(capsys, "stocking", "--no-outlook")
    assert "Add now: they may come." in text and "`bucket` is no unit of a volume" in text


def test_without_a_file_and_nobody_to_answer_it_says_so(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert "nobody sits" in said(capsys, "stocking", code=BAD_INPUT)


def test_an_unknown_kind_of_adding_is_refused_with_its_line(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "jar.yaml"
    file.write_text("case: jar\ncontainer: {volume: 6 L}\nadding: {grownups: 3}\n", "utf-8")
    text = said(capsys, "stocking", str(file), code=BAD_INPUT)
    assert "line 3" in text and "grownups" in text
