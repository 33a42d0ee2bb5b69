"""What all tests share: the bundled rulebook, loaded once."""

from __future__ import annotations

import pytest

from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook


@pytest.fixture(scope="session")
def rulebook() -> Rulebook:
    """The bundled rulebook, read from its YAML."""
    return load_rulebook(bundled("knowledge"))
