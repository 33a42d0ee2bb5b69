"""How diagnoses suffer when one observation is unknown: which questions earn their keep."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.audit.trial import Trial
from diagnose.belief.belief import question_of, score, shares_of, total_decibans, weigh
from diagnose.inference.engine import Inference, Trace
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


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is left of a trial: whether it is right, and the belief in what is right."""

    right: bool
    belief: float


def knock_outs(
    rulebook: Rulebook, trials: Sequence[tuple[Trial, Inference]]
) -> tuple[KnockOut, ...]:
    """A row for each observation that any case knows; the dearest to lose first."""
    known: dict[str, list[tuple[Outcome, Outcome]]] = {}
    for trial, inference in trials:
        before = Outcome(trial.right, trial.belief_in_right)
        for item in trial.exercise.observations:
            trace = trace_without(trial.trace, item.name, inference)
            after = before if trace is trial.trace else _outcome(rulebook, trial, trace)
            known.setdefault(item.name, []).append((before, after))
    rows = [
        KnockOut(
            observation=name,
            cases=len(pairs),
            right_with=sum(before.right for before, _ in pairs),
            right_without=sum(after.right for _, after in pairs),
            belief_lost=math.fsum(b.belief - a.belief for b, a in pairs) / len(pairs),
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


def _outcome(rulebook: Rulebook, trial: Trial, trace: Trace) -> Outcome:
    """The outcome of a trial on another trace; only causes whose arguments changed are scored
    anew.
    """
    before, after = trial.trace.evidence, trace.evidence
    owners = {
        key.partition("/")[0]
        for key in before.keys() | after.keys()
        if before.get(key) != after.get(key)
    }
    weighed = weigh(trace, rulebook.ranking)
    scores = dict(trial.scores)
    for cause in rulebook.causes.values():
        if cause.id in owners or not owners.isdisjoint(cause.works_through):
            scores[cause.id] = score(cause, weighed, rulebook.ranking)
    totals = total_decibans(rulebook, scores, question_of(trace.observations))
    shares = shares_of(rulebook, scores, totals, trace)
    first = min(scores, key=lambda name: (-shares[name], -totals[name], name))
    expected = trial.exercise.expected
    right = {name for name, found in scores.items() if expected.holds(name, found.mechanism)}
    return Outcome(first in right, math.fsum(shares[name] for name in right))
