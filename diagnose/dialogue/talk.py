"""The conversation itself: puts questions to a adapter, one at a time, until there is an answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from diagnose.belief.belief import Beliefs
from diagnose.dialogue.adapters import QUIET, STRONG, WARNING, Adapter
from diagnose.dialogue.belief_state import (
    BeliefState,
    Next,
    SessionRules,
    belief_state,
    next_question,
)
from diagnose.dialogue.first_minute import first_minute
from diagnose.dialogue.purpose import asked_about, use_of
from diagnose.dialogue.questions import Question, question
from diagnose.dialogue.ranking_shown import panel, places, spoken
from diagnose.dialogue.replies import (
    LONGEST_ANSWER,
    WORDS,
    Answered,
    NotSure,
    Unclear,
    Word,
    as_date,
    clean,
    needs_first_body,
    read_reply,
)
from diagnose.dialogue.state import (
    BESIDES,
    EQUIPMENT,
    FIRST_BODY,
    OPENING,
    STORY,
    STORY_RIGHT,
    Given,
    Session,
    ask_again,
    give,
    nobody_died,
    opening_question,
    skip,
    take_back,
)
from diagnose.intake.moments import Moment, read_moment
from diagnose.intake.written_text import LONGEST_STORY
from diagnose.report.answer import value_text
from diagnose.story.as_case import standing
from diagnose.story.facts import EVENT_AT, FIRST_DEATH, Told
from diagnose.story.reader import Reading, read_story
from diagnose.story.shown import corrected, field_text, grouped

#: Times told `ago` this long after a session began are turned into dates.
LATER_H = 1.0
#: After so many answers, or so many `not sure` in a row, the answer is offered.
MANY_ANSWERS, SILENT_ANSWERS = 12, 3
#: So much of what was not understood is shown.
LONGEST_UNREAD = 400
End = Literal["firm", "nothing left", "enough", "paused"]


@dataclass(frozen=True, slots=True)
class Ended:
    """How a conversation ended: the session, what is believed, and why it stopped."""

    seen: BeliefState
    why: End


@dataclass(frozen=True, slots=True)
class Talk:
    """What a conversation needs: the rules, the adapter, where the session is kept, the time."""

    rules: SessionRules
    adapter: Adapter
    keep: Callable[[Session], None]
    now: Callable[[], datetime]


def converse(talk: Talk, session: Session, *, one_only: bool = False) -> Ended:
    """Asks until the ranking is firm, nothing is worth asking, or the keeper wants the answer.
    one_only: asks what is pinned, and no more.

    Every answer is kept before the next question. At the end of input, and when interrupted, the
    session is kept and ends `paused`.
    """
    seen = belief_state(talk.rules, session)
    advised = bool(session.given) and not opening_question(session, talk.rules.asking)
    stands = ""
    offered = 0
    while True:
        if one_only and not seen.session.pinned:
            return Ended(seen, "enough")
        if advised and not one_only and talk.adapter.live and _time_to_offer(seen.session, offered):
            offered = len(seen.session.given)
            try:
                if not _goes_on(talk):
                    return Ended(seen, "enough")
            except (EOFError, KeyboardInterrupt):
                return Ended(seen, "paused")
            seen = _again(talk, seen)
        coming = next_question(talk.rules, seen)
        if coming.stop == "firm":
            return Ended(seen, "firm")
        if coming.stop:
            return Ended(seen, "nothing left")
        asked = question(coming.question, talk.rules.rulebook, talk.rules.asking)
        try:
            typed = _heard(talk, seen, asked, put=stands != asked.name)
            stands = asked.name
            then = _step(talk, seen, coming, asked, typed)
        except (EOFError, KeyboardInterrupt):
            return Ended(seen, "paused")
        if then is None:
            seen = _again(talk, seen)
            continue
        if isinstance(then, str):
            return Ended(seen, then)
        before, seen, stands = seen.inferred.beliefs, then, ""
        if not advised and not opening_question(seen.session, talk.rules.asking):
            advised = True
            for text, indent, style in first_minute(talk.rules, seen):
                talk.adapter.say(text, indent, style)
        _show_standing(talk, seen, before)


def _time_to_offer(session: Session, offered: int) -> bool:
    """Whether a dozen questions were answered since the last offer, or three in a row with `not
    sure`.
    """
    since = session.given[offered:]
    last = since[-SILENT_ANSWERS:]
    silent = len(last) == SILENT_ANSWERS and not any(given.tells for given in last)
    return len(since) >= MANY_ANSWERS or silent


def _goes_on(talk: Talk) -> bool:
    """Whether the keeper wants more questions before the answer."""
    talk.adapter.say("", 0, "")
    talk.adapter.say(
        "The answer can be had now. Enter for it; `more` for further questions.", 0, STRONG
    )
    return clean(talk.adapter.ask("go_on", ["more"], ())).lower() in (
        "more",
        "m",
        "yes",
        "y",
        "go on",
    )


def _heard(talk: Talk, seen: BeliefState, asked: Question, *, put: bool) -> str:
    """The line typed for a question; the question is put first, unless it stands there already. A
    story that was told before an interruption need not be told again.
    """
    session = seen.session
    if asked.name == STORY and session.story and not session.pinned:
        return session.story
    if put:
        put_question(talk.adapter, asked)
    return talk.adapter.ask(asked.name, completions(asked), parts(asked))


def _again(talk: Talk, seen: BeliefState) -> BeliefState:
    """The same view, inferred anew: the engine may have been led elsewhere in between."""
    return belief_state(talk.rules, seen.session)


def put_question(adapter: Adapter, asked: Question) -> None:
    """Says a question with its choices and how to answer."""
    adapter.say("", 0, "")
    adapter.say(asked.asks + (f" (in {asked.unit})" if asked.unit else ""), 0, STRONG)
    for place, (_, text) in enumerate(asked.choices, start=1):
        adapter.say(f"{place}  {text}", 2, "")
    if asked.hint:
        adapter.say(asked.hint, 2, QUIET)


def completions(asked: Question) -> list[str]:
    """What may be completed at a question: its answers and the session's own words."""
    words = [text for _, text in asked.choices] if asked.kind == "choice" else []
    if asked.kind == "yes_no":
        words = ["yes", "no"]
    return [*words, "not sure", *WORDS]


