"""A robot keeper: it holds a worked case, is asked by the session, and answers truthfully in typed
lines - `not sure` where the case does not say.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from diagnose.dialogue.belief_state import (
    BeliefState,
    Next,
    SessionRules,
    belief_state,
    next_question,
)
from diagnose.dialogue.questions import Question, question
from diagnose.dialogue.replies import Answered, NotSure, read_reply
from diagnose.dialogue.state import (
    DEAD,
    EQUIPMENT,
    OVER,
    STORY,
    TOGETHER,
    Given,
    Session,
    give,
    opening_question,
)
from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.intake.case import Case
from diagnose.intake.rough import Rough, RoughCount
from diagnose.rulebook.terms import Rulebook
from diagnose.story.facts import DEAD_COUNT, DEAD_OF, EVENT_AT
from diagnose.story.reader import read_story

NOT_SURE = "not sure"
ASKED = datetime(2026, 11, 14, 22, 30)


@dataclass(frozen=True)
class Keeper:
    """What one keeper knows: the case and all that follows from it."""

    case: Case
    knows: dict[str, Observation]
    tells_story: bool = False
    denies_share: float = 0.0


def keeper_of(file: Path, rulebook: Rulebook) -> Keeper:
    """The keeper of a worked case."""
    found = observed_case(file, rulebook, now=ASKED)
    return Keeper(found.case, {o.name: o for o in found.observations})


def line(keeper: Keeper, asked: Question, rulebook: Rulebook) -> str:
    """What the keeper types when asked."""
    if asked.name == STORY:
        return (keeper.case.story or "") if keeper.tells_story else ""
    if asked.name == DEAD:
        return _dead(keeper)
    if asked.name == OVER:
        span = keeper.knows.get("deaths_span_hours")
        return f"{typed(span.value)} h" if span is not None else NOT_SURE
    if asked.kind == "several":
        return _several(keeper, asked)
    if asked.name.startswith(EQUIPMENT):
        needs = asked.name.removeprefix(EQUIPMENT)
        measured = any(rulebook.vocabulary[n].needs == needs for n in keeper.knows)
        return "yes" if measured else "no"
    known = keeper.knows.get(asked.name)
    if known is None:
        plain = asked.kind == "yes_no" and _draw(keeper.case.case, asked.name) < keeper.denies_share
        return "no" if plain else NOT_SURE
    if asked.kind == "yes_no":
        return "yes" if known.value == "present" else "no"
    if asked.kind == "choice":
        return str(known.value)
    if asked.kind == "time":
        shape = keeper.knows.get("death_shape")
        nobody = shape is not None and shape.value == "none"
        return f"{typed(known.value)} h {'ago' if nobody else 'before the first death'}"
    if asked.name in ("tan_mg_l", "nitrite_mg_l"):
        return f"{typed(known.value)} mg/L as N"
    return typed(known.value)


def typed(value: object) -> str:
    """A number as a keeper types it: a rough one as from and to, one with an open end as its
    bound.
    """
    if not isinstance(value, Rough | RoughCount):
        return str(value)
    low, high = value.low, value.high
    return f"{low:g}-{high:g}" if low >= 0.0 and math.isfinite(high) else f"{float(value):g}"


def _draw(case: str, name: str) -> float:
    """A number from 0 to 1 that belongs to this case and question, the same on every run."""
    return zlib.crc32(f"{case}/{name}".encode()) / 2**32


def _dead(keeper: Keeper) -> str:
    shape, deaths = keeper.knows.get("death_shape"), keeper.case.deaths
    if shape is not None and shape.value == "none":
        return "none"
    dead = deaths.dead if deaths is not None else None
    if dead is not None:
        of = deaths.of if deaths is not None else None
        return f"{typed(dead)} of {typed(of)}" if of else typed(dead)
    share = keeper.knows.get("deaths_share")
    if share is not None:
        return f"{typed(share.value)} %"
    return "1" if shape is not None and shape.value == "single" else NOT_SURE


def _several(keeper: Keeper, asked: Question) -> str:
    seen = [
        str(place)
        for place, (sign, _) in enumerate(asked.choices, start=1)
        if sign in keeper.knows and keeper.knows[sign].value == "present"
    ]
    sure = _draw(keeper.case.case, asked.name) < keeper.denies_share
    if not seen:
        return "none of these" if sure else NOT_SURE
    return " ".join([*seen, "only"] if sure else seen)


@dataclass(frozen=True)
class Turn:
    """One question put to the keeper, what was typed, and the beliefs after it."""

    asked: str
    typed: str
    told: bool
    seen: BeliefState
    predicted_bits: float


def talk_with(
    keeper: Keeper,
    rules: SessionRules,
    *,
    most: int,
    choose: Callable[[SessionRules, BeliefState], Next] = next_question,
    until_stopped: bool = True,
) -> Iterator[Turn]:
    """The turns of a session with this keeper, up to `most` questions after the story."""
    started = keeper.case.asked_at or ASKED
    session = Session(started, keeper.case.case)
    seen = belief_state(rules, session)
    count = 0
    while count < most:
        coming = choose(rules, seen)
        if coming.stop:
            return
        asked = question(coming.question, rules.rulebook, rules.asking)
        typed = line(keeper, asked, rules.rulebook)
        session, told = _answered(keeper, rules, session, asked, typed)
        seen = belief_state(rules, session)
        if asked.name == STORY:
            continue
        count += 1
        bits = next((c.gain_bits for c in coming.checks if c.name == asked.name), 0.0)
        yield Turn(asked.name, typed, told, seen, bits)


def _answered(
    keeper: Keeper, rules: SessionRules, session: Session, asked: Question, typed: str
) -> tuple[Session, bool]:
    vocabulary = rules.rulebook.vocabulary
    reply = read_reply(typed, asked, vocabulary, session.told())
    assert isinstance(reply, Answered | NotSure), (asked.name, typed, reply)
    tells = reply.tells if isinstance(reply, Answered) else ()
    if asked.name == STORY and typed:
        session = replace(session, story=typed)
        readings = read_story(typed, rules.lexicon, vocabulary, session.started_at).readings
        tells = tuple(pair for r in readings if _agrees(keeper, r.tells) for pair in r.tells)
    told = any(name.removeprefix(EQUIPMENT) == name for name, _ in tells)
    return give(session, Given(asked.name, tells, typed)), told


def _agrees(keeper: Keeper, tells: tuple[tuple[str, object], ...]) -> bool:
    """Whether the keeper says yes to what was read: the case holds it, in the same sense."""
    deaths = keeper.case.deaths
    for name, value in tells:
        if name == DEAD_COUNT and (deaths is None or str(deaths.dead) != str(value)):
            return False
        if name == DEAD_OF and (deaths is None or str(deaths.of) != str(value)):
            return False
        if name in (DEAD_COUNT, DEAD_OF) or name.startswith(EVENT_AT):
            continue
        known = keeper.knows.get(name)
        if known is None or known.value != value:
            return False
    return True


def fixed_order(order: tuple[str, ...]) -> Callable[[SessionRules, BeliefState], Next]:
    """A questionnaire: the opening, then every question of `order` that is not answered yet. It
    may hold questions that ask for several things together.
    """

    def choose(rules: SessionRules, seen: BeliefState) -> Next:
        opening = opening_question(seen.session, rules.asking)
        if opening:
            return Next(opening, "")
        known, answered = seen.inferred.trace.observations, set(seen.session.answered())
        for group in rules.asking.together.values():
            if TOGETHER + group.name in answered:
                answered |= group.of.keys()
        for name in order:
            if name.startswith(TOGETHER):
                if name not in answered:
                    return Next(name, "")
                continue
            ground = rules.rulebook.vocabulary[name].needs_present
            if name in known or name in answered:
                continue
            if ground and (ground not in known or known[ground].value != "present"):
                continue
            return Next(name, "")
        return Next("", "nothing left")

    return choose
