"""First aid as agencies, poison lines, vets and extension services give it, against our plans.

The rows of `first_aid.yaml` carry their citations, grades and whom the source speaks of. Few
sources tested dwarf shrimp: advice for fish is marked so there, and the step to shrimp is ours.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.advice.plan import Plan
from diagnose.rulebook.terms import Rulebook
from tests.advice_supposed import ids, plan_for

ROWS: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "first_aid.yaml").read_text(encoding="utf-8")
)
MARKS = ("first", "urgency", "has", "has_later", "before", "lacks", "cautions", "words", "nowhere")
KEYS = {"id", "grade", "advice_for", "citation", "known", "cause", "settles", *MARKS}


def planned(rulebook: Rulebook, row: dict[str, Any]) -> Plan:
    known = {k: v if isinstance(v, str) else float(v) for k, v in row["known"].items()}
    return plan_for(rulebook, known, row["cause"])


def test_forty_situations_and_more_each_with_its_source() -> None:
    assert len(ROWS) >= 40
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert set(row) <= KEYS, row["id"]
        assert row["grade"] in ("A", "B") and row["citation"] and row["advice_for"]
        assert set(row) & set(MARKS), row["id"]


def test_contradictions_between_sources_are_settled_by_an_argument() -> None:
    settled = [row["settles"] for row in ROWS if "settles" in row]
    assert len(settled) >= 10
    assert all(len(text.split()) >= 10 for text in settled)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_plan_does_as_the_guidance_says(rulebook: Rulebook, row: dict[str, Any]) -> None:
    found = planned(rulebook, row)
    soon, every = ids(found, "now", "today"), ids(found)
    if "urgency" in row:
        assert found.urgency == row["urgency"]
    if "first" in row:
        assert soon[0] == row["first"], soon
    assert set(row.get("has", ())) <= set(soon), soon
    assert set(row.get("has_later", ())) <= set(every), every
    for one, other in row.get("before", ()):
        assert one in every and other in every, every
        assert every.index(one) < every.index(other), every
    assert not set(row.get("lacks", ())) & set(every), every
    assert set(row.get("cautions", ())) <= set(found.cautions), found.cautions
    for name, words in row.get("words", {}).items():
        step, caution = rulebook.steps.get(name), rulebook.cautions.get(name)
        text = f"{step.title} {step.do} {step.why}" if step else caution.text if caution else ""
        assert name in every or name in found.cautions, every
        assert all(word in text for word in words), text
    for word in row.get("nowhere", ()):
        assert all(word not in f"{s.title} {s.do}".lower() for s in rulebook.steps.values())


def test_the_next_look_names_when_to_call(rulebook: Rulebook) -> None:
    """University of Florida IFAS and Merck Veterinary Manual 2023: a vet is called when deaths go
    on after the water is right, and before any medicine.
    """
    for mechanism in rulebook.mechanisms.values():
        look = mechanism.next_look
        assert look.when and look.works and look.otherwise and look.vet, mechanism.id
    week = rulebook.mechanisms["nerve-poisoning"].next_look
    assert "week" in week.when and "no proof" in week.works  # several poisons kill days later
