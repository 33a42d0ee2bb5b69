"""Published diagnostic tables and case histories: fed alone, each row's cause must come out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.belief.belief import Beliefs, Standing, believe
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.rulebook.terms import Rulebook

HERE = Path(__file__).parent
ROWS = yaml.safe_load((HERE / "differentials.yaml").read_text(encoding="utf-8"))
HISTORIES = yaml.safe_load((HERE / "case_histories.yaml").read_text(encoding="utf-8"))


def beliefs_of(rulebook: Rulebook, findings: dict[str, Any]) -> Beliefs:
    observations = [
        Observation(name, value if isinstance(value, str) else float(value), "told", "published")
        for name, value in findings.items()
    ]
    return believe(rulebook, Inference(rulebook, findings).run(observations))


def named_by(row: dict[str, Any], standing: Standing) -> bool:
    """Whether a standing is what the row names: its cause, or the mechanism it most likely
    worked through.
    """
    causes = row.get("causes", [row.get("cause")])
    mechanisms = row.get("mechanisms", [row.get("mechanism")])
    return standing.cause in causes or standing.mechanism in mechanisms


def place(rulebook: Rulebook, row: dict[str, Any]) -> int:
    """The place (1 is first) at which the row's cause comes out."""
    standings = beliefs_of(rulebook, row["findings"]).standings
    return next(i for i, s in enumerate(standings, start=1) if named_by(row, s))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_cause_of_a_published_row_is_among_the_first_three(
    rulebook: Rulebook, row: dict[str, Any]
) -> None:
    assert place(rulebook, row) <= 3, row["cite"]


def test_four_of_five_published_rows_put_their_cause_first(rulebook: Rulebook) -> None:
    late = [row["id"] for row in ROWS if place(rulebook, row) > 1]
    assert len(late) <= 0.2 * len(ROWS), late


def test_published_histories_come_out(rulebook: Rulebook) -> None:
    places = {row["id"]: place(rulebook, row) for row in HISTORIES}
    first = [name for name, found in places.items() if found == 1]
    soon = [name for name, found in places.items() if found <= 3]
    assert len(first) >= 0.5 * len(HISTORIES), places
    assert len(soon) >= 0.8 * len(HISTORIES), places
