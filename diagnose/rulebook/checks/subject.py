"""What is inspected: a rulebook, how it was written, and the worked cases that exercise it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.rulebook.checks.check import At
from diagnose.rulebook.checks.written import Written
from diagnose.rulebook.terms import Evidence, Rulebook


@dataclass(frozen=True, slots=True)
class Subject:
    """worked: how many worked cases expect each cause. mentions: see `Written.mentions`."""

    rulebook: Rulebook
    written: Written
    worked: Mapping[str, int]
    mentions: Counter[str]

    def arguments(self) -> Iterator[tuple[At, Evidence]]:
        """Every argument of causes and mechanisms, with its place."""
        for kind, owners in (
            ("causes", self.rulebook.causes),
            ("mechanisms", self.rulebook.mechanisms),
        ):
            for owner in owners.values():
                for item in owner.evidence:
                    yield At(kind, owner.id, ("evidence", item.id)), item


def highest(item: Evidence) -> float:
    """The most an argument can say for its owner, decibans."""
    return max(y for _, y in item.curve.points) if item.curve is not None else item.weight


def lowest(item: Evidence) -> float:
    """The most it can say against, as a negative number of decibans."""
    return min(y for _, y in item.curve.points) if item.curve is not None else item.weight
