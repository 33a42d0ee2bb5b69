"""How diagnoses suffer when one observation is unknown: which questions earn their keep."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.audit.trial import Trial, trial_of
from diagnose.inference.engine import Inference
from diagnose.inference.unknown import trace_without
from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class KnockOut:
    """One observation: in how many cases it is known, how many of these are right with it and
    without it, and how much the belief in what is right falls on average when it goes.
    """

    observation: str
    cases: int
    right_with: int
    right_without: int
    belief_lost: float


def knock_outs(
    rulebook: Rulebook, trials: Sequence[tuple[Trial, Inference]]
) -> tuple[KnockOut, ...]:
    """A row for each observation that any case knows; the dearest to lose first."""
    known: dict[str, list[tuple[Trial, Trial]]] = {}
    for trial, inference in trials:
        for item in trial.exercise.observations:
            trace = trace_without(trial.trace, item.name, inference)
            after = trial if trace is trial.trace else trial_of(rulebook, trial.exercise, trace)
            known.setdefault(item.name, []).append((trial, after))
    rows = [
        KnockOut(
            observation=name,
            cases=len(pairs),
            right_with=sum(before.right for before, _ in pairs),
            right_without=sum(after.right for _, after in pairs),
            belief_lost=sum(b.belief_in_right - a.belief_in_right for b, a in pairs) / len(pairs),
        )
        for name, pairs in known.items()
    ]
    rows.sort(
        key=lambda row: (
            row.right_without - row.right_with,
            -row.belief_lost * row.cases,
            row.observation,
        )
    )
    return tuple(rows)
