"""Belief in each cause.

score(cause) = base rate + (own evidence + the best of its mechanisms' evidence) / temperature, all
in decibans (I. J. Good 1985); belief = softmax of the scores, with 'unexplained' as one of the
contenders. The temperature is fitted on the worked cases; 1 takes the weights at their word.
Arguments that share a group say the same thing: only the strongest for and the
strongest against count, across a cause and the mechanism it is joined with.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from diagnose.inference.engine import Firing, Trace
from diagnose.rulebook.terms import Cause, Evidence, Ranking, Rulebook

UNEXPLAINED = "unexplained"


class Argument(NamedTuple):
    """A firing as it counts for one cause: decibans after the discount for estimates."""

    firing: Firing
    evidence: Evidence
    decibans: float

    @property
    def speaks_for(self) -> bool:
        return self.decibans > 0.0


class Standing(NamedTuple):
    """Where one cause stands.

    score: the base rate and the evidence at the rulebook's temperature, decibans;
    evidence_decibans: the evidence as the rules weigh it; own_decibans: the cause's own part of
    it; mechanism: the one it most likely worked through; arguments: those that count, largest
    first; belief: share of 1.
    """

    cause: str
    mechanism: str
    score: float
    evidence_decibans: float
    own_decibans: float
    arguments: tuple[Argument, ...]
    belief: float


class Beliefs(NamedTuple):
    """All causes, likeliest first, and the share that none of them explains. They add up to 1."""

    standings: tuple[Standing, ...]
    unexplained: float

    @property
    def first(self) -> Standing:
        return self.standings[0]

    def of(self, cause: str) -> Standing:
        """The standing of a cause. Raises KeyError for an unknown one."""
        for standing in self.standings:
            if standing.cause == cause:
                return standing
        raise KeyError(cause)

    def shares(self) -> dict[str, float]:
        """Belief by cause, with 'unexplained'."""
        return {**{s.cause: s.belief for s in self.standings}, UNEXPLAINED: self.unexplained}


class Score(NamedTuple):
    """The decibans of one cause before beliefs are shared out."""

    total: float
    own: float
    mechanism: str
    arguments: tuple[Argument, ...]


def weigh(trace: Trace, settings: Ranking) -> dict[str, list[Argument]]:
    """The arguments of each cause and mechanism, after the discount for what rests on an
    estimate.
    """
    return weigh_firings(trace.evidence.values(), settings)


def weigh_firings(firings: Iterable[Firing], settings: Ranking) -> dict[str, list[Argument]]:
    """As `weigh`, for some of the firings of a trace."""
    weighed: dict[str, list[Argument]] = {}
    for firing in firings:
        evidence = firing.argument
        assert isinstance(evidence, Evidence)
        size = discounted(firing, settings)
        if size != 0.0:
            weighed.setdefault(evidence.owner, []).append(Argument(firing, evidence, size))
    return weighed


def discounted(firing: Firing, settings: Ranking) -> float:
    """The decibans of a firing as they count: in full, or less where it rests on an estimate.

    The less, the less all values within its band say the same; and less again where it speaks
    against, since a model knows nothing of what nobody told. For the same reason it does not speak
    for what means that all is well.
    """
    if not firing.estimated:
        return firing.decibans
    size = firing.decibans * settings.estimate_factor
    if size < 0.0:
        size *= settings.estimate_against_factor
    elif getattr(firing.argument, "owner", "") in settings.estimates_unheard_by:
        return 0.0
    return size * firing.sure


def held_back(arguments: Sequence[Argument], settings: Ranking) -> list[Argument]:
    """The arguments, with all that rest on estimates scaled down together where they would move
    the score by more than estimates may.
    """
    guesses = math.fsum(a.decibans for a in arguments if a.firing.estimated)
    if abs(guesses) <= settings.estimate_most_decibans:
        return list(arguments)
    share = settings.estimate_most_decibans / abs(guesses)
    return [a._replace(decibans=a.decibans * share) if a.firing.estimated else a for a in arguments]


def counted(arguments: Sequence[Argument]) -> list[Argument]:
    """Those that count: of a group the strongest for and the strongest against (by size, then by
    name).

    Keeping one of each sign, not one in all, lets a number be swept from one side to the other
    without a jump.
    """
    kept: list[Argument] = []
    groups: dict[tuple[str, bool], Argument] = {}
    for argument in arguments:
        group = argument.evidence.group
        if group is None:
            kept.append(argument)
            continue
        side = (group, argument.speaks_for)
        known = groups.get(side)
        if known is None or _size(argument) > _size(known):
            groups[side] = argument
    return [*kept, *groups.values()]


def _size(argument: Argument) -> tuple[float, str]:
    return abs(argument.decibans), argument.evidence.key


def score(cause: Cause, weighed: Mapping[str, list[Argument]], settings: Ranking) -> Score:
    """The decibans of one cause, joined with the mechanism that raises it most.

    Its mechanisms are listed likeliest first; each further one starts a little behind.
    """
    own = held_back(counted(weighed.get(cause.id, ())), settings)
    own_total = math.fsum(a.decibans for a in own)
    best: Score | None = None
    for rank, mechanism in enumerate(cause.works_through):
        more = weighed.get(mechanism)
        joined = own
        if more:
            joined = held_back(counted([*weighed.get(cause.id, ()), *more]), settings)
        behind = rank * settings.lesser_mechanism_decibans
        total = math.fsum(a.decibans for a in joined) - behind
        if best is None or total > best.total:
            best = Score(total, own_total, mechanism, tuple(joined))
    assert best is not None, cause.id
    return best


def believe(rulebook: Rulebook, trace: Trace) -> Beliefs:
    """The beliefs that a trace supports, likeliest cause first; ties in order of name."""
    weighed = weigh(trace, rulebook.ranking)
    return share_out(
        rulebook,
        {cause.id: score(cause, weighed, rulebook.ranking) for cause in rulebook.causes.values()},
    )


def share_out(rulebook: Rulebook, scores: Mapping[str, Score]) -> Beliefs:
    """Beliefs from scores: softmax, then the ceiling for causes that rest on few facts."""
    totals = total_decibans(rulebook, scores)
    shares = shares_of(rulebook, scores, totals)
    standings = [
        Standing(
            cause=name,
            mechanism=found.mechanism,
            score=totals[name],
            evidence_decibans=found.total,
            own_decibans=found.own,
            arguments=tuple(
                sorted(found.arguments, key=lambda a: (-abs(a.decibans), a.evidence.key))
            ),
            belief=shares[name],
        )
        for name, found in scores.items()
    ]
    standings.sort(key=lambda s: (-s.belief, -s.score, s.cause))
    return Beliefs(tuple(standings), shares[UNEXPLAINED])


def total_decibans(rulebook: Rulebook, scores: Mapping[str, Score]) -> dict[str, float]:
    """The score of each cause: its base rate, and its evidence at the rulebook's temperature.

    The base rate is not tempered: with nothing known, beliefs are the base rates.
    """
    temperature = rulebook.ranking.temperature
    return {
        name: base_decibans(rulebook.causes[name].base_rate) + found.total / temperature
        for name, found in scores.items()
    }


def shares_of(
    rulebook: Rulebook, scores: Mapping[str, Score], totals: Mapping[str, float]
) -> dict[str, float]:
    """The belief in each cause and in 'unexplained', which takes what a ceiling cuts off, and the
    share that always stays open: even the surest ranking is wrong now and then.
    """
    settings = rulebook.ranking
    certain = softmax({**totals, UNEXPLAINED: base_decibans(settings.unexplained_share)})
    shares = {name: share * (1.0 - settings.always_open_share) for name, share in certain.items()}
    shares[UNEXPLAINED] += settings.always_open_share
    for name, found in scores.items():
        if shares[name] <= settings.humble_ceiling:
            continue  # No ceiling is lower than that of a cause that rests on nothing.
        ceiling = humble_ceiling(found.arguments, settings)
        if shares[name] > ceiling:
            shares[UNEXPLAINED] += shares[name] - ceiling
            shares[name] = ceiling
    return shares


def base_decibans(share: float) -> float:
    """A base rate as decibans, 10 log10(share)."""
    return 10.0 * math.log10(share)


def softmax(scores: Mapping[str, float]) -> dict[str, float]:
    """Shares that add up to 1 from decibans."""
    highest = max(scores.values())
    weights = {name: 10.0 ** ((value - highest) / 10.0) for name, value in scores.items()}
    total = math.fsum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def humble_ceiling(arguments: Sequence[Argument], settings: Ranking) -> float:
    """The highest belief that so few facts may carry.

    A fact is an observation that an argument for the cause rests on; one that hardly moves the
    score counts in part, so that nothing jumps when an edge is crossed, and an estimate is never a
    whole one. Only arguments for are counted: more of what harms can then never lower the ceiling.
    """
    voices: dict[str, float] = {}
    for argument in arguments:
        if argument.speaks_for:
            for name in argument.firing.names:
                voice = min(1.0, argument.decibans / settings.full_voice_decibans)
                if name in argument.firing.guessed:
                    voice *= settings.estimate_factor
                voices[name] = max(voices.get(name, 0.0), voice)
    beyond = math.fsum(voices.values()) - settings.humble_facts
    return settings.humble_ceiling + (1.0 - settings.humble_ceiling) * min(1.0, max(0.0, beyond))
