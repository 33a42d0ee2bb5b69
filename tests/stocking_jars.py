"""Jars to ask about adding stock, in Python: mature and planted unless said otherwise."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from diagnose.findings import observe
from diagnose.findings.observed_case import ObservedCase
from diagnose.intake.case import Case, Container, Reading, Stock
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.prospect import Newcomers
from diagnose.stocking.readiness import Readiness
from diagnose.uses.stocking import judged_case

NOW = datetime(2026, 4, 18, 17, 30)
CLEAN = {"ammonia": 0.0, "nitrite": 0.0, "temperature": 22.0, "gh": 8.0}


def jar(
    *,
    readings: Mapping[str, float] | None = None,
    stock: Mapping[str, Any] | None = None,
    case: Mapping[str, Any] | None = None,
    **box: Any,
) -> Case:
    """A jar of 6 L, 200 days old, moderately planted, without filter and without shrimp."""
    usual = {"volume_l": 6.0, "age_days": 200.0, "planting": "moderate", "filter": "none"}
    measured = CLEAN if readings is None else readings
    return Case(
        case="jar",
        asked_at=NOW,
        container=Container(**(usual | box)),
        stock=Stock(**({"adults": 0} | dict(stock or {}))),
        readings=tuple(
            Reading(what=what, value=value)  # type: ignore[arg-type]
            for what, value in measured.items()
        ),
        **({"not_seen": ("fish_kept",)} | dict(case or {})),
    )


def observed(rulebook: Rulebook, case: Case) -> ObservedCase:
    """The jar as the command would observe it."""
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    found = observe(case, rulebook.vocabulary, species, rulebook.companions, now=NOW)
    return ObservedCase(case=case, observations=found, not_logged=(), assumptions=())


def may_come(
    rulebook: Rulebook, case: Case, adults: int, species: str = "cherry shrimp", young: int = 0
) -> Readiness:
    """The answer to adding that many to the jar."""
    newcomers = Newcomers(species_of(rulebook, species), species, adults, young)
    return judged_case(rulebook, observed(rulebook, case), newcomers, now=NOW)
