"""One exercise put to the rulebook: what fired, how each cause scored, and where the right one
came out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.audit.exercise import Exercise
from diagnose.belief.belief import (
    Beliefs,
    Score,
    Standing,
    humble_ceiling,
    score,
    share_out,
    weigh,
)
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.terms import Ranking, Rulebook

#: The belief below which a miss counts no worse: one wild miss must not drown all else in a mean
#: of logarithms.
LEAST_BELIEF = 1e-9
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Trial:
    """An exercise with the beliefs it led to."""

    exercise: Exercise
    trace: Trace
    scores: Mapping[str, Score]
    beliefs: Beliefs
    settings: Ranking

    @property
    def first(self) -> Standing:
        return self.beliefs.standings[0]

    @property
    def right(self) -> bool:
        """Whether the first cause is one that may lead."""
        return self.exercise.expected.names(self.first)

    @property
    def held_down(self) -> bool:
        """Whether the belief in the first cause is held down by the ceiling for answers that rest
        on few facts, and so says less than the evidence would.
        """
        ceiling = humble_ceiling(self.first.arguments, self.settings, self.trace)
        return ceiling < 1.0 and self.first.belief >= ceiling - ROUNDING

    @property
    def place(self) -> int:
        """Where the best placed of the expected causes stands; 1 is first."""
        expected = self.exercise.expected
        standings = self.beliefs.standings
        return next(
            (i for i, s in enumerate(standings, start=1) if expected.names(s)), len(standings) + 1
        )

    @property
    def belief_in_right(self) -> float:
        """The belief in all causes that may lead, together."""
        expected = self.exercise.expected
        return math.fsum(s.belief for s in self.beliefs.standings if expected.names(s))

    @property
    def log_loss(self) -> float:
        """-ln of the belief in what is right (I. J. Good 1952, Rational decisions)."""
        return -math.log(max(self.belief_in_right, LEAST_BELIEF))

    @property
    def brier(self) -> float:
        """Squared distance of the beliefs from the truth, all causes that may lead taken as one
        (G. W. Brier 1950); 0 is best, 2 worst.
        """
        expected = self.exercise.expected
        wrong = [s.belief for s in self.beliefs.standings if not expected.names(s)]
        squares = math.fsum(share * share for share in (*wrong, self.beliefs.unexplained))
        return float((1.0 - self.belief_in_right) ** 2 + squares)


def try_exercise(rulebook: Rulebook, exercise: Exercise) -> tuple[Trial, Inference]:
    """Runs an exercise through the engine; the engine comes back for further runs on its
    observations.
    """
    inference = Inference(rulebook, [item.name for item in exercise.observations])
    trace = inference.run(exercise.observations)
    return trial_of(rulebook, exercise, trace), inference


def trial_of(rulebook: Rulebook, exercise: Exercise, trace: Trace) -> Trial:
    """The trial of an exercise whose trace is known."""
    scores = scores_of(rulebook, trace)
    return Trial(exercise, trace, scores, share_out(rulebook, scores, trace), rulebook.ranking)


def scores_of(rulebook: Rulebook, trace: Trace) -> dict[str, Score]:
    """The decibans of every cause for a trace."""
    weighed = weigh(trace, rulebook.ranking)
    return {cause.id: score(cause, weighed, rulebook.ranking) for cause in rulebook.causes.values()}
