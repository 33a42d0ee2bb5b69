"""Practice on a screen: tells the case, takes what is typed, and says what came of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from diagnose.belief.next_checks import SETTING_OUT_MINUTES
from diagnose.dialogue.expected_information import LookAhead
from diagnose.practice.exercise import Exercise, answer_text, askable_names
from diagnose.practice.feedback import Feedback, feedback
from diagnose.practice.paths import most_telling
from diagnose.practice.play import Play, look
from diagnose.reasons.search import observations_about, page_called, search
from diagnose.reasons.text import WIDTH, wrap
from diagnose.reasons.worked import count
from diagnose.report.wording import number, percent
from diagnose.rulebook.terms import Rulebook, Term

#: Questions offered for some words.
MOST_OFFERED = 8
LONGEST_LINE = 200
#: What a hint costs: as much as a look that needs a test (convention of this game).
HINT_MINUTES = 5.0
SECOND_TRY = (
    "Look on if you like, and name it once more: the mean of both scores counts. `leave` shows "
    "what it was."
)
ORIGINS = {"worked": "a worked case", "invented": "made up from the rulebook"}
HOW_TO = (
    "Type a word for what you want to find out (smell, ammonia, moult), then the number of a "
    "question. `known` shows what you have, `causes` the names to choose from, `name CAUSE` says "
    "what it was; several share 100 %, as in `name old-age 60, overheating 30`, and the rest is "
    "something else. `hint` says what to look at and costs minutes, `help` says this again, "
    "`leave` stops. A wrong name may be mended once."
)
_NAMED = re.compile(r"(?P<cause>.+?)(?:[\s,]+(?P<sure>\d{1,3}(?:\.\d+)?)\s*%?)?")
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
    """One exercise from story to feedback; None when the learner leaves before naming a cause.

    Who names a wrong cause may look on and name once more; the mean of both scores counts.
    """
    _tell(exercise, voice)
    found = _play(rulebook, look_ahead, Play(exercise), voice)
    if found is None:
        return None
    result = feedback(rulebook, look_ahead, *found)
    if not result.is_right:
        say_all(voice, f"`{result.named}` it was not, or not in the main. {SECOND_TRY}")
        again = _play(rulebook, look_ahead, found[0], voice)
        if again is not None:
            found, first = again, result.score
            result = feedback(rulebook, look_ahead, *found)
            result = replace(result, score=0.5 * (first + result.score))
    show_feedback(rulebook, found[0], result, voice)
    return found[0], result


def _tell(exercise: Exercise, voice: Voice) -> None:
    """The story, as it was told, and how to go on."""
    voice.say(f"{exercise.title}  (level {exercise.level}, {ORIGINS[exercise.origin]})"[:WIDTH])
    for paragraph in exercise.story.splitlines():
        mark = "- " if paragraph.startswith("- ") else ""
        say_all(voice, paragraph.removeprefix("- "), mark)
    voice.say("")
    say_all(voice, HOW_TO)


def _play(
    rulebook: Rulebook, look_ahead: LookAhead, play: Play, voice: Voice
) -> tuple[Play, dict[str, float]] | None:
    """Looks on until causes are named, or None where the learner leaves."""
    offered: tuple[str, ...] = ()
    while True:
        try:
            typed = " ".join(voice.ask(f"[{number(play.minutes)} min] ").split())
        except EOFError:
            return None
        if len(typed) > LONGEST_LINE:
            voice.say("That is a long line; a word or two will do.")
        elif not typed:
            continue
        elif typed.lower() in ("leave", "quit", "exit"):
            return None
        elif typed.lower() in ("help", "?"):
            say_all(voice, HOW_TO)
        elif typed.lower() == "hint":
            play, offered = _hint(rulebook, look_ahead, play, voice)
        elif typed.lower() == "known":
            _say_known(rulebook, play, voice)
        elif typed.lower() == "causes":
            say_all(voice, ", ".join(rulebook.causes))
        elif typed.lower().startswith("name "):
            choice = _choice(rulebook, typed[5:], voice)
            if choice is not None:
                return play, choice
        elif typed.isdigit():
            play = _look(rulebook, play, offered, int(typed), voice)
        else:
            offered = _offer(rulebook, play, typed, voice)


def _choice(rulebook: Rulebook, typed: str, voice: Voice) -> dict[str, float] | None:
    """The shares that were typed, asked for where one cause stands alone; None where unclear."""
    shares: dict[str, float] = {}
    for part in typed.split(","):
        named = _NAMED.fullmatch(part.strip())
        cause = _cause(rulebook, named["cause"] if named else part, voice)
        if cause is None:
            return None
        sure = named["sure"] if named else None
        if sure is None and "," in typed:
            say_all(voice, f"Say a share for each, as in `name {cause} 60, old-age 30`.")
            return None
        share = _share(sure, voice)
        if share is None:
            return None
        shares[cause] = shares.get(cause, 0.0) + share
    if sum(shares.values()) > 1.0 + 1e-9:
        say_all(voice, "These shares come to more than 100 %. What you leave is `something else`.")
        return None
    return shares


def _cause(rulebook: Rulebook, typed: str, voice: Voice) -> str | None:
    cause = page_called(rulebook, typed)
    if cause is not None and cause in rulebook.causes:
        return cause
    near = [h.id for h in search(rulebook, typed) if h.id in rulebook.causes][:4]
    hint = f"Did you mean {', '.join(near)}?" if near else "`causes` shows all names."
    say_all(voice, f"No cause is called `{typed}`. {hint}")
    return None


def _share(sure: str | None, voice: Voice) -> float | None:
    while True:
        if sure is None:
            try:
                sure = voice.ask("How sure are you, from 0 to 100 %? ").strip()
            except EOFError:
                return None
        found = _SURE.fullmatch(sure)
        if found is not None and float(found[1]) <= 100.0:
            return float(found[1]) / 100.0
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


def _hint(
    rulebook: Rulebook, look_ahead: LookAhead, play: Play, voice: Voice
) -> tuple[Play, tuple[str, ...]]:
    """The question that tells most of those that can be answered, for the minutes of a hint."""
    known = set(play.known) | set(play.looked)
    names = [n for n in askable_names(rulebook, play.exercise, known) if n in play.exercise.hidden]
    name = most_telling(look_ahead, play, names)
    if name is None:
        voice.say("There is nothing left to look at: name the cause.")
        return play, ()
    after = replace(play, minutes=play.minutes + HINT_MINUTES)
    term = rulebook.vocabulary[name]
    say_all(voice, f"{term.asks} ({number(cost_minutes(term))} min)", " 1  ")
    return after, (name,)


def _look(
    rulebook: Rulebook, play: Play, offered: tuple[str, ...], place: int, voice: Voice
) -> Play:
    if not 1 <= place <= len(offered):
        voice.say("There is no question of that number: type a word first, then its number.")
        return play
    name = offered[place - 1]
    after, found = look(play, rulebook, name)
    if found is None:
        voice.say("    Nobody can say. (0 min)")
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
        f"Score of this answer: {found.score:.2f} (0 is best, 1 worst; naming nothing gives about "
        "0.5). Only the shares you believe score best in the long run.",
    )
    say_all(voice, f"Read more: bowlside reasons {found.cause}")


def _asked(rulebook: Rulebook, exercise: Exercise, name: str) -> tuple[str, str]:
    term = rulebook.vocabulary[name]
    return term.asks, answer_text(term, exercise.hidden[name].value)
