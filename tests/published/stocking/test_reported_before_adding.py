"""Reported situations before animals were added: `reported_before_adding.yaml` names each page.

Reports are thin: most leave out temperature, hardness or volume. So "ready" is met when nothing
that was told shuts a gate, and only facts are missing; "wait" when a gate is shut for the reason
that the reporter named.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.findings.observed_case import observed_text
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.readiness import Readiness
from diagnose.uses.stocking import judged_case, told_newcomers

ASKED = datetime(2026, 4, 18, 17, 30)
REPORTS: dict[str, dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("reported_before_adding.yaml").read_text(encoding="utf-8")
)
READY = [name for name, row in REPORTS.items() if row["said"] == "ready"]
WAIT = [name for name, row in REPORTS.items() if row["said"] == "wait"]


def judged(rulebook: Rulebook, name: str) -> Readiness:
    text = yaml.safe_dump({"case": name, "asked_at": f"{ASKED}"[:16], **REPORTS[name]["told"]})
    seen = observed_text(text.encode("utf-8"), name, rulebook, now=ASKED)
    return judged_case(rulebook, seen, told_newcomers(seen.case, rulebook), now=ASKED)


@pytest.mark.parametrize("name", READY)
def test_what_was_ready_is_held_up_by_nothing_but_missing_facts(
    rulebook: Rulebook, name: str
) -> None:
    found = judged(rulebook, name)
    assert [met.gate.id for met in found.shut] == []
    assert found.limit == "facts" and found.judgement.unknown


@pytest.mark.parametrize("name", WAIT)
def test_what_had_to_wait_waits_for_the_reason_that_was_named(
    rulebook: Rulebook, name: str
) -> None:
    found = judged(rulebook, name)
    assert found.judgement.verdict == "wait" and found.now == 0
    limits = {met.gate.limit for met in found.shut}
    assert set(REPORTS[name]["limits"]) <= limits


def test_every_report_names_its_page_and_a_verdict() -> None:
    assert READY and WAIT
    for row in REPORTS.values():
        assert row["citation"].startswith("http") and row["provenance"] == "published"
        assert row["said"] in ("ready", "wait")
