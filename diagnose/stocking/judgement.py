"""The verdict on one set of observations: which gates are shut, what speaks for adding, what is
not known.

The gates are rules of the rulebook, and the engine that runs the evidence of causes runs them too.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from diagnose.findings.observation import Observation
from diagnose.inference.engine import Firing, Inference, Trace
from diagnose.rulebook.terms import Condition, Evidence, Gate, NeededFact, Rulebook

Verdict = Literal["add now", "wait", "do not add"]
VERDICTS: tuple[Verdict, ...] = ("add now", "wait", "do not add")
#: The limit when too little is known, and when gates that are each half open add up.
FACTS = "facts"


@dataclass(frozen=True, slots=True)
class Met:
    """A gate or argument that fired. decibans: its weight as far as it was met, never negative."""

    gate: Gate
    firing: Firing
    decibans: float
    shut: bool


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict with what it rests on.

    limit: what is short, in one word; empty for "add now". against and for_: heaviest first.
    balance: decibans for, less decibans against.
    """

    verdict: Verdict
    limit: str
    against: tuple[Met, ...]
    for_: tuple[Met, ...]
    unknown: tuple[NeededFact, ...]
    balance: float
    trace: Trace

    @property
    def shut(self) -> tuple[Met, ...]:
        """The gates that are shut, heaviest first, those that forbid before those that wait."""
        return tuple(met for met in self.against if met.shut)


@dataclass(frozen=True, slots=True)
class GateRules:
    """The gates as a set of rules for the engine."""

    conditions: dict[str, Condition]
    gates: dict[str, Gate]

    def evidence(self) -> tuple[Evidence, ...]:
        """The evidence of every gate, in a fixed order."""
        return tuple(gate.evidence for gate in self.gates.values())


class Judge:
    """Judges sets of observations whose names are among the given ones; built once, asked often."""

    def __init__(self, rulebook: Rulebook, names: Iterable[str]) -> None:
        self._rulebook = rulebook
        rules = GateRules(rulebook.conditions, rulebook.stocking)
        self._engine = Inference(rules, names)

    def judge(self, observations: Iterable[Observation]) -> Judgement:
        """The verdict on these observations."""
        known = list(observations)
        trace = self._engine.run(known)
        shut_at = self._rulebook.numbers["gate_shut_degree"].value
        met = [self._met(firing, shut_at) for firing in trace.evidence.values()]
        counted = [item for item in _strongest_of_groups(met) if item.decibans > 0.0]
        against = sorted((m for m in counted if m.gate.side != "for"), key=_order)
        for_ = sorted((m for m in counted if m.gate.side == "for"), key=_order)
        balance = math.fsum(m.decibans for m in for_) - math.fsum(m.decibans for m in against)
        unknown = self._unknown({item.name for item in known})
        verdict, limit = self._verdict(against, unknown, balance)
        return Judgement(verdict, limit, tuple(against), tuple(for_), unknown, balance, trace)

    def _met(self, firing: Firing, shut_at: float) -> Met:
        gate = self._rulebook.stocking[firing.argument.id]
        shut = gate.side != "for" and firing.degree >= shut_at
        return Met(gate, firing, firing.decibans, shut)

    def _unknown(self, names: set[str]) -> tuple[NeededFact, ...]:
        facts = self._rulebook.stocking_facts.values()
        return tuple(fact for fact in facts if names.isdisjoint(fact.any_of))

    def _verdict(
        self, against: list[Met], unknown: tuple[NeededFact, ...], balance: float
    ) -> tuple[Verdict, str]:
        shut = [met for met in against if met.shut]
        if shut:
            verdict: Verdict = "do not add" if shut[0].gate.side == "forbid" else "wait"
            return verdict, shut[0].gate.limit
        if unknown:
            return "wait", FACTS
        if balance < self._rulebook.numbers["least_balance_decibans"].value:
            return "wait", against[0].gate.limit if against else FACTS
        return "add now", ""


def _order(met: Met) -> tuple[bool, bool, float, str]:
    """Shut gates first, of these the ones that forbid; then by weight."""
    return not met.shut, not (met.shut and met.gate.side == "forbid"), -met.decibans, met.gate.id


def _strongest_of_groups(met: Iterable[Met]) -> list[Met]:
    """Gates that share a group say the same thing: only the strongest of each side counts."""
    kept: list[Met] = []
    groups: dict[tuple[str, str], Met] = {}
    for item in met:
        group = item.gate.evidence.group
        if group is None:
            kept.append(item)
            continue
        key = (group, item.gate.side)
        known = groups.get(key)
        if known is None or _order(item) < _order(known):
            groups[key] = item
    return [*kept, *groups.values()]