def parts(asked: Question) -> tuple[str, ...]:
    """The names of what a choice of several is made of."""
    return tuple(key for key, _ in asked.choices) if asked.kind == "several" else ()


def _step(
    talk: Talk, seen: BeliefState, coming: Next, asked: Question, typed: str
) -> BeliefState | End | None:
    """What a typed line does: a new view, an end, or nothing but words."""
    session = seen.session
    reply = read_reply(typed, asked, talk.rules.rulebook.vocabulary, session.told())
    if isinstance(reply, Unclear):
        return told_besides(talk, seen, typed, reply.sentence)
    if isinstance(reply, Word):
        return _own_word(talk, seen, coming, asked, reply)
    if isinstance(reply, NotSure):
        return _accepted(talk, seen, Given(asked.name, (), reply.said))
    if asked.name == STORY:
        return _told_story(talk, seen, reply.said)
    return _accepted(talk, seen, Given(asked.name, _dated(talk, session, reply), reply.said))


def told_besides(talk: Talk, seen: BeliefState, typed: str, otherwise: str) -> BeliefState | None:
    """What a line that is no answer here tells of other things, as `ammonia 2`; it is kept, and
    the question stands. otherwise: what is said where it tells nothing.
    """
    session = seen.session
    vocabulary = talk.rules.rulebook.vocabulary
    said = clean(typed)[:LONGEST_STORY]
    readings = standing(
        read_story(said, talk.rules.lexicon, vocabulary, session.started_at).readings,
        vocabulary,
        session.started_at,
    )
    if not readings:
        talk.adapter.say(otherwise, 2, WARNING)
        return None
    if len(said) > LONGEST_ANSWER:
        talk.adapter.say(otherwise, 2, WARNING)
    talk.adapter.say("Noted:", 2, "")
    for reading in readings:
        talk.adapter.say(said_back(talk.rules, reading), 4, "")
    tells = tuple(pair for reading in readings for pair in reading.tells)
    number = sum(given.question.startswith(BESIDES) for given in session.given) + 1
    return _accepted(talk, seen, Given(f"{BESIDES}{number}", tells, said))


