"""What a typed line means as the answer to a question: pure reading, nothing guessed.

A line is an answer, or `not sure`, or one of the session's own words (`back`, `look`, ...), or it
cannot be read, and then a sentence says what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.dialogue.questions import Question
from diagnose.dialogue.spoken_numbers import in_figures
from diagnose.dialogue.state import ALL_PERCENT, nobody_died
from diagnose.intake.moments import WAYS_TO_SAY, Moment, hours_before_asking, read_moment
from diagnose.intake.names import answer_in_vocabulary
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import HOURS, SHARE, read_count, read_quantity
from diagnose.intake.written_readings import canonical_reading
from diagnose.intake.written_text import LONGEST_STORY, STEERING_CODES
from diagnose.rulebook.terms import Term
from diagnose.story.case_content import READINGS
from diagnose.story.facts import DEAD_COUNT, DEAD_OF, EVENT_AT, FIRST_DEATH, SPAN_H, Told
from diagnose.story.slots import in_figures as words_in_figures

LONGEST_ANSWER = 200
#: The session's own words, each with what it does; they work at every question.
WORDS: dict[str, str] = {
    "look": "how to look or measure",
    "what for": "what this question would tell apart",
    "so far": "how the causes stand now, and what you told",
    "back": "take the last answer back",
    "change": "answer an earlier question anew",
    "skip": "no more questions on this topic",
    "enough": "the answer now, with what is known",
    "pause": "stop here; go on later with --resume",
    "help": "these words",
}
#: An own word may have so many words after it, as `change 2`.
WORDS_AFTER = 1
_SPELLINGS = {
    "?": "help",
    "quit": "pause",
    "exit": "pause",
    "stop": "pause",
    "later": "pause",
    "undo": "back",
    "skip topic": "skip",
    "whatfor": "what for",
    "sofar": "so far",
    "answers": "so far",
    "answer": "enough",
    "done": "enough",
}
#: How many letters of one of these words are enough.
LEAST_LETTERS = 3
_NOT_SURE = re.compile(
    r"(?:sorry,? )?(?:i (?:am |'m |really |honestly )*)?(?:idk|dk|dunno|no clue|forgot|pass|"
    r"havent (?:looked|checked)|haven't (?:looked|checked)|not (?:really )?sure|unsure|no idea|"
    r"don'?t know|do not know|"
    r"can'?t (?:say|tell|check|see|measure|remember)|cannot (?:say|tell|check|see|measure|remember)"
    r"|can not (?:say|check)|unknown|-|n/?a)\b.*|-+",
)
_YES = re.compile(r"(?:y|yes|yeah|yep|yup|true|present|some do)(?:[ ,.;:!].*)?")
_NO = re.compile(
    r"(?:n|no|nope|nah|none|not?(?: that i saw| at all)?|false|absent|never)(?:[ ,.;:!].*)?"
)
_OF = re.compile(
    r"(?:about |around |maybe )?(?P<dead>\S+) (?:out )?of (?:about |around )?(?P<of>\S+)"
)
_SINCE = re.compile(r"since (?P<then>.+)")
_BEFORE = re.compile(
    r"(?P<span>.+?) (?P<side>before|earlier)(?: that| it| the first (?:death|body))?"
)
_AS_N = re.compile(
    r"(?P<rest>.+?) ?\(?as (?P<basis>n|nitrogen|no2|no3|nh3|nh4|ion)\)?", re.IGNORECASE
)
_ONLY = re.compile(r"only (?P<rest>.+)|(?P<rest_>.+?),? (?:and )?(?:only|nothing else|no more)")
_AT_ONCE_H, _OVERNIGHT_H = 1.0, 10.0
_SPANS = {
    "at once": _AT_ONCE_H,
    "all at once": _AT_ONCE_H,
    "an hour": 1.0,
    "minutes": 1.0,
    "overnight": _OVERNIGHT_H,
    "over night": _OVERNIGHT_H,
    "one night": _OVERNIGHT_H,
    "a night": _OVERNIGHT_H,
    "one day": 24.0,
    "a day": 24.0,
    "a week": 168.0,
    "a month": 730.5,
    "just one": 0.0,
    "only one": 0.0,
}


@dataclass(frozen=True, slots=True)
class Answered:
    """What the line tells, by name, and the words it was given in."""

    tells: tuple[tuple[str, Told], ...]
    said: str


@dataclass(frozen=True, slots=True)
class NotSure:
    """The keeper cannot say or cannot check."""

    said: str


@dataclass(frozen=True, slots=True)
class Word:
    """One of the session's own words, and what was typed after it."""

    word: str
    rest: str


