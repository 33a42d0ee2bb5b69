"""The worked cases with every reading taken out, and how the rulebook fares on them with estimates
of the container model and without.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from diagnose.case_triage import ObservedCase, observed_case, with_estimates
from diagnose.findings import observe
from diagnose.inference.engine import Inference
from diagnose.places import bundled
from diagnose.ranking.belief import Beliefs, believe
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

#: The time of asking of cases that name none.
ASKED = datetime(2026, 3, 14, 22, 30)
LEAST_BELIEF = 1e-9


def worked_files() -> list[Path]:
    return sorted(bundled("cases").glob("*.yaml"))


def measured_names(rulebook: Rulebook) -> frozenset[str]:
    """Answers that only an instrument gives."""
    return frozenset(n for n, t in rulebook.vocabulary.items() if t.needs not in ("", "eyes"))


def stripped(rulebook: Rulebook, file: Path, *, also_seen: bool = False) -> ObservedCase:
    """A worked case without its readings; also_seen: without what was seen and told as well."""
    found = observed_case(file, rulebook, now=ASKED)
    case = found.case
    instruments = measured_names(rulebook)
    told = {name: value for name, value in case.told.items() if name not in instruments}
    left: dict[str, object] = {"readings": (), "told": {} if also_seen else told}
    if also_seen:
        left |= {"seen": (), "not_seen": ()}
    case = case.model_copy(update=left)
    species = species_of(rulebook, case.stock.species)
    seen = observe(case, rulebook.vocabulary, species, now=case.asked_at or ASKED)
    return replace(found, case=case, observations=seen)


def beliefs_of(rulebook: Rulebook, observed: ObservedCase) -> Beliefs:
    names = [item.name for item in observed.observations]
    return believe(rulebook, Inference(rulebook, names).run(observed.observations))


def place(beliefs: Beliefs, expected: Iterable[str]) -> int:
    """Where the best placed of the expected causes stands; 0 is first."""
    order = [standing.cause for standing in beliefs.standings]
    return min(order.index(cause) for cause in expected)


@dataclass(frozen=True)
class Fared:
    """One case: its place and the belief in what is right, without estimates and with them."""

    file: str
    estimated: bool
    place_without: int
    place_with: int
    belief_without: float
    belief_with: float


def fared(rulebook: Rulebook, observed: ObservedCase, file: Path) -> Fared | None:
    """How a case fares; None for one that expects nothing."""
    expect = observed.case.expect
    if expect is None or not expect.first:
        return None
    more = with_estimates(rulebook, observed, bundled("knowledge"), now=ASKED)
    without = beliefs_of(rulebook, observed)
    with_them = without if more is observed else beliefs_of(rulebook, more)
    right = [
        math.fsum(s.belief for s in beliefs.standings if s.cause in expect.first)
        for beliefs in (without, with_them)
    ]
    return Fared(
        file.stem,
        more is not observed,
        place(without, expect.first),
        place(with_them, expect.first),
        right[0],
        right[1],
    )


def log_loss(beliefs: Iterable[float]) -> float:
    found = [-math.log(max(belief, LEAST_BELIEF)) for belief in beliefs]
    return math.fsum(found) / len(found)