def _dated(talk: Talk, session: Session, reply: Answered) -> tuple[tuple[str, Told], ...]:
    later = (talk.now() - session.started_at).total_seconds() / 3600.0
    if later < LATER_H:
        return tuple(
            (name, _past(str(value), talk.now())) if name == FIRST_DEATH else (name, value)
            for name, value in reply.tells
        )
    started = Moment("absolute", at=session.started_at)
    return tuple(
        (name, as_date(str(value), now_hours_later=later, started=started))
        if name == FIRST_DEATH or name.startswith(EVENT_AT)
        else (name, value)
        for name, value in reply.tells
    )


def _past(text: str, now: datetime) -> str:
    """A clock time of today that is still to come is yesterday's."""
    moment = read_moment(text)
    today = moment.kind == "day_before_asking" and moment.days == 0 and text.startswith("today")
    if today and moment.hours > now.hour + now.minute / 60.0:
        return f"yesterday{text.removeprefix('today')}"
    return text


def _accepted(talk: Talk, seen: BeliefState, given: Given) -> BeliefState | None:
    """The view with one more answer, kept on disk; or nothing, when it cannot be true with the
    others.
    """
    given = _agreed(talk, seen, given)
    session = give(seen.session, given)
    if _wants_first_body(session, given):
        session = ask_again(session, FIRST_BODY)
    try:
        then = belief_state(talk.rules, session)
    except ValueError as error:
        talk.adapter.say(
            f"That cannot stand with the other answers: {first_line(error)}", 2, WARNING
        )
        talk.adapter.say("Answer anew, or type `change` to mend an earlier answer.", 2, "")
        return None
    talk.keep(session)
    return then


def _agreed(talk: Talk, seen: BeliefState, given: Given) -> Given:
    """The answer, after it was asked which is right where it says otherwise than what was told to
    another question or in the story; what was told before stays if that is the one.
    """
    before = {
        name: value
        for item in seen.session.given
        if item.question != given.question
        for name, value in item.tells
    }
    kept = list(given.tells)
    for name, value in given.tells:
        told = before.get(name, value)
        if not talk.adapter.live or _same(told, value):
            continue
        talk.adapter.say(f"You told before: {told_text(talk.rules, name, told)}", 2, WARNING)
        talk.adapter.say(f"And now: {told_text(talk.rules, name, value)}", 2, WARNING)
        talk.adapter.say("Which is right? 1 what was told before, 2 this one", 2, QUIET)
        said = clean(talk.adapter.ask("which_is_right", ["1", "2"], ())).lower()
        if said in ("1", "before", "the first", "first"):
            kept.remove((name, value))
    return replace(given, tells=tuple(kept))


def _same(one: Told, other: Told) -> bool:
    try:
        return float(one) == float(other)
    except ValueError:
        return str(one) == str(other)


def told_text(rules: SessionRules, name: str, value: Told) -> str:
    """What was told, in words the keeper can check."""
    known = name in rules.rulebook.vocabulary
    return fact_text(rules, name, value) if known else field_text(name, value)


def first_line(error: ValueError) -> str:
    """The first sentence of an error, without the name of a file that does not exist."""
    return str(error).splitlines()[0].removeprefix("case, ")


