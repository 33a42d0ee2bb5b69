"""Belief in each cause.

score(cause) = base rate + (own evidence + the best of its mechanisms' evidence) / temperature, all
in decibans (I. J. Good 1985); belief = softmax of the scores, with 'unexplained' as one of the
contenders. An argument counts its weight times the factor of its channel: how such things come to
be told. Arguments that share a group say the same thing: only the strongest for and the strongest
against count, across a cause and the mechanism it is joined with. A mechanism that measurements
exclude is void: what speaks for it no longer counts.

There are two questions, each with base rates of its own: why did they die, and, where nobody is
known to have died, has harm begun?
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal, NamedTuple

from diagnose.findings.observation import Observation
from diagnose.inference.engine import Firing, Trace
from diagnose.rulebook.terms import Cause, Evidence, Ranking, Rulebook

UNEXPLAINED = "unexplained"
Question = Literal["losses", "no_losses"]


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

    @property
    def way_is_shown(self) -> bool:
        """Whether something speaks for the way of harming itself, not only for the cause."""
        return any(a.speaks_for and a.evidence.owner == self.mechanism for a in self.arguments)


class Beliefs(NamedTuple):
    """All causes, likeliest first, and the share that none of them explains. They add up to 1."""

    standings: tuple[Standing, ...]
    unexplained: float
    question: Question

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


def question_of(observations: Mapping[str, Observation]) -> Question:
    """Which question a case asks. Without a word of deaths nobody is known to have died."""
    shape = observations.get("death_shape")
    if shape is not None:
        return "no_losses" if shape.value == "none" else "losses"
    told = observations.get("losses")
    return "losses" if told is not None and told.value == "some" else "no_losses"


def weigh(trace: Trace, settings: Ranking) -> dict[str, list[Argument]]:
    """The arguments of each cause and mechanism, as their channels have them count, after the
    discount for what rests on an estimate.
    """
    return weigh_firings(trace.evidence.values(), settings, question_of(trace.observations))


def weigh_firings(
    firings: Iterable[Firing], settings: Ranking, question: Question
) -> dict[str, list[Argument]]:
    """As `weigh`, for some of the firings of a trace."""
    weighed: dict[str, list[Argument]] = {}
    for firing in firings:
        evidence = firing.argument
        assert isinstance(evidence, Evidence)
        size = discounted(firing, settings, question)
        if size != 0.0 or evidence.excludes:
            weighed.setdefault(evidence.owner, []).append(Argument(firing, evidence, size))
    return weighed


def discounted(firing: Firing, settings: Ranking, question: Question) -> float:
    """The decibans of a firing as they count: times the factor of its channel, and less where it
    rests on an estimate.

    The less, the less all values within its band say the same; and less again where it speaks
    against, since a model knows nothing of what nobody told. For the same reason it does not speak
    for what means that all is well.
    """
    size = firing.decibans * channel_factor(firing, settings, question)
    if not firing.estimated:
        return size
    size *= settings.estimate_factor
    if size < 0.0:
        size *= settings.estimate_against_factor
    elif getattr(firing.argument, "owner", "") in settings.estimates_unheard_by:
        return 0.0
    return size * firing.sure


def channel_factor(firing: Firing, settings: Ranking, question: Question) -> float:
    """What the channel of a firing makes of its weight; 1 for a channel nobody listed."""
    name = firing.argument.channel if isinstance(firing.argument, Evidence) else ""
    for channel in settings.channels:
        if channel.id == name:
            if firing.decibans < 0.0:
                return channel.opposes
            if firing.asked or firing.estimated:
                return channel.asked
            return channel.supports if question == "losses" else channel.no_losses
    return 1.0


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
    own_weighed = weighed.get(cause.id, ())
    own = held_back(counted(own_weighed), settings)
    own_total = math.fsum(a.decibans for a in own)
    best: Score | None = None
    for rank, mechanism in enumerate(cause.works_through):
        more = weighed.get(mechanism)
        joined = own
        if more:
            joined = held_back(counted([*own_weighed, *more]), settings)
        joined = _with_exclusion(joined, settings)
        behind = rank * settings.lesser_mechanism_decibans
        total = math.fsum(a.decibans for a in joined) - behind
        if best is None or total > best.total:
            best = Score(total, own_total, mechanism, tuple(joined))
    assert best is not None, cause.id
    return best


def _with_exclusion(arguments: Sequence[Argument], settings: Ranking) -> list[Argument]:
    """The arguments with what excludes among them weighed: as far as it holds, it takes back all
    that speaks for, and a fixed number of decibans more. A guess excludes nothing.
    """
    excluding = [a for a in arguments if a.evidence.excludes]
    if not excluding:
        return list(arguments)
    rest = [a for a in arguments if not a.evidence.excludes]
    surest = max(
        excluding, key=lambda a: (0.0 if a.firing.estimated else a.firing.degree, a.evidence.key)
    )
    if surest.firing.estimated:
        return rest
    gained = max(0.0, math.fsum(a.decibans for a in rest))
    size = -surest.firing.degree * (gained + settings.excluded_decibans)
    return [*rest, surest._replace(decibans=size)]


def believe(rulebook: Rulebook, trace: Trace) -> Beliefs:
    """The beliefs that a trace supports, likeliest cause first; ties in order of name."""
    weighed = weigh(trace, rulebook.ranking)
    return share_out(
        rulebook,
        {cause.id: score(cause, weighed, rulebook.ranking) for cause in rulebook.causes.values()},
        trace,
    )


def share_out(rulebook: Rulebook, scores: Mapping[str, Score], trace: Trace) -> Beliefs:
    """Beliefs from scores: softmax, then the ceiling for causes that rest on few statements."""
    question = question_of(trace.observations)
    totals = total_decibans(rulebook, scores, question)
    shares = shares_of(rulebook, scores, totals, trace)
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
    return Beliefs(tuple(standings), shares[UNEXPLAINED], question)


def total_decibans(
    rulebook: Rulebook, scores: Mapping[str, Score], question: Question
) -> dict[str, float]:
    """The score of each cause: its base rate for the question, and its evidence at the rulebook's
    temperature.

    The base rate is not tempered: with nothing known, beliefs are the base rates.
    """
    temperature = rulebook.ranking.temperature
    return {
        name: base_decibans(base_rate(rulebook.causes[name], question)) + found.total / temperature
        for name, found in scores.items()
    }


def base_rate(cause: Cause, question: Question) -> float:
    """How common a cause is among those who ask this question."""
    return cause.base_rate if question == "losses" else cause.base_rate_no_losses


def shares_of(
    rulebook: Rulebook,
    scores: Mapping[str, Score],
    totals: Mapping[str, float],
    trace: Trace,
) -> dict[str, float]:
    """The belief in each cause and in 'unexplained'.

    A share always stays open: even the surest ranking is wrong now and then. What the ceiling of a
    cause cuts off goes to all others by their shares.
    """
    settings = rulebook.ranking
    open_share = (
        settings.unexplained_share
        if question_of(trace.observations) == "losses"
        else settings.unexplained_share_no_losses
    )
    certain = softmax({**totals, UNEXPLAINED: base_decibans(open_share)})
    shares = {name: share * (1.0 - settings.always_open_share) for name, share in certain.items()}
    shares[UNEXPLAINED] += settings.always_open_share
    highest = max(scores, key=lambda name: shares[name])
    if shares[highest] <= settings.humble_ceiling:
        return shares  # No ceiling is lower than that of a cause that rests on nothing.
    common = base_rate(rulebook.causes[highest], question_of(trace.observations))
    ceiling = humble_ceiling(scores[highest].arguments, settings, trace)
    ceiling = common + (1.0 - common) * ceiling  # what is common needs fewer words
    if shares[highest] > ceiling:
        others = 1.0 - shares[highest]
        lift = (1.0 - ceiling) / others
        shares = {name: share * lift for name, share in shares.items()}
        shares[highest] = ceiling
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


def humble_ceiling(arguments: Sequence[Argument], settings: Ranking, trace: Trace) -> float:
    """The highest belief that so few statements may carry.

    A statement is one thing the keeper told, however many observations follow from it; one that
    hardly moves the score counts in part, so that nothing jumps when an edge is crossed, and an
    estimate is never a whole one. Only arguments for are counted: more of what harms can then never
    lower the ceiling.
    """
    voices: dict[str, float] = {}
    for argument in arguments:
        if argument.speaks_for:
            for item in trace.rests_on(argument.firing):
                voice = min(1.0, argument.decibans / settings.full_voice_decibans)
                if item.origin == "estimated":
                    voice *= settings.estimate_factor
                name = item.statement or item.name
                voices[name] = max(voices.get(name, 0.0), voice)
    beyond = math.fsum(voices.values()) - settings.humble_facts
    return settings.humble_ceiling + (1.0 - settings.humble_ceiling) * min(1.0, max(0.0, beyond))
