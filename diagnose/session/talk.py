"""The conversation itself: puts questions to a voice, one at a time, until there is an answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from diagnose.advice.plan import WATCH, plan
from diagnose.intake.moments import Moment
from diagnose.ranking.belief import Beliefs
from diagnose.ranking.next_checks import Check
from diagnose.report.answer import value_text
from diagnose.report.wording import URGENCY_SENTENCES, percent
from diagnose.session.mind import Mind, Next, View, next_question, view
from diagnose.session.questions import Question, question
from diagnose.session.replies import (
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
from diagnose.session.standing import panel, places, spoken
from diagnose.session.state import (
    EQUIPMENT,
    EVENT_AT,
    FIRST_BODY,
    FIRST_DEATH,
    OPENING,
    STORY,
    STORY_RIGHT,
    TOGETHER,
    Given,
    Session,
    Told,
    ask_again,
    give,
    nobody_died,
    opening_question,
    skip,
    take_back,
)
from diagnose.session.story import Reading, read_story
from diagnose.session.voices import Voice

STRONG, QUIET, WARNING = "bold", "dim", "yellow"
#: Answers of a chance below this are left out when a question's use is told.
LEAST_CHANCE = 0.03
#: Times told `ago` this long after a session began are turned into dates.
LATER_H = 1.0
End = Literal["firm", "nothing left", "enough", "paused"]


@dataclass(frozen=True, slots=True)
class Ended:
    """How a conversation ended: the session, what is believed, and why it stopped."""

    seen: View
    why: End


@dataclass(frozen=True, slots=True)
class Talk:
    """What a conversation needs: the mind, the voice, where to keep the session, and the time."""

    having: Mind
    voice: Voice
    keep: Callable[[Session], None]
    now: Callable[[], datetime]


def converse(talk: Talk, session: Session) -> Ended:
    """Asks until the ranking is firm, nothing is worth asking, or the keeper wants the answer.

    Every answer is kept before the next question. At the end of input, and when interrupted, the
    session is kept and ends `paused`.
    """
    seen = view(talk.having, session)
    advised = bool(session.given) and not opening_question(session, talk.having.asking)
    put = ""
    while True:
        coming = next_question(talk.having, seen)
        if coming.stop == "firm":
            return Ended(seen, "firm")
        if coming.stop:
            return Ended(seen, "nothing left")
        asked = question(coming.question, talk.having.rulebook, talk.having.asking)
        told_before = asked.name == STORY and seen.session.story and not seen.session.pinned
        if put != asked.name and not told_before:
            _put(talk.voice, asked)
        put = asked.name
        try:
            typed = (
                seen.session.story
                if told_before
                else talk.voice.ask(asked.name, _completions(asked), _several(asked))
            )
            then = _step(talk, seen, coming, asked, typed)
        except (EOFError, KeyboardInterrupt):
            return Ended(seen, "paused")
        if then is None:
            seen = _again(talk, seen)
            continue
        if isinstance(then, str):
            return Ended(seen, then)
        before, seen, put = seen.thought.beliefs, then, ""
        if not advised and not opening_question(seen.session, talk.having.asking):
            advised = True
            for text, indent, style in first_minute(talk.having, seen):
                talk.voice.say(text, indent, style)
        _show_standing(talk, seen, before)


def _again(talk: Talk, seen: View) -> View:
    """The same view, thought anew: the engine may have been led elsewhere in between."""
    return view(talk.having, seen.session)


def _put(voice: Voice, asked: Question) -> None:
    voice.say("", 0, "")
    voice.say(asked.asks + (f" (in {asked.unit})" if asked.unit else ""), 0, STRONG)
    for place, (_, text) in enumerate(asked.choices, start=1):
        voice.say(f"{place}  {text}", 2, "")
    if asked.hint:
        voice.say(asked.hint, 2, QUIET)


def _completions(asked: Question) -> list[str]:
    words = [text for _, text in asked.choices] if asked.kind == "choice" else []
    if asked.kind == "yes_no":
        words = ["yes", "no"]
    return [*words, "not sure", *WORDS]


def _several(asked: Question) -> tuple[str, ...]:
    return tuple(key for key, _ in asked.choices) if asked.kind == "several" else ()


def _step(talk: Talk, seen: View, coming: Next, asked: Question, typed: str) -> View | End | None:
    """What a typed line does: a new view, an end, or nothing but words."""
    session = seen.session
    reply = read_reply(typed, asked, talk.having.rulebook.vocabulary, session.told())
    if isinstance(reply, Unclear):
        talk.voice.say(reply.sentence, 2, WARNING)
        return None
    if isinstance(reply, Word):
        return _own_word(talk, seen, coming, asked, reply)
    if isinstance(reply, NotSure):
        return _accepted(talk, seen, Given(asked.name, (), reply.said))
    if asked.name == STORY:
        return _told_story(talk, seen, reply.said)
    return _accepted(talk, seen, Given(asked.name, _dated(talk, session, reply), reply.said))


def _dated(talk: Talk, session: Session, reply: Answered) -> tuple[tuple[str, Told], ...]:
    later = (talk.now() - session.started_at).total_seconds() / 3600.0
    if later < LATER_H:
        return reply.tells
    started = Moment("absolute", at=session.started_at)
    return tuple(
        (name, as_date(str(value), now_hours_later=later, started=started))
        if name == FIRST_DEATH or name.startswith(EVENT_AT)
        else (name, value)
        for name, value in reply.tells
    )


def _accepted(talk: Talk, seen: View, given: Given) -> View | None:
    """The view with one more answer, kept on disk; or nothing, when it cannot be true with the
    others.
    """
    session = give(seen.session, given)
    if _wants_first_body(session, given):
        session = ask_again(session, FIRST_BODY)
    try:
        then = view(talk.having, session)
    except ValueError as error:
        talk.voice.say(f"That cannot stand with the other answers: {first_line(error)}", 2, WARNING)
        talk.voice.say("Answer anew, or type `change` to mend an earlier answer.", 2, "")
        return None
    talk.keep(session)
    return then


def first_line(error: ValueError) -> str:
    """The first sentence of an error, without the name of a file that does not exist."""
    return str(error).splitlines()[0].removeprefix("case, ")


def _wants_first_body(session: Session, given: Given) -> bool:
    told = session.told()
    if nobody_died(told) or FIRST_DEATH in told or FIRST_BODY in session.answered():
        return False
    return any(n.startswith(EVENT_AT) and needs_first_body(str(v)) for n, v in given.tells)


def _told_story(talk: Talk, seen: View, story: str) -> View | None:
    session = replace(seen.session, story=story)
    if story:
        talk.keep(session)
    readings = read_story(story, talk.having.phrases, talk.having.rulebook.vocabulary)
    kept = _confirmed(talk, readings) if readings else ()
    tells = tuple(pair for reading in kept for pair in reading.tells)
    if story and not readings:
        talk.voice.say("Thank you. I will ask for the details.", 2, "")
    return _accepted(
        talk, View(session, seen.case, seen.thought, seen.firm), Given(STORY, tells, "")
    )


def _confirmed(talk: Talk, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """What was read, shown back; only what the keeper says yes to is kept."""
    voice = talk.voice
    voice.say("I read from this:", 0, STRONG)
    for place, reading in enumerate(readings, start=1):
        voice.say(f"{place}  {said_back(talk.having, reading)}", 2, "")
    while True:
        voice.say("Is that right? yes, no, or the numbers that are wrong", 2, QUIET)
        typed = clean(voice.ask(STORY_RIGHT, ["yes", "no"], ()))[:LONGEST_ANSWER].lower()
        if typed in ("y", "yes", "right", "all right"):
            return readings
        if typed in ("n", "no", "none", "not sure", "wrong"):
            return ()
        wrong = [int(part) for part in typed.replace(",", " ").split() if part.isdigit()]
        if wrong and all(1 <= n <= len(readings) for n in wrong):
            return tuple(r for n, r in enumerate(readings, start=1) if n not in wrong)
        voice.say("Type yes, no, or the numbers that are wrong, as `1 3`.", 2, WARNING)


def said_back(having: Mind, reading: Reading) -> str:
    """What was read from a story, in words the keeper can check."""
    parts = []
    for name, value in reading.tells:
        if name.startswith(EVENT_AT):
            parts.append(f"time: {value}")
        elif name in having.rulebook.vocabulary:
            parts.append(fact_text(having, name, value))
        else:
            parts.append(f"{name.removeprefix('deaths.')}: {value}")
    return f"{'; '.join(parts)}  (from `{reading.words}`)"


def fact_text(having: Mind, name: str, value: Told) -> str:
    """An observation as question and answer."""
    term = having.rulebook.vocabulary[name]
    if term.kind == "sign":
        return f"{term.asks} {'yes' if value == 'present' else 'no'}"
    shown = value_text(term, value if isinstance(value, str) else float(value), "metric")
    return f"{term.asks} {shown}"


def first_minute(having: Mind, seen: View) -> Iterator[tuple[str, int, str]]:
    """What to do now, safe whatever the cause, with its cautions: text, indent and style."""
    advice = plan(having.rulebook, seen.thought.trace, seen.thought.beliefs)
    yield "", 0, ""
    if advice.urgency == WATCH and nobody_died(seen.session.told()):
        yield URGENCY_SENTENCES[WATCH], 0, STRONG
        return
    if advice.urgency != WATCH:
        yield URGENCY_SENTENCES[advice.urgency], 0, STRONG
    yield "Do this first. It is safe whatever the cause:", 0, ""
    names = (*having.rulebook.first_steps, *having.rulebook.after_steps)
    steps = [having.rulebook.steps[name] for name in names]
    for place, step in enumerate(steps, start=1):
        yield f"{place}  {step.title}. {step.do}", 2, ""
    for name in dict.fromkeys(caution for step in steps for caution in step.cautions):
        yield f"!  {having.rulebook.cautions[name].text}", 2, WARNING
    yield "Now to the reason.", 0, ""


def _show_standing(talk: Talk, seen: View, before: Beliefs) -> None:
    told = bool(seen.session.given) and bool(seen.session.given[-1].tells)
    if not told or opening_question(seen.session, talk.having.asking):
        return
    show_standing(talk, seen, before)


def show_standing(talk: Talk, seen: View, before: Beliefs | None) -> None:
    """The first three causes and what just moved."""
    found = places(talk.having.rulebook, seen.thought.beliefs, before)
    if talk.voice.plain:
        talk.voice.say(spoken(found), 0, "")
        return
    for text in panel(found):
        talk.voice.say(text, 2, QUIET)


def _own_word(
    talk: Talk, seen: View, coming: Next, asked: Question, word: Word
) -> View | End | None:
    session, voice = seen.session, talk.voice
    if word.word == "pause":
        return "paused"
    if word.word == "enough":
        return "enough"
    if word.word == "back":
        if not session.given:
            voice.say("There is nothing to take back yet.", 2, "")
            return None
        return _moved_to(talk, take_back(session))
    if word.word == "change":
        name = _which_answer(talk, session, word.rest)
        return _moved_to(talk, ask_again(session, name)) if name else None
    if word.word == "skip":
        return _skipped(talk, seen, asked)
    lines = {
        "look": lambda: _look(asked),
        "what for": lambda: use_of(talk.having, coming, asked),
        "help": _help,
    }
    if word.word == "so far":
        show_standing(talk, seen, None)
        for place, given in enumerate(session.given, start=1):
            voice.say(f"{place}  {given_text(talk.having, given)}", 2, "")
        return None
    for text in lines[word.word]():
        voice.say(text, 2, "")
    return None


def _moved_to(talk: Talk, session: Session) -> View:
    talk.keep(session)
    return view(talk.having, session)


def _skipped(talk: Talk, seen: View, asked: Question) -> View | None:
    asking = talk.having.asking
    about = min(_asked_about(talk.having, asked))
    topic = asking.topic_of.get(about, "")
    if asked.name in OPENING or asked.name == FIRST_BODY or asked.name.startswith(EQUIPMENT):
        return _accepted(talk, seen, Given(asked.name, (), "skip"))
    talk.voice.say(f"No more questions on: {asking.topics.get(topic, topic)}.", 2, "")
    return _moved_to(talk, skip(seen.session, topic))


def _which_answer(talk: Talk, session: Session, rest: str) -> str:
    """The question whose answer is to be changed, or nothing."""
    if not session.given:
        talk.voice.say("There is no answer yet.", 2, "")
        return ""
    if not rest:
        for place, given in enumerate(session.given, start=1):
            talk.voice.say(f"{place}  {given_text(talk.having, given)}", 2, "")
        talk.voice.say("Which one? Its number, or Enter for none.", 2, QUIET)
        rest = clean(talk.voice.ask("change", (), ()))
    if rest.isdigit() and 1 <= int(rest) <= len(session.given):
        return session.given[int(rest) - 1].question
    if rest:
        talk.voice.say(f"There is no answer `{rest[:LONGEST_ANSWER]}`.", 2, WARNING)
    return ""


def given_text(having: Mind, given: Given) -> str:
    """A question with its answer, in a line."""
    asked = question(given.question, having.rulebook, having.asking)
    if given.question == STORY:
        told = "; ".join(
            fact_text(having, n, v) for n, v in given.tells if n in having.rulebook.vocabulary
        )
        return f"Your own words: {told or 'nothing read from them'}"
    return f"{asked.asks} {given.said if given.tells else 'not known'}"


def _look(asked: Question) -> Iterator[str]:
    yield asked.look or f"There is nothing special to it. Answer as: {asked.hint}."


def _help() -> Iterator[str]:
    yield "Answer, say `not sure`, or type one of these:"
    for word, does in WORDS.items():
        yield f"{word:<9} {does}"


def use_of(having: Mind, coming: Next, asked: Question) -> Iterator[str]:
    """Which causes a question would tell apart."""
    if asked.name == STORY or asked.name in OPENING:
        yield "It is asked of everyone: it decides what must be done at once."
        return
    if asked.name == FIRST_BODY:
        yield "It puts what was done before in order: what comes after cannot be the cause."
        return
    names = _asked_about(having, asked)
    about = [check for check in coming.checks if check.name in names]
    if not about:
        yield "You asked for this question again; your new answer takes the place of the old one."
        return
    for check in sorted(about, key=lambda c: -c.gain_bits)[:2]:
        if check.name != asked.name:
            yield having.rulebook.vocabulary[check.name].asks
        yield from _outcomes(having, check)


def _asked_about(having: Mind, asked: Question) -> frozenset[str]:
    """The observations that a question is about."""
    if asked.name.startswith(TOGETHER):
        return frozenset(name for name, _ in asked.choices)
    if asked.name.startswith(EQUIPMENT):
        needs = asked.name.removeprefix(EQUIPMENT)
        return frozenset(n for n, t in having.rulebook.vocabulary.items() if t.needs == needs)
    return frozenset({asked.name})


def _outcomes(having: Mind, check: Check) -> Iterator[str]:
    term = having.rulebook.vocabulary[check.name]
    for prospect in check.prospects:
        if prospect.chance < LEAST_CHANCE:
            continue
        words = {"present": "yes", "absent": "no"} if term.kind == "sign" else {}
        answer = words.get(str(prospect.answer)) or value_text(term, prospect.answer, "metric")
        title = having.rulebook.causes[prospect.first].title
        yield f"If {answer}: first would be {title} ({percent(prospect.belief)})."


def what_if(talk: Talk, seen: View) -> None:
    """Lets the keeper change any one thing and see the ranking move. Nothing of it is kept."""
    voice, having = talk.voice, talk.having
    coming = next_question(having, view(having, seen.session))
    names = [g.question for g in seen.session.given if g.question not in (STORY,)]
    names += [c.name for c in coming.checks[:6] if c.name not in names]
    while True:
        voice.say("", 0, "")
        voice.say("What if one thing were otherwise? Its number, or Enter to go on.", 0, STRONG)
        for place, name in enumerate(names, start=1):
            voice.say(f"{place}  {question(name, having.rulebook, having.asking).asks}", 2, "")
        typed = clean(voice.ask("what_if", (), ())).lower()[:LONGEST_ANSWER]
        if typed in ("", "no", "none", "n", "not sure", "enough", "done", "pause", "quit"):
            return
        if not typed.isdigit() or not 1 <= int(typed) <= len(names):
            voice.say(f"Type a number from 1 to {len(names)}, or just Enter.", 2, WARNING)
            continue
        asked = question(names[int(typed) - 1], having.rulebook, having.asking)
        _put(voice, asked)
        reply = read_reply(
            voice.ask("what_if_answer", _completions(asked), _several(asked)),
            asked,
            having.rulebook.vocabulary,
            seen.session.told(),
        )
        if isinstance(reply, Answered | NotSure):
            tells = reply.tells if isinstance(reply, Answered) else ()
            try:
                then = view(having, give(seen.session, Given(asked.name, tells, reply.said)))
            except ValueError as error:
                voice.say(f"That cannot be: {first_line(error)}", 2, WARNING)
                continue
            show_standing(talk, then, seen.thought.beliefs)
        elif isinstance(reply, Unclear):
            voice.say(reply.sentence, 2, WARNING)
