"""A folder of containers: who needs eyes first on top, as a table, JSON lines and pages."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from diagnose.cli import main
from tests.test_pages import CASES, Elements, harmless

#: Worked cases by how urgent they are: poison in the water, a crowded container, a quiet one.
NOW, TODAY, WATCH = (
    "glaze-room-jar-after-new-moss.yaml",
    "a-record-in-ten-litres.yaml",
    "am-i-doing-it-wrong.yaml",
)


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    folder = tmp_path / "shelf"
    folder.mkdir()
    for place, name in enumerate((WATCH, TODAY, NOW)):
        shutil.copy(CASES / name, folder / f"{place}-{name}")
    return folder


def test_the_most_urgent_container_stands_first_with_its_file(
    shelf: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["triage", str(shelf), "--no-estimates"]) == 0
    shown = "".join(capsys.readouterr().out.split())
    places = [shown.index(f"{n}-{name}"[:20]) for n, name in ((2, NOW), (1, TODAY), (0, WATCH))]
    assert places == sorted(places)


def test_json_is_one_line_for_each_container(
    shelf: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shelf / "broken.yaml").write_text("case: [", encoding="utf-8")
    assert main(["triage", str(shelf), "--no-estimates", "--format", "json"]) == 3
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["file"][0] for line in lines] == ["b", "2", "1", "0"]
    assert lines[0]["answer"] is None and "broken.yaml" in lines[0]["problem"]
    assert lines[1]["answer"]["urgency"] == "within-the-hour"


def test_pages_of_a_shelf_lead_to_each_answer_and_can_be_renewed(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "pages"
    command = ["triage", str(shelf), "--no-estimates", "--pages", str(out)]
    assert main(command) == 0
    first = {file.name: file.read_bytes() for file in out.iterdir()}
    page = first["shelf.html"].decode("ascii")
    harmless(page)
    links = [a["href"] for tag, a in Elements(page).found if tag == "a"]
    assert len(links) == 3
    assert all((out / str(link)).is_file() for link in links)
    assert main(command) == 0
    assert {file.name: file.read_bytes() for file in out.iterdir()} == first
    capsys.readouterr()
    assert main(["triage", str(shelf), "--no-estimates", "--format", "html"]) == 0
    assert "<a " not in capsys.readouterr().out


def test_a_page_of_somebody_else_is_not_written_over(
    shelf: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "mine"
    out.mkdir()
    (out / "shelf.html").write_text("mine", encoding="utf-8")
    assert main(["triage", str(shelf), "--no-estimates", "--pages", str(out)]) == 3
    assert "choose another folder" in " ".join(capsys.readouterr().err.split())
    assert [file.read_text(encoding="utf-8") for file in out.iterdir()] == ["mine"]
