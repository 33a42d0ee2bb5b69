"""What an argument is worth by how it came to be told: one factor a channel, for and against.

Fitted on reported and worked cases together, which weigh alike whatever their numbers; reports of
one author stay in one fold. Few factors on many cases: fitting every rule for itself added nothing
on cases a fit had not seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.audit.trial import LEAST_BELIEF, Trial, trial_of
from diagnose.rulebook.terms import Channel, Rulebook

#: A factor and its side: (channel, one of SIDES).
Factor = tuple[str, str]
SIDES = ("supports", "opposes", "no_losses")
#: Before any case is seen a factor is expected where the rulebook has it, give or take this much in
#: its natural logarithm (judgement, no source).
HOLDS_WITHIN = math.log(1.5)
#: Factors tried around the present one, as steps of the logarithm; the last step is the precision.
STEPS = (0.3, 0.15, 0.08)


@dataclass(frozen=True, slots=True)
class Told:
    """A trial with its share of the fit and the author it comes from."""

    trial: Trial
    weight: float
    author: str


@dataclass(frozen=True, slots=True)
class ChannelFit:
    """The factors fitted on all cases; log losses are means over held-out cases, with the factors
    fitted without them and with the present ones.
    """

    factors: dict[str, dict[str, float]]
    cases: int
    folds: int
    log_loss: float
    log_loss_now: float


def fit_channels(rulebook: Rulebook, told: Sequence[Told], folds: int) -> ChannelFit:
    """Fits the factors, and says by cross-validation over authors what the fit is worth."""
    held_out: list[tuple[float, float]] = []
    for part, rest in _parted(told, folds):
        fitted = fitted_rulebook(rulebook, rest)
        for one in part:
            held_out.append((one.weight, _loss_of(fitted, one)))
    weight = math.fsum(w for w, _ in held_out)
    best = fitted_rulebook(rulebook, told)
    return ChannelFit(
        factors={c.id: {side: getattr(c, side) for side in SIDES} for c in best.ranking.channels},
        cases=len(told),
        folds=folds,
        log_loss=math.fsum(w * loss for w, loss in held_out) / weight,
        log_loss_now=math.fsum(one.weight * _loss_of(rulebook, one) for one in told) / weight,
    )


def fitted_rulebook(rulebook: Rulebook, told: Sequence[Told]) -> Rulebook:
    """The rulebook with the factors that lose least on these cases, one after the other."""
    start = _factors(rulebook)
    best, least = dict(start), math.inf
    least = _loss(rulebook, told, best, start)
    for step in STEPS:
        moved = True
        while moved:
            moved = False
            for factor in start:
                for way in (step, -step):
                    tried = {**best, factor: best[factor] * math.exp(way)}
                    loss = _loss(rulebook, told, tried, start)
                    if loss < least:
                        best, least, moved = tried, loss, True
                        break
    return _with_factors(rulebook, best)


def _factors(rulebook: Rulebook) -> dict[Factor, float]:
    return {
        (channel.id, side): getattr(channel, side)
        for channel in rulebook.ranking.channels
        for side in SIDES
    }


def _with_factors(rulebook: Rulebook, factors: Mapping[Factor, float]) -> Rulebook:
    def changed(channel: Channel) -> Channel:
        return channel._replace(
            supports=factors[channel.id, "supports"],
            opposes=factors[channel.id, "opposes"],
            no_losses=factors[channel.id, "no_losses"],
        )

    channels = tuple(changed(channel) for channel in rulebook.ranking.channels)
    return replace(rulebook, ranking=rulebook.ranking._replace(channels=channels))


def _loss(
    rulebook: Rulebook,
    told: Sequence[Told],
    factors: Mapping[Factor, float],
    start: Mapping[Factor, float],
) -> float:
    doubt = math.fsum(
        math.log(factors[factor] / start[factor]) ** 2 / (2.0 * HOLDS_WITHIN**2) for factor in start
    )
    other = _with_factors(rulebook, factors)
    weight = math.fsum(one.weight for one in told)
    mean = math.fsum(one.weight * _loss_of(other, one) for one in told) / weight
    return doubt / len(told) + mean


def _loss_of(rulebook: Rulebook, one: Told) -> float:
    trial = trial_of(rulebook, one.trial.exercise, one.trial.trace)
    return -math.log(max(trial.belief_in_right, LEAST_BELIEF))


def _parted(told: Sequence[Told], folds: int) -> Iterator[tuple[list[Told], list[Told]]]:
    """Each fold with the rest: authors are dealt out in order of name."""
    authors = sorted({one.author for one in told})
    fold_of = {author: index % folds for index, author in enumerate(authors)}
    for index in range(folds):
        part = [one for one in told if fold_of[one.author] == index]
        yield part, [one for one in told if fold_of[one.author] != index]
