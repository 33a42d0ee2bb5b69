"""The cases that came out wrong, with the evidence that misled them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice

from diagnose.audit.by_cause import meant
from diagnose.audit.trial import Trial
from diagnose.belief.belief import Argument, Standing

#: How many arguments are shown on each side.
SHOWN = 4


@dataclass(frozen=True, slots=True)
class Weighed:
    """An argument as it counted: its rule, decibans, and reason."""

    rule: str
    decibans: float
    because: str


@dataclass(frozen=True, slots=True)
class Misled:
    """A case in which the wrong cause led.

    behind_decibans: how far the best expected cause stood behind. for_the_wrong: what spoke for
    the cause that led and not for the expected one. against_the_right: what spoke against the
    expected one.
    """

    case: str
    split: str
    led: str
    led_belief: float
    expected: str
    place: int
    expected_belief: float
    behind_decibans: float
    for_the_wrong: tuple[Weighed, ...]
    against_the_right: tuple[Weighed, ...]


def misled(trials: Sequence[Trial]) -> tuple[Misled, ...]:
    """Every trial that is not right, in the order given."""
    return tuple(_misled(trial) for trial in trials if not trial.right)


def _misled(trial: Trial) -> Misled:
    led = trial.first
    right = trial.beliefs.standings[min(trial.place, len(trial.beliefs.standings)) - 1]
    shared = {a.evidence.key for a in right.arguments}
    return Misled(
        case=trial.exercise.name,
        split=trial.exercise.split,
        led=led.cause,
        led_belief=led.belief,
        expected=meant(trial) or right.cause,
        place=trial.place,
        expected_belief=trial.belief_in_right,
        behind_decibans=led.score - right.score,
        for_the_wrong=_weighed(a for a in _for(led) if a.evidence.key not in shared),
        against_the_right=_weighed(a for a in right.arguments if a.decibans < 0),
    )


def _for(standing: Standing) -> list[Argument]:
    return [a for a in standing.arguments if a.speaks_for]


def _weighed(arguments: Iterable[Argument]) -> tuple[Weighed, ...]:
    return tuple(
        Weighed(a.evidence.key, a.decibans, a.evidence.because) for a in islice(arguments, SHOWN)
    )
