"""Which causes are found and which are taken for which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.audit.marks import AMONG_FIRST
from diagnose.audit.trial import Trial


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One cause: in how many cases it may lead, in how many of these an expected cause came first
    and among the first three, and how often it led where it must not.
    """

    cause: str
    cases: int
    first: int
    first_three: int
    wrongly_first: int


@dataclass(frozen=True, slots=True)
class Confusion:
    """How often `led` came first where `expected` should have."""

    expected: str
    led: str
    cases: int


def meant(trial: Trial) -> str:
    """The one expected cause to file a case under: the best placed of those that may lead."""
    for standing in trial.beliefs.standings:
        if standing.cause in trial.exercise.expected.causes:
            return standing.cause
    return min(trial.exercise.expected.mechanisms, default="")


def by_cause(trials: Sequence[Trial]) -> tuple[CauseRow, ...]:
    """A row for each cause that a case expects or that led wrongly, in order of name."""
    cases: Counter[str] = Counter()
    first: Counter[str] = Counter()
    first_three: Counter[str] = Counter()
    wrongly: Counter[str] = Counter()
    for trial in trials:
        for cause in trial.exercise.expected.causes:
            cases[cause] += 1
            first[cause] += trial.right
            first_three[cause] += trial.place <= AMONG_FIRST
        if not trial.right:
            wrongly[trial.first.cause] += 1
    return tuple(
        CauseRow(cause, cases[cause], first[cause], first_three[cause], wrongly[cause])
        for cause in sorted({*cases, *wrongly})
    )


def confusions(trials: Sequence[Trial]) -> tuple[Confusion, ...]:
    """What came first for what was meant, right ones included, commonest confusion first."""
    counts = Counter((meant(trial), trial.first.cause) for trial in trials)
    return tuple(
        Confusion(expected, led, count)
        for (expected, led), count in sorted(
            counts.items(), key=lambda item: (item[0][0] == item[0][1], -item[1], item[0])
        )
    )
