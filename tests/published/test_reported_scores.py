"""What keepers really reported: 110 situations from public pages, told apart from how they ended.

Each case file holds what its page says, encoded by readers who saw neither rules nor conclusions;
`conclusions.csv` holds what keepers or readers concluded, how surely, and the page. How the rules
did on their first run stands in `first_run.json`. Since then rules have been argued with the
answers in view and factors fitted on them, so the floors here guard what was reached; they do not
measure what the rules are worth on unseen reports.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from diagnose.audit.audit import Audit, audit
from diagnose.audit.reported import reported_cases
from diagnose.report.audit_text import as_data
from diagnose.rulebook.terms import Rulebook

REPORTED = Path(__file__).parent / "reported"


@pytest.fixture(scope="module")
def audited(rulebook: Rulebook) -> Audit:
    reports = reported_cases(REPORTED, rulebook, now=datetime(2026, 11, 25, 20))
    return audit(rulebook, (), (), iter, reports)


@pytest.fixture(scope="module")
def marks(audited: Audit) -> dict[str, dict[str, float]]:
    told: dict[str, dict[str, float]] = as_data(audited)["marks"]
    return told


def test_the_denominators_are_those_of_the_reports(marks: dict[str, dict[str, float]]) -> None:
    """58 named and not weak, 23 with nothing wrong, 15 that stayed open."""
    assert marks["reported"]["n"] == 58
    assert marks["nothing_wrong"]["n"] == 23
    assert marks["open"]["n"] == 15


def test_what_was_reached_on_the_reports_is_held(marks: dict[str, dict[str, float]]) -> None:
    named, well, both = marks["reported"], marks["nothing_wrong"], marks["both"]
    assert named["first"] >= 0.82
    assert named["first_three"] >= 0.89
    assert well["first"] >= 0.90
    assert both["brier"] <= 0.15
    assert named["calibration_error"] <= 0.15
    assert marks["open"]["belief_in_first"] <= 0.50


def test_an_interval_stands_beside_every_share(marks: dict[str, dict[str, float]]) -> None:
    """E. B. Wilson 1927, J. Am. Stat. Assoc. 22:209-212 (from memory): for 47 of 58 the 95 %
    interval is 69.1 to 89.1 % (worked by hand from the formula).
    """
    from diagnose.audit.shares import wilson

    found = wilson(47, 58)
    assert (found.low, found.high) == pytest.approx((0.691, 0.891), abs=0.001)
    for name in ("reported", "nothing_wrong"):
        for share in ("first", "first_three"):
            interval = marks[name][f"{share}_interval"]
            assert interval["low"] <= marks[name][share] <= interval["high"]  # type: ignore[index]


@pytest.mark.parametrize(("word", "least"), [("firm", 0.92), ("fairly firm", 0.75)])
def test_a_word_is_earned(audited: Audit, word: str, least: float) -> None:
    (found,) = (row for row in as_data(audited)["words"] if row["word"] == word)
    assert found["right"] >= least
