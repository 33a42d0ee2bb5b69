"""A measured course laid over the model: scores, what a kit shows, what the command prints."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from diagnose.bowl.against import Point, as_read, lay, score, verdicts
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import Run, simulate
from diagnose.cli import BAD_INPUT, main
from tests.bowl_jars import jar, members
from tests.test_outlook import BOWL

DAY = 24
HEAD = "at,what,value,unit\n"


@pytest.fixture(scope="module")
def run() -> Run:
    bowl = jar()
    return simulate(bowl, with_habits(bowl, (), 0, 5 * DAY), 0, 5 * DAY, members(30))


def test_the_score_is_that_of_its_formula_written_out() -> None:
    """mean |x - y| - half the mean |x - x'| over all pairs (Gneiting and Raftery 2007, from
    memory).
    """
    rng = np.random.default_rng(5)
    x = rng.normal(size=40)
    pairs = np.abs(x[:, None] - x[None, :]).mean()
    assert score(x, 0.3) == pytest.approx(np.abs(x - 0.3).mean() - 0.5 * pairs)
    weights = np.ones(40)
    weights[:10] = 0.0
    assert score(x, 0.3, weights) == pytest.approx(score(x[10:], 0.3))
    assert score(np.array([2.0]), 3.5) == pytest.approx(1.5)


def test_a_kit_shows_its_steps_and_ends_at_its_darkest_colour() -> None:
    water = np.linspace(0.0, 20.0, 50)
    read = as_read(water, Point(0.0, "nitrite_mg_l", 1.0))
    assert len(set(read.tolist())) <= 6
    assert as_read(water, Point(0.0, "nitrite_mg_l", 1.0, at_least=True)).max() <= 1.0


def test_a_course_that_the_model_made_itself_lies_in_the_band(run: Run) -> None:
    points = [
        Point(float(h), "temperature_c", float(np.median(run.temperature_c[h])))
        for h in range(12, 100, 12)
    ]
    (found,) = verdicts(lay((run,), points))
    assert found.inside == 1.0
    assert abs(found.bias) < 0.2
    wrong = [Point(p.hour, p.quantity, p.value + 9.0) for p in points]
    (off,) = verdicts(lay((run,), wrong))
    assert off.inside == 0.0
    assert off.bias == pytest.approx(-9.0, abs=0.3)
    assert off.score > found.score + 5.0


@pytest.fixture
def command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    file = tmp_path / "bowl.yaml"
    file.write_text(BOWL, encoding="utf-8")
    return ["outlook", str(file), "--against"]


def test_the_command_says_how_many_lie_inside_and_draws_them(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    course = tmp_path / "course.csv"
    course.write_text(
        HEAD + "2026-05-12 08:00,temperature,22,C\n2026-05-14 20:00,temperature,39,C\n",
        encoding="utf-8",
    )
    assert main([*command, str(course)]) == 0
    said = capsys.readouterr().out
    assert "Held against what was measured" in said
    assert "of 2 inside the band" in " ".join(said.split())
    assert "+ held against it" in said


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (None, "No such file"),
        (HEAD + "2026-05-12 08:00,temperature,x9,C\n", "course.csv"),
        (HEAD + "2026-05-12 08:00,copper,0.1,mg/L\n", "nothing in it can be held"),
    ],
)
def test_what_cannot_be_laid_over_is_said_in_a_sentence(
    command: list[str],
    tmp_path: Path,
    text: str | None,
    says: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    course = tmp_path / "course.csv"
    if text is not None:
        course.write_text(text, encoding="utf-8")
    assert main([*command, str(course)]) == BAD_INPUT
    message = " ".join(capsys.readouterr().err.split())
    assert says in message and "Traceback" not in message