@dataclass(frozen=True, slots=True)
class Unclear:
    """The line cannot be read; a sentence says what would be right."""

    sentence: str


Reply = Answered | NotSure | Word | Unclear


def clean(text: str) -> str:
    """Typed text without codes that steer a screen, and with single blanks."""
    text = text.encode("utf-8", "replace").decode("utf-8")
    return " ".join(STEERING_CODES.sub(" ", text).split())


def read_reply(
    typed: str,
    asked: Question,
    vocabulary: Mapping[str, Term],
    told: Mapping[str, Told],
) -> Reply:
    """What a typed line means as an answer to `asked`.

    told: what is known of the deaths already, to tell `ago` from `before`.
    """
    text = clean(typed)
    limit = LONGEST_STORY if asked.kind == "story" else LONGEST_ANSWER
    if len(text) > limit:
        return Unclear(
            f"That is {len(text)} characters, too long for an answer here. "
            f"A few words will do: {asked.hint}."
        )
    said = as_typed(text.lower()) if asked.kind in _AMOUNTS else text.lower()
    if asked.kind == "story":
        word = own_word(said)
        return word if word is not None else Answered((), text)
    if not said:
        return Unclear(f"Type an answer ({asked.hint}), or `help`.")
    try:
        found = _READ[asked.kind](said, asked, vocabulary, told)
    except Unreadable as error:
        return own_word(said) or _not_sure(said) or Unclear(_sentence(error, asked))
    if found is not None:
        return Answered(found, text)
    return own_word(said) or _not_sure(said) or Unclear(f"That is no answer here: {asked.hint}.")


#: Questions that are answered by a number or a time.
_AMOUNTS = ("number", "over", "moment", "time", "dead")
_HEDGE = re.compile(
    r"[,.]? (?:i infer|i guess|i believe|i suppose|probably|perhaps|maybe|give or take|more or less"
    r"|if i remember(?: right)?|as far as i know)[.!]*$"
)
_LEAD = re.compile(r"^(?:i infer|i guess|probably|maybe|perhaps|it was|that was|well|um+|er+),? ")
_CLOCK = re.compile(r"\b(\d{1,2})(?:[:.](\d{2}))? ?(am|pm)\b")
_SHORT_UNITS = ((r"\b(hrs?)\b", "hours"), (r"\b(mins)\b", "minutes"), (r"\b(wks?)\b", "weeks"),
                (r"\b(mths?|mos)\b", "months"), (r"\b(yrs?)\b", "years"))  # fmt: skip


def as_typed(said: str) -> str:
    """An amount or a time without what people say around it: `about 2 hrs i infer`, `9pm`."""
    said = _LEAD.sub("", _HEDGE.sub("", said.strip().rstrip("!")))
    for pattern, unit in _SHORT_UNITS:
        said = re.sub(pattern, unit, said)
    if re.search(r"\b(?:hours|minutes|days|weeks|months|years)\b", said):
        said = words_in_figures(said)
    clock = _CLOCK.search(said)
    if clock is None:
        return said
    hour = int(clock[1]) % 12 + (12 if clock[3] == "pm" else 0)
    time = f"{hour:02d}:{clock[2] or '00'}"
    said = _CLOCK.sub(time, said).removeprefix("at ").removeprefix("around ").removeprefix("about ")
    return f"today at {time}" if said.strip() == time else said


def own_word(said: str) -> Word | None:
    """The session's own word that a line begins with, whole or its first three letters or more; a
    line that goes on (`help, all are dead`) is no such word.
    """
    if said in _SPELLINGS:
        return Word(_SPELLINGS[said], "")
    first, _, rest = said.partition(" ")
    for word in WORDS:
        if said == word:
            return Word(word, "")
        if " " not in word and first == word and len(rest.split()) <= WORDS_AFTER:
            return Word(word, rest)
    short = [word for word in WORDS if len(said) >= LEAST_LETTERS and word.startswith(said)]
    return Word(short[0], "") if len(short) == 1 else None


def _not_sure(said: str) -> NotSure | None:
    return NotSure(said) if _NOT_SURE.fullmatch(said) else None


def _sentence(error: Unreadable, asked: Question) -> str:
    text = f"{error.problem} {error.hint}".strip()
    return text[0].upper() + text[1:] if text else f"That is no answer here: {asked.hint}."


Tells = tuple[tuple[str, Told], ...]


