"""What was tried after the first harm and what followed, what harm came back with, how soon they
fell ill; the season, and how another container reads.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, Origin, observed
from diagnose.findings.readings import latest
from diagnose.findings.timeline import (
    HOURS_PER_DAY,
    Placed,
    Timeline,
    last_death_hours_ago,
    log_place,
    span_words,
)
from diagnose.intake.aftermath import season_in
from diagnose.intake.rough import count_words
from diagnose.intake.told_readings import OBSERVED

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term

HARM_FOLLOWS = "harm_follows"
#: What was tried and has no question of its own.
TRIED_OTHER = "tried_other"
#: Entries of a log that are no act: nothing is counted from them.
NO_ACT = ("feed", "death")
#: A death so long after something was tried says that it did not end the losses (a body found
#: sooner may have been dying before; rule of this program, no source).
DIED_ON_AFTER_H = HOURS_PER_DAY
#: What followed, in the words of the older questions, which ask with yes and no.
_AS_ANSWER = {"helped": "yes", "nothing": "no", "worse": "no"}
#: Help that passed leaves open whether it was any.
_FOR_A_WHILE = {"for a while": ("helped", "nothing")}


def aftermath_observations(
    case: Case, timeline: Timeline, vocabulary: Mapping[str, Term]
) -> list[Observation]:
    """What was tried, what harm follows, hours to illness, season and the other container."""
    log = timeline.log
    return [
        *_tried(case, timeline, vocabulary, log),
        *_follows(vocabulary, log),
        *_to_illness(case, timeline, log),
        *_place_and_season(case),
        *_other_container(case, timeline, vocabulary),
    ]


def tried_afterwards(placed: Placed) -> bool:
    """Whether an event was an attempt to stop the losses: done after the first harm, or one of
    which it was told what followed.
    """
    return placed.side == "after" or placed.event.followed is not None


def followed(case: Case, timeline: Timeline, placed: Placed) -> str | None:
    """What followed: as told, or `nothing` where animals died a day later all the same."""
    if placed.event.followed is not None:
        return placed.event.followed
    since = None if placed.event.at is None else timeline.hours_ago(placed.event.at)
    last = last_death_hours_ago(case, timeline)
    if since is not None and last is not None and since - last >= DIED_ON_AFTER_H:
        return "nothing"
    return None


def _tried(
    case: Case, timeline: Timeline, vocabulary: Mapping[str, Term], log: tuple[Placed, ...]
) -> Iterator[Observation]:
    named = {kind for term in vocabulary.values() for kind in term.tried}
    for name, term in vocabulary.items():
        if not term.tried and name != TRIED_OTHER:
            continue
        tried = [
            (placed, outcome)
            for placed in log
            if placed.event.what not in NO_ACT
            and (placed.event.what in (term.tried or {placed.event.what} - named))
            and tried_afterwards(placed)
            and (outcome := followed(case, timeline, placed)) is not None
        ]
        if not tried:
            continue
        placed, outcome = min(tried, key=lambda pair: (pair[0].hours or 0.0, repr(pair[0].event)))
        words = tuple(
            one if one in term.choices else _AS_ANSWER[one]
            for one in _FOR_A_WHILE.get(outcome, (outcome,))
        )
        told = placed.event.followed is not None
        because = (
            f"{log_place(placed.event)}: after {placed.event.what}: {outcome}"
            if told
            else f"{log_place(placed.event)}: they died on after {placed.event.what}"
        )
        origin: Origin = "told" if told else "derived"
        either = words if len(words) > 1 else None
        yield Observation(
            name, words[0], origin, because, either=either, statement=placed.statement
        )


def _follows(vocabulary: Mapping[str, Term], log: tuple[Placed, ...]) -> Iterator[Observation]:
    """Harm that came back with something done again and again."""
    term = vocabulary.get(HARM_FOLLOWS)
    if term is None:
        return
    again = [p for p in log if p.event.harm_each_time]
    words = sorted({word for p in again if (word := follows_word(p)) in term.choices})
    if not words:
        return
    first = next(p for p in again if follows_word(p) == words[0])
    times = f" ({count_words(first.event.times)} times)" if first.event.times else ""
    because = f"{log_place(first.event)}: harm after each {first.event.what}{times}"
    either = tuple(words) if len(words) > 1 else None
    yield Observation(
        HARM_FOLLOWS, words[0], "told", because, either=either, statement=first.statement
    )


def follows_word(placed: Placed) -> str:
    """The choice of `harm_follows` that an event stands for."""
    return placed.event.what.replace("-", "_")


def _to_illness(case: Case, timeline: Timeline, log: tuple[Placed, ...]) -> Iterator[Observation]:
    """Hours from what was done last to the first illness, where illness was told of."""
    name = "hours_to_illness"
    within = [p for p in log if p.event.ill_within_hours is not None]
    if within:
        soonest = min(within, key=lambda p: (p.event.ill_within_hours or 0.0, repr(p.event)))
        hours = soonest.event.ill_within_hours or 0.0
        because = f"{log_place(soonest.event)}: ill {span_words(hours)} after {soonest.event.what}"
        yield observed(name, hours, "told", because, statement=soonest.statement)
        return
    deaths = case.deaths
    if deaths is None:
        return
    if deaths.ill_within_hours is not None:
        hours = deaths.ill_within_hours
        because = f"ill {span_words(hours)} after what was done last"
        yield observed(name, hours, "told", because, statement="deaths")
        return
    before = [
        p
        for p in log
        if p.clear and p.side == "before" and p.hours is not None and p.event.what not in NO_ACT
    ]
    if deaths.ill_since is not None and before:
        last = min(before, key=lambda p: (p.hours or 0.0, repr(p.event)))
        hours = last.hours or 0.0
        because = f"{log_place(last.event)}: ill {span_words(hours)} after {last.event.what}"
        yield Observation(name, hours, "derived", because, statement=last.statement)


def _place_and_season(case: Case) -> Iterator[Observation]:
    box = case.container
    if box.outdoor is not None:
        word = "present" if box.outdoor else "absent"
        because, statement = "told of the container", "container.outdoor"
        yield Observation("kept_outdoors", word, "told", because, statement=statement)
    if box.season is not None:
        because, statement = "told of the container", "container.season"
        yield Observation("season", box.season, "told", because, statement=statement)
        return
    first = case.deaths.first if case.deaths is not None else None
    season = season_in(first.text) if first is not None else None
    if season is not None and first is not None:
        because = f"the first death: {first.text}"
        yield Observation("season", season, "derived", because, statement="deaths")


def _other_container(
    case: Case, timeline: Timeline, vocabulary: Mapping[str, Term]
) -> Iterator[Observation]:
    """Whether another container, read with the same test, reads the same."""
    same: list[str] = []
    apart: list[str] = []
    statement = ""
    for what, name in OBSERVED.items():
        term = vocabulary.get(name)
        here = latest(case, timeline, what)
        there = latest(case, timeline, what, "other_container")
        if term is None or term.alike is None or here is None or there is None:
            continue
        statement = there.statement
        told = f"{what} {here.value:.3g} here, {there.value:.3g} there"
        (same if abs(here.value - there.value) <= term.alike else apart).append(told)
    if same or apart:
        word, reads = ("different", apart) if apart else ("alike", same)
        because = "; ".join(reads)
        yield Observation("other_container_reads", word, "derived", because, statement=statement)
