"""The marks of many trials in a few numbers, and how far beliefs may be taken at their word."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnose.audit.shares import Share, wilson
from diagnose.audit.trial import Trial

#: Ten bins of equal width (C. Guo and others 2017, On calibration of modern neural networks).
BINS = 10
#: How many places count as 'among the first'.
AMONG_FIRST = 3


@dataclass(frozen=True, slots=True)
class Bin:
    """Beliefs from `low` up to `high`: how many, their mean, and the share that was right."""

    low: float
    high: float
    count: int
    belief: float
    right: float


@dataclass(frozen=True, slots=True)
class Marks:
    """Means over `cases` trials.

    first, first_three: share with an expected cause first, and among the first three, each with its
    interval;
    reciprocal_rank: mean of 1/place; brier, log_loss: see `Trial`; belief: mean belief in the
    first cause; reliability and calibration_error: of the first causes; held_down: cases whose
    first belief the ceiling for few facts holds down, and calibration_error_free without them;
    reliability_all and calibration_error_all: of every cause of every case.
    """

    cases: int
    first: float
    first_interval: Share
    first_three: float
    first_three_interval: Share
    reciprocal_rank: float
    brier: float
    log_loss: float
    belief: float
    calibration_error: float
    held_down: int
    calibration_error_free: float
    calibration_error_all: float
    reliability: tuple[Bin, ...]
    reliability_all: tuple[Bin, ...]


def marks(trials: Sequence[Trial]) -> Marks | None:
    """The marks of these trials; None for none."""
    if not trials:
        return None
    first = sum(t.right for t in trials)
    three = sum(t.place <= AMONG_FIRST for t in trials)
    of_first = reliability((t.first.belief, t.right) for t in trials)
    free = [t for t in trials if not t.held_down]
    of_free = reliability((t.first.belief, t.right) for t in free)
    of_all = reliability(
        (s.belief, t.exercise.expected.names(s)) for t in trials for s in t.beliefs.standings
    )
    return Marks(
        cases=len(trials),
        first=first / len(trials),
        first_interval=wilson(first, len(trials)),
        first_three=three / len(trials),
        first_three_interval=wilson(three, len(trials)),
        reciprocal_rank=_mean(1.0 / t.place for t in trials),
        brier=_mean(t.brier for t in trials),
        log_loss=_mean(t.log_loss for t in trials),
        belief=_mean(t.first.belief for t in trials),
        calibration_error=calibration_error(of_first),
        held_down=len(trials) - len(free),
        calibration_error_free=calibration_error(of_free),
        calibration_error_all=calibration_error(of_all),
        reliability=of_first,
        reliability_all=of_all,
    )


def reliability(pairs: Iterable[tuple[float, bool]]) -> tuple[Bin, ...]:
    """Beliefs and whether each came true, gathered in bins; empty bins are left out."""
    gathered: dict[int, list[tuple[float, bool]]] = {}
    for belief, came_true in pairs:
        gathered.setdefault(min(BINS - 1, int(belief * BINS)), []).append((belief, came_true))
    return tuple(
        Bin(
            low=index / BINS,
            high=(index + 1) / BINS,
            count=len(found),
            belief=_mean(belief for belief, _ in found),
            right=_mean(came_true for _, came_true in found),
        )
        for index, found in sorted(gathered.items())
    )


def calibration_error(bins: Sequence[Bin]) -> float:
    """Expected calibration error: the mean gap of belief and share that came true, weighted by
    how many lie in each bin; 0 for none (M. P. Naeini and others 2015; C. Guo and others 2017).
    """
    total = sum(found.count for found in bins)
    if total == 0:
        return 0.0
    return math.fsum(found.count * abs(found.belief - found.right) for found in bins) / total


def _mean(values: Iterable[float]) -> float:
    kept = list(values)
    return math.fsum(kept) / len(kept)