def _yes_no(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if _NOT_SURE.fullmatch(said):
        return None
    yes, no = bool(_YES.fullmatch(said)), bool(_NO.fullmatch(said))
    if yes == no:
        return None
    if asked.name in vocabulary:
        return ((asked.name, "present" if yes else "absent"),)
    return ((asked.name, yes),)


def _choice(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    found = one_choice(said, asked.choices)
    return None if found is None else ((asked.name, found),)


def one_choice(said: str, choices: tuple[tuple[str, str], ...]) -> str | None:
    """The choice meant by its number, its word or its first letters; None if none is.

    Raises Unreadable when the letters fit several.
    """
    if said.rstrip(".)").isdigit():
        place = int(said.rstrip(".)"))
        if 1 <= place <= len(choices):
            return choices[place - 1][0]
        raise Unreadable(f"There is no choice {place}.", f"Choose 1 to {len(choices)}.")
    whole = said.replace(" ", "_")
    for key, text in choices:
        if said in (key, text.lower()) or whole == key:
            return key
    near = [
        key
        for key, text in choices
        if text.lower().startswith(said) or key.replace("_", " ").startswith(said)
    ]
    if len(near) > 1:
        known = dict(choices)
        raise Unreadable(
            f"`{said}` could be {' or '.join(f'`{known[key]}`' for key in near)}.",
            "Type more letters, or the number.",
        )
    return near[0] if near else None


def _several(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if said in ("none", "none of these", "none of them", "no", "nope", "nah", "nothing", "0"):
        return tuple((key, "absent") for key, _ in asked.choices)
    if _NOT_SURE.fullmatch(said):
        return None
    alone = _ONLY.fullmatch(said)
    named = said if alone is None else alone["rest"] or alone["rest_"]
    rest, _, denied = named.partition("not ")
    chosen, absent = _choices(rest, asked.choices), _choices(denied, asked.choices)
    if chosen is None or absent is None or not chosen | absent:
        return None
    if chosen & absent:
        raise Unreadable("One choice is both there and not there.", "Name each once.")
    if alone is not None:
        absent = {key for key, _ in asked.choices} - chosen
    return tuple(
        (key, "present" if key in chosen else "absent")
        for key, _ in asked.choices
        if key in chosen | absent
    )


def _choices(said: str, choices: tuple[tuple[str, str], ...]) -> set[str] | None:
    """The choices named by numbers, or by words with commas between; None if one is no choice."""
    if re.fullmatch(r"[\d\s,;.&+]*", said):
        parts = re.findall(r"\d+", said)
    else:
        parts = [part.strip() for part in re.split(r"[,;]| and ", said) if part.strip()]
    found = {one_choice(part, choices) for part in parts}
    return None if None in found else {key for key in found if key is not None}


def _number(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if _NOT_SURE.fullmatch(said):
        return None
    term = vocabulary[asked.name]
    if asked.name in READINGS:
        shown = _reading(said, asked.name)
        low, high = term.possible or (shown, shown)
        if not low <= shown <= high:
            raise Unreadable(
                f"`{said}` is beyond what can be.",
                f"It lies between {low:g} and {high:g} {asked.unit}".rstrip() + ".",
            )
        return ((asked.name, shown),)
    if term.unit == "%":
        share = _share_of(said)
        if share is not None:
            return ((asked.name, share),)
    if term.unit == "per week":
        return ((asked.name, _times_a_week(said, asked.name, term)),)
    value = answer_in_vocabulary(asked.name, said, term)
    return ((asked.name, float(value)),)


def _times_a_week(said: str, name: str, term: Term) -> float:
    from diagnose.intake.amounts import read_often

    plain = said.removesuffix(" times a week").removesuffix(" a week").strip()
    try:
        return float(answer_in_vocabulary(name, plain, term))
    except Unreadable:
        return read_often(said)


def _reading(said: str, name: str) -> float:
    """A measurement as the kit shows it, in the vocabulary's unit and basis."""
    what, _, _ = READINGS[name]
    written: dict[str, object] = {"what": what, "value": said}
    basis = _AS_N.fullmatch(said)
    if basis is not None and name in ("tan_mg_l", "nitrite_mg_l", "nitrate_mg_l"):
        nitrogen = basis["basis"] in ("n", "nitrogen")
        written["value"] = basis["rest"]
        written["as"] = (
            ("total-N" if nitrogen else "total-NH4" if basis["basis"] == "nh4" else "total-NH3")
            if name == "tan_mg_l"
            else ("N" if nitrogen else "ion")
        )
    return float(canonical_reading(written, "metric")["value"])


def _count(said: str) -> int:
    return read_count(in_figures(said))


def _share_of(said: str) -> float | None:
    of = _OF.fullmatch(said)
    if of is None:
        return None
    dead, all_of = _count(of["dead"]), _count(of["of"])
    if all_of == 0 or dead > all_of:
        raise Unreadable(f"`{said}` cannot be.", "Write it as `3 of 12`.")
    return ALL_PERCENT * dead / all_of


def _dead(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if _NOT_SURE.fullmatch(said):
        return None
    if said in ("none", "no", "nobody", "0", "zero", "none yet", "nothing"):
        return ((DEAD_COUNT, 0), ("death_shape", "none"))
    if said in ("all", "all of them", "everything", "everyone", "every one", "100 %", "100%"):
        return (("deaths_share", ALL_PERCENT),)
    of = _OF.fullmatch(said)
    if of is not None and of["of"] not in ("them", "the"):
        dead, all_of = _count(of["dead"]), _count(of["of"])
        if dead > all_of or all_of == 0:
            raise Unreadable(f"{dead} dead of {all_of} cannot be.", "The second number is of all.")
        if dead == 0:
            return ((DEAD_COUNT, 0), (DEAD_OF, all_of), ("death_shape", "none"))
        return ((DEAD_COUNT, dead), (DEAD_OF, all_of))
    said = said.removesuffix(" of them").removesuffix(" so far").removesuffix(" dead").strip()
    said = said.removesuffix(" shrimp").strip()
    try:
        return ((DEAD_COUNT, _count(said)),)
    except Unreadable:
        share = read_quantity(said.removeprefix("about "), SHARE)
        return (("deaths_share", share),)


def _over(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if _NOT_SURE.fullmatch(said):
        return None
    since = _SINCE.fullmatch(said)
    plain = re.sub(r"^(?:within|over|in|about|around|for) ", "", said)
    if since is not None:
        return ((FIRST_DEATH, _moment_text(since["then"])), ("deaths_go_on", "present"))
    if plain in _SPANS:
        return ((SPAN_H, _SPANS[plain]),)
    try:
        return ((SPAN_H, read_quantity(plain, HOURS)),)
    except Unreadable:
        pass
    try:
        return ((FIRST_DEATH, _moment_text(said)),)
    except Unreadable:
        raise Unreadable(
            f"`{said}` is no span of time.", "Write `2 days`, `overnight` or `since yesterday`."
        ) from None


def _moment(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    if _NOT_SURE.fullmatch(said):
        return None
    return ((FIRST_DEATH, _moment_text(said.removeprefix("since "))),)


def _moment_text(said: str) -> str:
    moment = read_moment(said)
    if moment.kind in ("from_first_death", "beside_deaths", "long_before"):
        raise Unreadable("This asks for the first death itself.", WAYS_TO_SAY)
    return moment.text


def _time(
    said: str, asked: Question, vocabulary: Mapping[str, Term], told: Mapping[str, Told]
) -> Tells | None:
    """When an event was: counted to the first death, or ago."""
    if _NOT_SURE.fullmatch(said):
        return None
    event = vocabulary[asked.name].event
    before = _BEFORE.fullmatch(said)
    if before is not None:
        said = f"{before['span']} before the first death"
    try:
        moment = read_moment(said)
    except Unreadable:
        hours = read_quantity(said, HOURS)
        tail = "ago" if nobody_died(told) else "before the first death"
        moment = read_moment(f"{hours!r} h {tail}")
    return ((f"{EVENT_AT}{event}", moment.text),)


def needs_first_body(text: str) -> bool:
    """Whether a time of an event can only be placed once the first body is."""
    return read_moment(text).kind not in ("from_first_death", "beside_deaths", "long_before")


def as_date(text: str, *, now_hours_later: float, started: Moment) -> str:
    """A time told `ago` long after the session began, as a date, so that it keeps its meaning."""
    moment = read_moment(text)
    if moment.kind not in ("before_asking", "day_before_asking") or started.at is None:
        return text
    from datetime import timedelta

    now = started.at + timedelta(hours=now_hours_later)
    hours = hours_before_asking(moment, asked_at=now, first_death=None)
    assert hours is not None
    return f"{now - timedelta(hours=hours):%Y-%m-%d %H:%M}"


_READ = {
    "yes_no": _yes_no,
    "choice": _choice,
    "several": _several,
    "number": _number,
    "dead": _dead,
    "over": _over,
    "moment": _moment,
    "time": _time,
}