def _wants_first_body(session: Session, given: Given) -> bool:
    told = session.told()
    if nobody_died(told) or FIRST_DEATH in told or FIRST_BODY in session.answered():
        return False
    return any(n.startswith(EVENT_AT) and needs_first_body(str(v)) for n, v in given.tells)


def _told_story(talk: Talk, seen: BeliefState, story: str) -> BeliefState | None:
    session = replace(seen.session, story=story)
    if story:
        talk.keep(session)
    vocabulary, now = talk.rules.rulebook.vocabulary, session.started_at
    read = read_story(story, talk.rules.lexicon, vocabulary, now)
    readings = standing(read.readings, vocabulary, now)
    kept = _confirmed(talk, readings, read.unread, now) if readings else ()
    tells = tuple(pair for reading in kept for pair in reading.tells)
    if story and not readings:
        talk.adapter.say("Thank you. I could take no fact from that; I will ask.", 2, "")
    return _accepted(talk, BeliefState(session, seen.case, seen.inferred), Given(STORY, tells, ""))


def _confirmed(
    talk: Talk, readings: tuple[Reading, ...], unread: tuple[str, ...], now: datetime
) -> tuple[Reading, ...]:
    """What was read, shown back; what the keeper strikes out or corrects is not kept."""
    adapter = talk.adapter
    vocabulary = talk.rules.rulebook.vocabulary
    _show_back(talk, readings, unread)
    while True:
        adapter.say(
            "Is that right? yes; the numbers that are wrong; or type what is right instead",
            2,
            QUIET,
        )
        typed = clean(adapter.ask(STORY_RIGHT, ["yes", "no"], ()))[:LONGEST_STORY]
        said = typed.lower()
        if said in ("", "y", "yes", "right", "all right", "ok", "correct", "yep", "yeah"):
            return readings
        if said in ("n", "no", "none", "not sure", "wrong"):
            return ()
        numbers = [int(part) for part in said.replace(",", " ").split() if part.isdigit()]
        if numbers and re.fullmatch(r"[\d\s,]+", said):
            if all(1 <= n <= len(readings) for n in numbers):
                ordered = [r for _, rows in grouped(readings) for r in rows]
                wrong = [ordered[n - 1] for n in numbers]
                return tuple(r for r in readings if r not in wrong)
        else:
            more = read_story(typed, talk.rules.lexicon, vocabulary, now)
            if more.readings:
                readings = standing(corrected(readings, more.readings), vocabulary, now)
                _show_back(talk, readings, more.unread)
                continue
        adapter.say(
            "Type yes, the numbers that are wrong (as `1 3`), or the right thing.", 2, WARNING
        )


def _show_back(talk: Talk, readings: tuple[Reading, ...], unread: tuple[str, ...]) -> None:
    adapter = talk.adapter
    adapter.say("I read from this:", 0, STRONG)
    place = 0
    for title, rows in grouped(readings):
        adapter.say(title, 0, "")
        for reading in rows:
            place += 1
            adapter.say(f"{place}  {said_back(talk.rules, reading)}", 2, "")
    if unread:
        adapter.say(f"Not understood: {'; '.join(unread)[:LONGEST_UNREAD]}", 0, QUIET)


def said_back(rules: SessionRules, reading: Reading) -> str:
    """What was read from a story, in words the keeper can check."""
    parts = [told_text(rules, name, value) for name, value in reading.tells]
    return f"{'; '.join(parts)}  (from `{reading.words}`)"


def fact_text(rules: SessionRules, name: str, value: Told) -> str:
    """An observation as question and answer."""
    term = rules.rulebook.vocabulary[name]
    if term.kind == "sign":
        return f"{term.asks} {'yes' if value == 'present' else 'no'}"
    shown = value_text(term, value if isinstance(value, str) else float(value), "metric")
    return f"{term.asks} {shown}"


def _show_standing(talk: Talk, seen: BeliefState, before: Beliefs) -> None:
    told = bool(seen.session.given) and bool(seen.session.given[-1].tells)
    if not told or opening_question(seen.session, talk.rules.asking):
        return
    show_standing(talk, seen, before)


