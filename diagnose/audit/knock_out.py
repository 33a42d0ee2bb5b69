"""How diagnoses suffer when one observation is unknown: which questions earn their keep."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.audit.trial import Trial, trial_of
from diagnose.inference.engine import Argument, Inference, Trace
from diagnose.rulebook.terms import Evidence, Rulebook


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


def trace_without(trace: Trace, name: str, inference: Inference) -> Trace:
    """What would have fired had `name` been unknown. `inference` holds the rules of this trace.

    A rule falls away when each way of meeting it needs something that is then unknown; where
    another way is left that might be met, the engine runs again. The trace itself comes back
    where nothing rests on the name.
    """
    gone = {name}
    known = {*trace.observations, *trace.conditions} - gone
    fallen: set[str] = set()
    waiting = True
    while waiting:
        waiting = False
        for key, firing in (*trace.conditions.items(), *trace.evidence.items()):
            if key in fallen or gone.isdisjoint(firing.names):
                continue
            if _another_way(firing.argument, known):
                return inference.run(o for o in trace.observations.values() if o.name != name)
            fallen.add(key)
            if key in trace.conditions:
                gone.add(key)
                known.discard(key)
                waiting = True
    if not fallen:
        return trace
    return Trace(
        {key: item for key, item in trace.observations.items() if key != name},
        {key: firing for key, firing in trace.conditions.items() if key not in fallen},
        {key: firing for key, firing in trace.evidence.items() if key not in fallen},
    )


def _another_way(argument: Argument, known: set[str]) -> bool:
    """Whether all that some way of meeting it asks for is known."""
    if isinstance(argument, Evidence) and argument.curve and argument.curve.over not in known:
        return False
    return any(all(leaf.name in known for leaf in way) for way in argument.when)
