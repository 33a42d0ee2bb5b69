"""The worked cases of losses, and the time at which those that name none are asked."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from diagnose.rulebook.places import bundled

#: The time of asking of cases that name none.
ASKED = datetime(2026, 3, 14, 22, 30)


def told_files() -> list[Path]:
    """The worked cases as keepers tell them, in order of their names."""
    return sorted(bundled("cases").glob("*.yaml"))


def worked_files() -> list[Path]:
    """All worked cases of losses: the told ones, and those in which a reading decides."""
    return [*told_files(), *sorted((bundled("cases") / "readings_decide").glob("*.yaml"))]
