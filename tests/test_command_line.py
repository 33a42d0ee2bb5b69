"""The command as a keeper uses it: help, documentation, formats, bad input."""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest

from diagnose.cli import BAD_INPUT, main, parser
from diagnose.report.answer import answer_schema
from diagnose.rulebook.places import bundled

ROOT = Path(__file__).parents[1]
CASE = sorted(bundled("cases").glob("*.yaml"))[0]


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def commands(
    found: argparse.ArgumentParser, name: str = "bowlside"
) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    yield name, found
    for action in found._actions:
        if isinstance(action, argparse._SubParsersAction):
            for word, inner in action.choices.items():
                yield from commands(inner, f"{name} {word}")


COMMANDS = dict(commands(parser()))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_documented_in_the_readme(name: str) -> None:
    assert name in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_has_a_help_text_and_stands_in_the_readme(name: str) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for action in COMMANDS[name]._actions:
        if isinstance(action, argparse._HelpAction | argparse._SubParsersAction):
            continue
        assert action.help, f"{name}: {action.dest} has no help text"
        for option in action.option_strings:
            assert option in readme or option == "--version", f"{name} {option}"


def test_help_builds_nothing() -> None:
    program = (
        "import sys; from diagnose.cli import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'experta', 'pydantic', 'rich', 'yaml', 'numpy', 'pint'} & set(sys.modules)\n"
        "print('loaded:', sorted(heavy))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout.endswith("loaded: []\n")


def test_the_json_answer_follows_its_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["triage", str(CASE), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, answer_schema())
    wanted = "format urgency ranking also_at_work unexplained steps checks cautions assumptions"
    assert set(wanted.split()) <= set(found)
    assert {"cause", "title", "belief", "mechanism", "for", "against"} <= set(found["ranking"][0])


@pytest.mark.parametrize("form", ["terminal", "json", "markdown"])
def test_every_format_shows_every_caution(form: str, capsys: pytest.CaptureFixture[str]) -> None:
    main(["triage", str(CASE), "--format", "json"])
    cautions = [c["text"] for c in json.loads(capsys.readouterr().out)["cautions"]]
    main(["triage", str(CASE), "--format", form, "--all"])
    shown = " ".join(capsys.readouterr().out.replace("\\", "").split())
    assert cautions
    assert all(" ".join(text.split()) in shown for text in cautions)


def test_the_terminal_answer_fits_80_columns_and_needs_no_colour(
    capsys: pytest.CaptureFixture[str],
) -> None:
    main(["triage", str(CASE)])
    shown = capsys.readouterr().out
    assert max(len(line) for line in shown.splitlines()) <= 80
    assert "\x1b" not in shown


def test_one_cause_can_be_explained_down_to_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    main(["triage", str(CASE), "--format", "json"])
    cause = json.loads(capsys.readouterr().out)["ranking"][0]["cause"]
    assert main(["triage", str(CASE), "--explain", cause]) == 0
    shown = capsys.readouterr().out
    assert f"rule {cause}/" in shown and "source:" in shown


def test_an_unknown_cause_is_answered_with_near_names(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["triage", str(CASE), "--explain", "overfeding"]) == BAD_INPUT
    assert "overfeeding" in capsys.readouterr().err


def test_a_missing_file_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["triage", "no-such-jar.yaml"]) == BAD_INPUT
    message = capsys.readouterr().err
    assert "no-such-jar.yaml" in message and "Traceback" not in message


def test_a_new_case_is_readable_and_never_overwrites(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "my-jar.yaml"
    assert main(["case", "new", str(file)]) == 0
    before = file.read_bytes()
    assert main(["case", "new", str(file)]) == BAD_INPUT
    assert file.read_bytes() == before


def test_a_shelf_of_jars_is_one_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for file in sorted(bundled("cases").glob("*.yaml"))[:3]:
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "broken.yaml").write_text("container: [", encoding="utf-8")
    assert main(["triage", str(tmp_path)]) == BAD_INPUT
    shown = capsys.readouterr().out
    assert "broken.yaml" in shown and "%" in shown


def test_python_dash_m_is_the_same_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--version"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.startswith("bowlside ")


def test_the_screen_in_the_readme_is_what_the_command_prints() -> None:
    from tests.readme_screen import in_readme, screen

    assert in_readme() == screen(), "run: python -m tests.readme_screen"
