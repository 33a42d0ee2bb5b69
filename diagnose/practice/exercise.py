"""One exercise: what the keeper tells, what can be found out, and what was the cause."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.findings.observation import Observation
from diagnose.report.wording import Preference, quantity
from diagnose.rulebook.terms import Rulebook, Term


@dataclass(frozen=True, slots=True)
class Exercise:
    """A case to practise on.

    told: observations the story gives away, by name; hidden: those that can be found out; right:
    every cause that counts as right, likeliest first; at_work: further causes that had a part.
    """

    id: str
    title: str
    story: str
    level: int
    origin: Literal["worked", "invented"]
    told: dict[str, Observation]
    hidden: dict[str, Observation]
    right: tuple[str, ...]
    at_work: tuple[str, ...] = ()


def answer_text(term: Term, value: str | float, prefer: Preference = "metric") -> str:
    """An answer as the keeper gives it."""
    if isinstance(value, float | int):
        return quantity(float(value), term.unit, prefer)
    if term.kind == "choice":
        return term.choices.get(value, value)
    return "yes" if value == "present" else "no"


def askable_names(rulebook: Rulebook, exercise: Exercise, known: set[str]) -> tuple[str, ...]:
    """Every question that has a point in this exercise: not known, not derived, and asked of
    something that happened as far as is known.
    """
    found = []
    for term in rulebook.vocabulary.values():
        if term.derived or term.name in known:
            continue
        ground = term.needs_present
        if ground is not None:
            seen = exercise.told.get(ground) or exercise.hidden.get(ground)
            if ground not in known or seen is None or seen.value != "present":
                continue
        found.append(term.name)
    return tuple(found)
