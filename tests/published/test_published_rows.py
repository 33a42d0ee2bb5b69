"""Published differentials and case histories: which rows the rules get right, and which not.

Each row is a case file that says what its source says and names the source (`differentials/`,
`case_histories/`). Rows that fail stand in `failing_rows.yaml` with the reason. Both the rules and
the list of failing rows were written with the rows in view.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
import yaml

from diagnose.audit.audit import Audit, audit
from diagnose.audit.exercise import published_cases
from diagnose.rulebook.terms import Rulebook

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def audited(rulebook: Rulebook) -> Audit:
    return audit(rulebook, published_cases(HERE, rulebook, now=datetime(2026, 3, 14)))


def test_the_rows_that_fail_are_those_listed_with_a_reason(audited: Audit) -> None:
    listed = yaml.safe_load((HERE / "failing_rows.yaml").read_text("utf-8"))
    assert all(len(reason.split()) >= 8 for reason in listed.values())
    assert {case.case for case in audited.misled} == set(listed)


def test_the_share_the_rules_promise_is_kept(audited: Audit) -> None:
    """Three in four first, nine in ten among the first three: the aim set for these rows."""
    marks = audited.marks["published"]
    assert marks.cases == sum(
        1 for part in ("differentials", "case_histories") for _ in (HERE / part).glob("*.yaml")
    )
    assert marks.first >= 0.75
    assert marks.first_three >= 0.90
