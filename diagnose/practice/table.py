"""Practice on a screen: tells the case, takes what is typed, and says what came of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from diagnose.belief.next_checks import SETTING_OUT_MINUTES
from diagnose.dialogue.expected_information import LookAhead
from diagnose.practice.exercise import VAIN_MINUTES, Exercise, answer_text, askable_names
from diagnose.practice.feedback import Feedback, feedback
from diagnose.practice.play import Play, look
from diagnose.reasons.search import observations_about, page_called, search
from diagnose.reasons.text import WIDTH, wrap
from diagnose.reasons.worked import count
from diagnose.report.wording import number, percent
from diagnose.rulebook.terms import Rulebook, Term

#: Questions offered for some words.
MOST_OFFERED = 8
LONGEST_LINE = 200
ORIGINS = {"worked": "a worked case", "invented": "made up from the rulebook"}
HOW_TO = (
    "Type a word for what you want to find out (smell, ammonia, moult), then the number of a "
    "question. `known` shows what you have, `causes` the names to choose from, `name CAUSE` says "
    "what it was, `leave` stops."
)
_NAMED = re.compile(r"name\s+(?P<cause>.+?)(?:[\s,]+(?P<sure>\d{1,3}(?:\.\d+)?)\s*%?)?")
_SURE = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*(?:%|percent)?")


@dataclass(frozen=True, slots=True)
class Voice:
    """ask: shows a prompt and returns the line typed, raising EOFError when nobody is there; say:
    prints one line.
    """

    ask: Callable[[str], str]
    say: Callable[[str], None]


def say_all(voice: Voice, text: str, indent: str = "") -> None:
    """One paragraph, wrapped."""
    rest = " " * len(indent)
    for line in wrap(text, WIDTH, indent, rest) or [""]:
        voice.say(line)


def play_one(
    rulebook: Rulebook, look_ahead: LookAhead, exercise: Exercise, voice: Voice
) -> tuple[Play, Feedback] | None:
    """One exercise from story to feedback; None when the learner leaves before naming a cause."""
    found = _play(rulebook, look_ahead, exercise, voice)
    if found is None:
        return None
    play, named, confidence = found
    result = feedback(rulebook, look_ahead, play, named, confidence)
    show_feedback(rulebook, play, result, voice)
    return play, result


def _play(
    rulebook: Rulebook, look_ahead: LookAhead, exercise: Exercise, voice: Voice
) -> tuple[Play, str, float] | None:
    play = Play(exercise)
    offered: tuple[str, ...] = ()
    voice.say(f"{exercise.title}  (level {exercise.level}, {ORIGINS[exercise.origin]})"[:WIDTH])
    for paragraph in exercise.story.splitlines():
        mark = "- " if paragraph.startswith("- ") else ""
        say_all(voice, paragraph.removeprefix("- "), mark)
    voice.say("")
    say_all(voice, HOW_TO)
    while True:
        try:
            typed = " ".join(voice.ask(f"[{number(play.minutes)} min] ").split())
        except EOFError:
            return None
        if len(typed) > LONGEST_LINE:
            voice.say("That is a long line; a word or two will do.")
        elif not typed:
            continue
        elif typed in ("leave", "quit", "exit"):
            return None
        elif typed == "known":
            _say_known(rulebook, play, voice)
        elif typed == "causes":
            say_all(voice, ", ".join(rulebook.causes))
        elif (named := _NAMED.fullmatch(typed)) is not None:
            choice = _choice(rulebook, named, voice)
            if choice is not None:
                return play, *choice
        elif typed.isdigit():
            play = _look(rulebook, play, offered, int(typed), voice)
        else:
            offered = _offer(rulebook, play, typed, voice)


def _choice(rulebook: Rulebook, named: re.Match[str], voice: Voice) -> tuple[str, float] | None:
    """The cause and the confidence that were typed, asked for where one is missing."""
    cause = page_called(rulebook, named["cause"])
    if cause is None or cause not in rulebook.causes:
        near = [h.id for h in search(rulebook, named["cause"]) if h.id in rulebook.causes][:4]
        hint = f"Did you mean {', '.join(near)}?" if near else "`causes` shows all names."
        say_all(voice, f"No cause is called `{named['cause']}`. {hint}")
        return None
    sure = named["sure"]
    while True:
        if sure is None:
            try:
                sure = voice.ask("How sure are you, from 0 to 100 %? ").strip()
            except EOFError:
                return None
        found = _SURE.fullmatch(sure)
        if found is not None and float(found[1]) <= 100.0:
            return cause, float(found[1]) / 100.0
        voice.say(f"`{sure[:20]}` is no share of a hundred: type a number such as 70.")
        sure = None


def cost_minutes(term: Term) -> float:
    """What asking for an observation costs when there is an answer."""
    return term.minutes + SETTING_OUT_MINUTES


def _offer(rulebook: Rulebook, play: Play, words: str, voice: Voice) -> tuple[str, ...]:
    known = set(play.known) | set(play.looked)
    can_ask = set(askable_names(rulebook, play.exercise, known))
    found = tuple(n for n in observations_about(rulebook, words) if n in can_ask)[:MOST_OFFERED]
    if not found:
        say_all(voice, f"There is no question about `{words}` left to ask. Try another word.")
        return ()
    for place, name in enumerate(found, start=1):
        term = rulebook.vocabulary[name]
        needs = "" if term.needs == "eyes" else f", {term.needs.replace('-', ' ')}"
        say_all(voice, f"{term.asks} ({number(cost_minutes(term))} min{needs})", f"{place:>2}  ")
    return found


def _look(
    rulebook: Rulebook, play: Play, offered: tuple[str, ...], place: int, voice: Voice
) -> Play:
    if not 1 <= place <= len(offered):
        voice.say("There is no question of that number: type a word first, then its number.")
        return play
    name = offered[place - 1]
    after, found = look(play, rulebook, name)
    if found is None:
        voice.say(f"    Nobody can say. ({number(VAIN_MINUTES)} min)")
        return after
    term = rulebook.vocabulary[name]
    say_all(voice, f"{answer_text(term, found.value)}.", "    ")
    return after


def _say_known(rulebook: Rulebook, play: Play, voice: Voice) -> None:
    for name, found in play.known.items():
        term = rulebook.vocabulary[name]
        if not term.derived:
            say_all(voice, f"{term.asks} {answer_text(term, found.value)}.", "- ")


def show_feedback(rulebook: Rulebook, play: Play, found: Feedback, voice: Voice) -> None:
    """Right or not, what would have settled it, a good way there, the score of the answer."""
    title = rulebook.causes[found.cause].title
    voice.say("")
    if found.verdict == "right":
        voice.say(f"Right: {title}."[:WIDTH])
    elif found.verdict == "at work":
        say_all(voice, f"It had a part in it, but the main cause was: {title} ({found.cause}).")
    else:
        say_all(voice, f"No. It was: {title} ({found.cause}).")
    say_all(
        voice,
        f"You took {count(found.minutes, 'minute', 'minutes')}. What you had found made that cause "
        f"{percent(found.believed)} likely.",
    )
    if found.settled is not None:
        name, before, after = found.settled
        asks, said = _asked(rulebook, play.exercise, name)
        say_all(
            voice,
            f"The most telling fact you did not look at: {asks} {said}. It takes the belief from "
            f"{percent(before)} to {percent(after)}.",
        )
    if found.path:
        voice.say("The shortest good way to it:")
        for step in found.path:
            asks, said = _asked(rulebook, play.exercise, step.name)
            say_all(
                voice,
                f"{asks} {said}. ({number(step.minutes)} min; then {step.first}, "
                f"{percent(step.belief)})",
                "- ",
            )
    say_all(
        voice,
        f"Score of this answer: {found.brier:.2f} (Brier: 0 is best, always saying 50 % gives "
        "0.25).",
    )
    say_all(voice, f"Read more: bowlside reasons {found.cause}")


def _asked(rulebook: Rulebook, exercise: Exercise, name: str) -> tuple[str, str]:
    term = rulebook.vocabulary[name]
    return term.asks, answer_text(term, exercise.hidden[name].value)
