"""The worked questions about adding stock: verdict right in all, limit right in nine of ten."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.findings.observed_case import observed_case
from diagnose.intake.case import StockingExpectation
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.readiness import Readiness
from diagnose.uses.stocking import judged_case, told_newcomers

ASKED = datetime(2026, 4, 18, 17, 30)
FILES = sorted((bundled("cases") / "stocking").glob("*.yaml"))


def answered(file: Path, rulebook: Rulebook) -> tuple[Readiness, StockingExpectation]:
    seen = observed_case(file, rulebook, now=ASKED)
    assert seen.case.expect is not None and seen.case.expect.stocking is not None
    newcomers = told_newcomers(seen.case, rulebook)
    return judged_case(rulebook, seen, newcomers, now=ASKED), seen.case.expect.stocking


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_the_verdict_is_the_expected_one(file: Path, rulebook: Rulebook) -> None:
    found, expected = answered(file, rulebook)
    assert found.judgement.verdict == expected.verdict, [m.gate.id for m in found.shut]
    if found.judgement.verdict == "add now":
        assert found.now >= (found.newcomers.adults or found.newcomers.juveniles)
        assert not found.shut and not found.judgement.unknown
    else:
        assert found.now < max(found.newcomers.adults, found.newcomers.juveniles)


def test_nine_of_ten_limits_are_the_expected_ones(rulebook: Rulebook) -> None:
    missed = {}
    for file in FILES:
        found, expected = answered(file, rulebook)
        if found.limit not in expected.limit:
            missed[file.stem] = found.limit
    assert len(missed) <= 0.1 * len(FILES), missed


def test_there_are_thirty_questions_and_ten_of_each_verdict(rulebook: Rulebook) -> None:
    count = Counter(answered(file, rulebook)[1].verdict for file in FILES)
    assert len(FILES) >= 30
    assert all(count[verdict] >= 10 for verdict in ("add now", "wait", "do not add")), count


def test_every_shut_gate_can_be_traced_to_what_was_seen(rulebook: Rulebook) -> None:
    for file in FILES:
        found, _ = answered(file, rulebook)
        for met in (*found.judgement.against, *found.judgement.for_):
            assert found.judgement.trace.rests_on(met.firing), (file.stem, met.gate.id)
