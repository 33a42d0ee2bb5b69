"""Reports gathered after all rules stood, encoded by readers who saw no rule, run once.

Each row of `conclusions.csv` names its public page. The run is kept in `first_run.json` as it came
and is never edited; rules that are argued after it make today's figures flatter than it.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.audit.reported import reported_cases
from diagnose.rulebook.terms import Rulebook

FOLDER = Path(__file__).parent / "reported_later"
RUN = json.loads((FOLDER / "first_run.json").read_text("utf-8"))["first_run"]


def test_every_report_is_encoded_and_can_be_read(rulebook: Rulebook) -> None:
    found = reported_cases(FOLDER, rulebook, now=datetime(2026, 11, 26))
    assert [report.exercise.name for report in found] == [one["report"] for one in RUN["outcomes"]]
    assert [report.sort for report in found] == [one["sort"] for one in RUN["outcomes"]]


@pytest.mark.parametrize(("mark", "sort"), [("reported", "named"), ("nothing_wrong",) * 2])
def test_the_shares_of_the_first_run_follow_from_its_outcomes(mark: str, sort: str) -> None:
    outcomes = [one for one in RUN["outcomes"] if one["sort"] == sort]
    marks = RUN["marks"][mark]
    assert marks["n"] == len(outcomes)
    assert marks["first"] == pytest.approx(sum(o["right"] for o in outcomes) / len(outcomes))
    assert marks["first_three"] == pytest.approx(
        sum(o["place"] <= 3 for o in outcomes) / len(outcomes)
    )
