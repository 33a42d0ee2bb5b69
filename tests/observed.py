"""What follows from a case told in a few lines of YAML."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import yaml

from diagnose.findings import observe
from diagnose.findings.observation import Observation
from diagnose.intake.case import Case
from diagnose.intake.case_file import read_case
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

#: The time of asking of every case here that names none.
ASKED_AT = datetime(2026, 3, 14, 18, 0)


def written_case(rulebook: Rulebook, text: str) -> Case:
    """The case with these lines; its name is added."""
    written = f"case: jar\n{text}\n".encode()
    return read_case(written, "jar.yaml", ASKED_AT, vocabulary=rulebook.vocabulary)


def observations(rulebook: Rulebook, case: Case) -> tuple[Observation, ...]:
    """What a case says, as the command would observe it."""
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    return observe(
        case, rulebook.vocabulary, species, rulebook.companions, now=case.asked_at or ASKED_AT
    )


def observed(rulebook: Rulebook, text: str) -> dict[str, Observation]:
    """What these lines say, by name."""
    return {item.name: item for item in observations(rulebook, written_case(rulebook, text))}


def values(rulebook: Rulebook, text: str) -> dict[str, Any]:
    """The bare values of what these lines say, by name."""
    return {name: item.value for name, item in observed(rulebook, text).items()}


def lines(**sections: Any) -> str:
    """Sections of a case as the lines a keeper would write."""
    return str(yaml.safe_dump(sections))
