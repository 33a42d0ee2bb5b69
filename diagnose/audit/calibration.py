"""One temperature for all beliefs, fitted so that they may be taken at their word.

Temperature scaling: evidence / temperature before the softmax, the temperature fitted by log loss
(C. Guo and others 2017, On calibration of modern neural networks). Fitted on the worked cases of
the tune split alone; cross-validation shows what the fit is worth on cases it has not seen.

Where nearly all cases are right, log loss alone would drive the temperature to nothing and every
belief to certainty. Hence the targets of J. Platt 1999 (Probabilistic outputs for support vector
machines): of N cases that are right, the next is taken to be right in (N + 1) of (N + 2). And
because worked cases are clearer than life, the fit starts from the weights taken at their word and
must be moved away from there by the cases: a normal prior on the logarithm of the temperature,
around 1.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagnose.audit.trial import LEAST_BELIEF, Trial
from diagnose.belief.belief import share_out
from diagnose.rulebook.terms import Rulebook

#: Temperatures tried: below the first every belief is 0 or 1, above the last all are alike.
LOWEST, HIGHEST = 0.1, 10.0
#: The weights are argued likelihood ratios, so before any case is seen the temperature is expected
#: at 1, give or take this much in its natural logarithm: a factor of 1.5 (judgement, no source).
WEIGHTS_HOLD_WITHIN = math.log(1.5)
#: The fit stops when the temperature is known to this share of itself.
PRECISION = 0.005
#: The golden section (J. Kiefer 1953, Sequential minimax search for a maximum).
GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
FOLDS = 5


@dataclass(frozen=True, slots=True)
class Fold:
    """One part held out: the temperature fitted on the rest, and the mean log loss on the part at
    that temperature, at the present one, and at 1.
    """

    cases: int
    temperature: float
    log_loss: float
    log_loss_now: float
    log_loss_at_one: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """The temperature fitted on all `cases`, with what cross-validation says of it.

    Log losses are means over all cases, each predicted by a fit that had not seen it.
    """

    temperature: float
    cases: int
    folds: tuple[Fold, ...]
    log_loss: float
    log_loss_now: float
    log_loss_at_one: float


def calibrate(rulebook: Rulebook, trials: Sequence[Trial], folds: int = FOLDS) -> Calibration:
    """Fits the temperature on these trials.

    Raises ValueError for fewer trials than folds, or fewer than two folds.
    """
    if folds < 2 or len(trials) < folds:
        raise ValueError(
            f"{len(trials)} worked cases cannot be parted into {folds} folds: take from 2 folds up "
            "to as many as there are cases."
        )
    present = rulebook.ranking.temperature
    found = []
    for held_out, rest in _parted(trials, folds):
        fitted = fit(rulebook, rest)
        found.append(
            Fold(
                cases=len(held_out),
                temperature=fitted,
                log_loss=log_loss(rulebook, held_out, fitted),
                log_loss_now=log_loss(rulebook, held_out, present),
                log_loss_at_one=log_loss(rulebook, held_out, 1.0),
            )
        )
    return Calibration(
        temperature=fit(rulebook, trials),
        cases=len(trials),
        folds=tuple(found),
        log_loss=math.fsum(f.cases * f.log_loss for f in found) / len(trials),
        log_loss_now=math.fsum(f.cases * f.log_loss_now for f in found) / len(trials),
        log_loss_at_one=math.fsum(f.cases * f.log_loss_at_one for f in found) / len(trials),
    )


def _parted(
    trials: Sequence[Trial], folds: int
) -> Iterator[tuple[Sequence[Trial], Sequence[Trial]]]:
    """Each fold with the rest; cases are dealt out in order of name, so that no chance is in it."""
    ordered = sorted(trials, key=lambda trial: trial.exercise.name)
    for index in range(folds):
        rest = [trial for i, trial in enumerate(ordered) if i % folds != index]
        yield ordered[index::folds], rest


def fit(rulebook: Rulebook, trials: Sequence[Trial]) -> float:
    """The temperature with the least log loss against tempered targets and doubt of the weights,
    searched on a logarithmic scale.
    """

    right = sum(trial.right for trial in trials)
    hope = (right + 1.0) / (right + 2.0)

    def loss(log_temperature: float) -> float:
        other = at_temperature(rulebook, math.exp(log_temperature))
        doubt = log_temperature**2 / (2.0 * WEIGHTS_HOLD_WITHIN**2)
        return doubt + math.fsum(_tempered_loss(retold(other, trial), hope) for trial in trials)

    low, high = math.log(LOWEST), math.log(HIGHEST)
    left, later = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_later = loss(left), loss(later)
    while high - low > PRECISION:
        if at_left <= at_later:
            high, later, at_later = later, left, at_left
            left = high - GOLDEN * (high - low)
            at_left = loss(left)
        else:
            low, left, at_left = left, later, at_later
            later = low + GOLDEN * (high - low)
            at_later = loss(later)
    return math.exp((low + high) / 2.0)


def _tempered_loss(trial: Trial, hope: float) -> float:
    """Log loss against a target of `hope` for what is right and the rest for all else."""
    believed = min(max(trial.belief_in_right, LEAST_BELIEF), 1.0 - LEAST_BELIEF)
    return -hope * math.log(believed) - (1.0 - hope) * math.log(1.0 - believed)


def log_loss(rulebook: Rulebook, trials: Sequence[Trial], temperature: float) -> float:
    """The mean log loss of these trials at another temperature."""
    other = at_temperature(rulebook, temperature)
    return math.fsum(retold(other, trial).log_loss for trial in trials) / len(trials)


def at_temperature(rulebook: Rulebook, temperature: float) -> Rulebook:
    """The same rulebook with beliefs at another temperature."""
    return replace(rulebook, ranking=rulebook.ranking._replace(temperature=temperature))


def retold(rulebook: Rulebook, trial: Trial) -> Trial:
    """The trial as a rulebook with the same rules and another temperature would believe it."""
    return replace(
        trial, beliefs=share_out(rulebook, trial.scores, trial.trace), settings=rulebook.ranking
    )
