"""What all tests share: the bundled rulebook, loaded once."""

from __future__ import annotations

import pytest

from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook

#: Files whose tests take no time: what is told, observed, worded and linked. `-m quick` runs them.
QUICK = frozenset(
    """
    test_acclimation test_companions test_findings_aftermath test_findings_assumptions
    test_findings_chemistry test_findings_deaths test_findings_events test_findings_readings
    test_findings_rough test_findings_stocking test_findings_told test_findings_water_changes
    test_intake_amounts test_intake_moments test_intake_names test_intake_quantities
    test_intake_readings test_intake_rough test_layers test_log_round test_mix
    test_nothing_unheard test_reasons_search test_rulebook_loading test_session_replies
    test_short_forms test_water_examples
    """.split()  # noqa: SIM905
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks the tests of quick files."""
    for item in items:
        if item.path.stem in QUICK:
            item.add_marker(pytest.mark.quick)


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    """The bundled rulebook, read from its YAML."""
    return load_rulebook(bundled("knowledge"))