def show_standing(talk: Talk, seen: BeliefState, before: Beliefs | None) -> None:
    """The first three causes and what just moved."""
    found = places(talk.rules.rulebook, seen.inferred.beliefs, before)
    if talk.adapter.plain:
        talk.adapter.say(spoken(found), 0, "")
        return
    for text in panel(found):
        talk.adapter.say(text, 2, QUIET)


def _own_word(
    talk: Talk, seen: BeliefState, coming: Next, asked: Question, word: Word
) -> BeliefState | End | None:
    session, adapter = seen.session, talk.adapter
    if word.word == "pause":
        return "paused"
    if word.word == "enough":
        return "enough"
    if word.word == "back":
        if not session.given:
            adapter.say("There is nothing to take back yet.", 2, "")
            return None
        return _moved_to(talk, take_back(session))
    if word.word == "change":
        name = which_answer(talk, session, word.rest)
        return _moved_to(talk, ask_again(session, name)) if name else None
    if word.word == "skip":
        return _skipped(talk, seen, asked)
    lines = {
        "look": lambda: _look(asked),
        "what for": lambda: use_of(talk.rules, coming, asked),
        "help": _help,
    }
    if word.word == "so far":
        show_standing(talk, seen, None)
        for place, given in enumerate(session.given, start=1):
            adapter.say(f"{place}  {given_text(talk.rules, given)}", 2, "")
        return None
    for text in lines[word.word]():
        adapter.say(text, 2, "")
    return None


def _moved_to(talk: Talk, session: Session) -> BeliefState:
    talk.keep(session)
    return belief_state(talk.rules, session)


def _skipped(talk: Talk, seen: BeliefState, asked: Question) -> BeliefState | None:
    asking = talk.rules.asking
    about = min(asked_about(talk.rules, asked))
    topic = asking.topic_of.get(about, "")
    if asked.name in OPENING or asked.name == FIRST_BODY or asked.name.startswith(EQUIPMENT):
        return _accepted(talk, seen, Given(asked.name, (), "skip"))
    talk.adapter.say(f"No more questions on: {asking.topics.get(topic, topic)}.", 2, "")
    return _moved_to(talk, skip(seen.session, topic))


def which_answer(talk: Talk, session: Session, rest: str) -> str:
    """The question whose answer is to be changed, or nothing."""
    if not session.given:
        talk.adapter.say("There is no answer yet.", 2, "")
        return ""
    if not rest:
        for place, given in enumerate(session.given, start=1):
            talk.adapter.say(f"{place}  {given_text(talk.rules, given)}", 2, "")
        talk.adapter.say("Which one? Its number, or Enter for none.", 2, QUIET)
        rest = clean(talk.adapter.ask("change", (), ()))
    if rest.isdigit() and 1 <= int(rest) <= len(session.given):
        name = session.given[int(rest) - 1].question
        return STORY if name.startswith(BESIDES) else name
    if rest:
        talk.adapter.say(f"There is no answer `{rest[:LONGEST_ANSWER]}`.", 2, WARNING)
    return ""


def given_text(rules: SessionRules, given: Given) -> str:
    """A question with its answer, in a line."""
    if given.question == STORY or given.question.startswith(BESIDES):
        told = "; ".join(told_text(rules, n, v) for n, v in given.tells)
        return f"Your own words: {told or 'nothing read from them'}"
    asked = question(given.question, rules.rulebook, rules.asking)
    return f"{asked.asks} {given.said if given.tells else 'not known'}"


def _look(asked: Question) -> Iterator[str]:
    yield asked.look or f"There is nothing special to it. Answer as: {asked.hint}."


def _help() -> Iterator[str]:
    yield "Answer, say `not sure`, or type one of these:"
    for word, does in WORDS.items():
        yield f"{word:<9} {does}"
