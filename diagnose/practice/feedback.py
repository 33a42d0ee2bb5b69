"""What is said when a cause was named: right or not, what would have settled it, a way there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.dialogue.expected_information import LookAhead, infer
from diagnose.practice.calibration import score_of
from diagnose.practice.paths import PathStep, efficient_path, would_have_settled
from diagnose.practice.play import Play
from diagnose.rulebook.terms import Rulebook

Verdict = Literal["right", "at work", "wrong"]


@dataclass(frozen=True, slots=True)
class Feedback:
    """verdict: `at work` is a cause that had a part but was not the main one (it counts as wrong
    for the score). named: the cause given the largest share, confidence: that share; score: of the
    whole answer. believed: what the facts at hand were worth for the cause, 0 to 1. settled:
    the fact that would have moved most, with that belief before and after. path: a good way.
    """

    verdict: Verdict
    named: str
    cause: str
    confidence: float
    score: float
    minutes: float
    believed: float
    settled: tuple[str, float, float] | None
    path: tuple[PathStep, ...]

    @property
    def is_right(self) -> bool:
        return self.verdict == "right"


def feedback(
    rulebook: Rulebook, look_ahead: LookAhead, play: Play, shares: Mapping[str, float]
) -> Feedback:
    """The feedback on an answer: shares of 1 for causes; what is left is `something else`.

    Raises KeyError for a cause the rulebook does not have, ValueError for shares that are none.
    """
    exercise = play.exercise
    named = max(shares, key=lambda cause: shares[cause])
    score = score_of(shares, exercise.right, len(rulebook.causes))
    verdict: Verdict = "wrong"
    if rulebook.causes[named].id in exercise.right:
        verdict = "right"
    elif named in exercise.at_work:
        verdict = "at work"
    return Feedback(
        verdict=verdict,
        named=named,
        cause=named if verdict == "right" else exercise.right[0],
        confidence=shares[named],
        score=score,
        minutes=play.minutes,
        believed=infer(look_ahead, play.known.values()).shares[exercise.right[0]],
        settled=would_have_settled(rulebook, look_ahead, play),
        path=tuple(efficient_path(rulebook, look_ahead, exercise)),
    )
