"""What a session knows, frozen, and what each thing a keeper does makes of it. No clock, no screen,
no disk.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from diagnose.belief.next_checks import beside_the_point
from diagnose.dialogue.asking import Asking
from diagnose.findings.observation import Observation
from diagnose.rulebook.terms import Rulebook
from diagnose.story.facts import DEAD_COUNT, EVENT_AT, FIRST_DEATH, SPAN_H, Told

#: Questions that are no single observation. Everything else is asked by its name in the vocabulary.
STORY, DEAD, OVER, LIVING, FIRST_BODY = "story", "dead", "over", "living", "first_body"
#: Whether what was read from the story is right.
STORY_RIGHT = "story_right"
OPENING = (STORY, DEAD, OVER, LIVING)
EQUIPMENT, TOGETHER = "equipment:", "together:"
#: What was told at a question about something else; its number follows.
BESIDES = "besides:"
ALL_PERCENT = 100.0
_HOW_MANY = frozenset((DEAD_COUNT, "deaths_share", "deaths.share", "deaths.left"))


@dataclass(frozen=True, slots=True)
class Given:
    """One answer: the question, what it told (nothing, when the keeper could not say), and the
    words it was given in.
    """

    question: str
    tells: tuple[tuple[str, Told], ...]
    said: str


@dataclass(frozen=True, slots=True)
class Session:
    """All that was said so far, in the order it was said.

    started_at: the time of asking of the case. skipped: topics. pinned: a question to put next, out
    of its turn.
    """

    started_at: datetime
    name: str
    story: str = ""
    given: tuple[Given, ...] = ()
    skipped: tuple[str, ...] = ()
    pinned: str = ""

    def answered(self) -> dict[str, Given]:
        """The answer to each question put so far."""
        return {item.question: item for item in self.given}

    def told(self) -> dict[str, Told]:
        """Everything told, by name; what was said later stands."""
        told: dict[str, Told] = {}
        for item in self.given:
            for name, value in item.tells:
                for same in _SAME.get(name, ()):
                    told.pop(same, None)
                told[name] = value
        return told


#: Two ways to tell one thing; an answer takes the place of what the story said.
_SAME = {
    "deaths_share": ("deaths.share", "deaths.left"),
    DEAD_COUNT: ("deaths.share", "deaths.left"),
    "volume_l": ("container.volume",),
    "container_age_days": ("container.age",),
    "substrate_age_days": ("container.substrate_age",),
    "light_hours": ("container.light",),
    "feeds_per_week": ("stock.feeding.times",),
    "change_interval_days": ("container.change_every",),
}


def give(session: Session, given: Given) -> Session:
    """The session with one more answer; a second one to a question takes the place of the first."""
    if given.question in session.answered():
        kept = tuple(given if g.question == given.question else g for g in session.given)
    else:
        kept = (*session.given, given)
    pinned = "" if session.pinned == given.question else session.pinned
    return replace(session, given=kept, pinned=pinned)


def take_back(session: Session) -> Session:
    """The session without its last answer, whose question comes next again."""
    if not session.given:
        return session
    last = session.given[-1].question
    story = "" if last == STORY else session.story
    return replace(session, given=session.given[:-1], pinned=last, story=story)


def ask_again(session: Session, question: str) -> Session:
    """The session with a question put next, whether or not it was answered before."""
    return replace(session, pinned=question)


def skip(session: Session, topic: str) -> Session:
    """The session without any further question of a topic."""
    if topic in session.skipped:
        return replace(session, pinned="")
    return replace(session, skipped=(*session.skipped, topic), pinned="")


def opening_question(session: Session, asking: Asking) -> str:
    """The next question of the first minute, or nothing when it is over."""
    answered, told = session.answered(), session.told()
    nobody = nobody_died(told)
    signs = any(told.get(sign) == "present" for sign in asking.first_signs)
    known = {
        STORY: False,
        DEAD: nobody or not _HOW_MANY.isdisjoint(told),
        OVER: nobody
        or told.get(DEAD_COUNT) in (1, "1")
        or SPAN_H in told
        or FIRST_DEATH in told
        or "death_shape" in told,
        LIVING: signs
        or told.get("deaths_share") == ALL_PERCENT
        or told.get("deaths.share") == "all",
    }
    return next((q for q in OPENING if q not in answered and not known[q]), "")


def nobody_died(told: Mapping[str, Told]) -> bool:
    """Whether it was told that nobody has died."""
    return told.get(DEAD_COUNT) in (0, "0") or told.get("death_shape") == "none"


def open_questions(
    rulebook: Rulebook, asking: Asking, session: Session, known: Mapping[str, Observation]
) -> tuple[str, ...]:
    """The observations that may still be asked for: not known, not derived, not asked before, not
    skipped, and not beside the point for this container.
    """
    answered = set(session.answered())
    for item in asking.together.values():
        if TOGETHER + item.name in answered:
            answered |= item.of.keys()
    pointless = beside_the_point(rulebook, known)
    return tuple(
        name
        for name, term in rulebook.vocabulary.items()
        if name not in known
        and name not in answered
        and name not in pointless
        and asking.topic_of[name] not in session.skipped
        and equipment_at_hand(session, term.needs) is not False
        and not term.derived
        and _grounded(term.needs_present, known)
        and (term.event is None or term.kind == "sign" or _event_time_open(session, term.event))
    )


def _grounded(ground: str | None, known: Mapping[str, Observation]) -> bool:
    if ground is None:
        return True
    found = known.get(ground)
    return found is not None and found.value == "present"


def _event_time_open(session: Session, event: str) -> bool:
    return EVENT_AT + event not in session.told()


def equipment_at_hand(session: Session, needs: str) -> bool | None:
    """Whether a piece of equipment is there; None while nobody asked. Eyes always are."""
    given = session.answered().get(EQUIPMENT + needs)
    if given is None:
        return None
    return any(value is True for _, value in given.tells)
