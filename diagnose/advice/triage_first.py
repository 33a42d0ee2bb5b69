"""Whether a container is in such a state that triage comes before any routine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.rulebook.terms import Condition, Evidence, Rulebook

#: The condition that says so; its parts are the reasons.
TRIAGE_FIRST = "triage-first"
#: A condition counts from half way, as a gate does.
HOLDS_FROM = 0.5


@dataclass(frozen=True, slots=True)
class _StateRules:
    """The conditions alone, as a set of rules for the engine."""

    conditions: dict[str, Condition]

    def evidence(self) -> tuple[Evidence, ...]:
        return ()


@dataclass(frozen=True, slots=True)
class StateReason:
    """A state that sends to triage, why that comes first, and the observations it rests on."""

    condition: Condition
    rests_on: tuple[Observation, ...]


def triage_first(
    rulebook: Rulebook, observations: Iterable[Observation]
) -> tuple[StateReason, ...]:
    """The states that send to triage first, in the order of the rulebook; none for a calm one."""
    known = {item.name: item for item in observations}
    trace = Inference(_StateRules(rulebook.conditions), known).run(known.values())
    parts = {leaf.name for way in rulebook.conditions[TRIAGE_FIRST].when for leaf in way}
    return tuple(
        StateReason(rulebook.conditions[name], trace.rests_on(trace.conditions[name]))
        for name in rulebook.conditions
        if name in parts
        and name in trace.conditions
        and trace.conditions[name].degree >= HOLDS_FROM
    )
