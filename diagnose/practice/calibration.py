"""How well confidence and results agree: the Brier score and its parts.

Brier score of one answer: (confidence - outcome)^2, with outcome 1 when right and 0 when wrong; of
several: the mean (G. W. Brier 1950, Verification of forecasts expressed in terms of probability,
Monthly Weather Review 78:1-3; the half form for two outcomes). 0 is perfect; always saying 50 %
gives 0.25. Its parts are A. H. Murphy's (1973, J. Appl. Meteorol. 12:595-600): score =
reliability - resolution + uncertainty.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

#: Fewer answers than this say nothing about calibration yet (from memory of common advice).
ENOUGH = 10


@dataclass(frozen=True, slots=True)
class Bin:
    """All answers given with one confidence: how many, and the share that was right."""

    confidence: float
    answers: int
    right: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """The record of one learner. reliability: how far confidence lies from results (0 is best);
    resolution: how far results differ between confidences (more is better); uncertainty: of the
    results themselves. lean: mean confidence less the share right.
    """

    answers: int
    right: float
    brier: float
    lean: float
    reliability: float
    resolution: float
    uncertainty: float
    bins: tuple[Bin, ...]


def brier(confidence: float, right: bool) -> float:
    """The score of one answer, 0 (best) to 1. confidence: 0 to 1.

    Raises ValueError for a confidence outside.
    """
    if not 0.0 <= confidence <= 1.0:
        raise ValueError(f"A confidence lies between 0 and 1, not at {confidence:g}.")
    return (confidence - (1.0 if right else 0.0)) ** 2


def score_of(shares: Mapping[str, float], right: Collection[str], causes: int) -> float:
    """The score of a whole answer, 0 (best) to 1: half the squared distance from what was so.

    shares: what was given to each cause named; what is left to 1 is `something else`, spread evenly
    over all causes not named (`causes` is how many there are). right: the causes that count as the
    same right answer; their shares are added. Brier's (1950) form for several outcomes, halved: no
    report has a better expected score than the shares one believes. Saying nothing gives about 0.5.

    Raises ValueError for shares outside 0 to 1 or of more than 1 together.
    """
    given = math.fsum(shares.values())
    if any(share < 0.0 for share in shares.values()) or given > 1.0 + 1e-9:
        raise ValueError("Shares lie between 0 and 100 % and come to 100 % at most together.")
    rest = max(0.0, 1.0 - given)
    unnamed = causes - len(shares)
    each = rest / unnamed if unnamed else 0.0
    missed = sum(1 for cause in right if cause not in shares)
    hit = math.fsum(shares.get(cause, each) for cause in right)
    others = math.fsum(share**2 for cause, share in shares.items() if cause not in right)
    return 0.5 * ((1.0 - hit) ** 2 + others + (unnamed - missed) * each**2)


def calibration(answers: Sequence[tuple[float, bool]]) -> Calibration:
    """The record of these answers (confidence, right). Raises ValueError for none."""
    if not answers:
        raise ValueError("There is no answer to judge yet.")
    total = len(answers)
    share = math.fsum(1.0 for _, right in answers if right) / total
    bins = tuple(_bins(answers))
    return Calibration(
        answers=total,
        right=share,
        brier=math.fsum(brier(confidence, right) for confidence, right in answers) / total,
        lean=math.fsum(confidence for confidence, _ in answers) / total - share,
        reliability=math.fsum(b.answers * (b.confidence - b.right) ** 2 for b in bins) / total,
        resolution=math.fsum(b.answers * (b.right - share) ** 2 for b in bins) / total,
        uncertainty=share * (1.0 - share),
        bins=bins,
    )


def _bins(answers: Iterable[tuple[float, bool]]) -> Iterable[Bin]:
    by_confidence: dict[float, list[bool]] = {}
    for confidence, right in answers:
        by_confidence.setdefault(confidence, []).append(right)
    for confidence in sorted(by_confidence):
        rights = by_confidence[confidence]
        yield Bin(confidence, len(rights), sum(rights) / len(rights))


def calibration_sentence(found: Calibration) -> str:
    """What the record means, in one sentence."""
    if found.answers < ENOUGH:
        left = ENOUGH - found.answers
        return f"After {left} more cases this will also say whether you are too sure or too shy."
    if found.right == 0.0:
        return "None of your answers was right so far: look for more facts before you name a cause."
    if abs(found.lean) < 0.1:
        return "Your confidence fits your results well."
    if found.lean > 0:
        return "You are surer than your results bear out: name lower numbers, or look once more."
    return "You know more than you claim: higher numbers would fit your results better."
