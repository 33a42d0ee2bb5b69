"""What no case exercises: causes nobody expects, observations nobody makes, rules that never fire.

A rule that no case fires may be wrong in any way, and no score would show it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnose.audit.trial import Trial
from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class Coverage:
    """Names that no case exercises, with how many there are of each kind in all."""

    causes: tuple[str, ...]
    causes_in_all: int
    mechanisms: tuple[str, ...]
    mechanisms_in_all: int
    observations: tuple[str, ...]
    observations_in_all: int
    conditions: tuple[str, ...]
    conditions_in_all: int
    rules: tuple[str, ...]
    rules_in_all: int


def coverage(rulebook: Rulebook, trials: Sequence[Trial]) -> Coverage:
    """What of the rulebook these trials leave untouched."""
    expected = {
        name for t in trials for name in (*t.exercise.expected.causes, *t.exercise.expected.also)
    }
    through = {name for t in trials for name in t.exercise.expected.mechanisms}
    for name in expected:
        through.update(rulebook.causes[name].works_through)
    seen = {name for t in trials for name in t.trace.observations}
    held = {name for t in trials for name in t.trace.conditions}
    fired = {key for t in trials for key in t.trace.evidence}
    rules = [item.key for item in rulebook.evidence()]
    return Coverage(
        causes=_untouched(rulebook.causes, expected),
        causes_in_all=len(rulebook.causes),
        mechanisms=_untouched(rulebook.mechanisms, through),
        mechanisms_in_all=len(rulebook.mechanisms),
        observations=_untouched(rulebook.vocabulary, seen),
        observations_in_all=len(rulebook.vocabulary),
        conditions=_untouched(rulebook.conditions, held),
        conditions_in_all=len(rulebook.conditions),
        rules=_untouched(rules, fired),
        rules_in_all=len(rules),
    )


def _untouched(names: Iterable[str], touched: set[str]) -> tuple[str, ...]:
    return tuple(sorted(set(names) - touched))
