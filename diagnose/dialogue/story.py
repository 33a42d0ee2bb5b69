"""Reads what a keeper's own words plainly say: the phrases of `knowledge/phrases.yaml`, no more.

What is read is a proposal, to be shown back for a yes or a no. A phrase in a question, after `if`
or `should`, or with a word between that turns its sense, is left alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from diagnose.dialogue.asking import read_mapping
from diagnose.dialogue.spoken_numbers import NUMBER_WORDS, in_figures
from diagnose.dialogue.state import DEAD_COUNT, DEAD_OF, EVENT_AT, Told
from diagnose.intake.moments import read_moment
from diagnose.intake.problems import Unreadable
from diagnose.rulebook.terms import Term

FILE = "phrases.yaml"
#: A clause ends here. `and` does not end one: `no film and no smell` is two denials anyway.
_CLAUSES = re.compile(r"[.!?;:,\n]|\bbut\b|\bthough\b|\balthough\b|\bbecause\b|\bso\b|\bwhile\b")
_SENTENCES = re.compile(r"[.!?;\n]+")
_WORD = re.compile(r"[a-z0-9][a-z0-9'%-]*")
_NUMBER = r"(?:\d+|" + "|".join(sorted(NUMBER_WORDS)) + ")"
_SPAN = rf"(?:{_NUMBER}|a few|a couple of|half an?) (?:minute|hour|day|week|month|fortnight)s?"
_AFTER = re.compile(rf"(?P<span>{_SPAN}) (?:after|later|since|from|on)\b")
_AGO = re.compile(
    rf"(?P<ago>{_SPAN} ago|(?:the day before )?yesterday(?: (?:morning|evening|noon|"
    r"afternoon))?|this (?:morning|afternoon|evening)|last night)\b"
)
#: How many words may lie between a phrase and the time that belongs to it.
_GAP_WORDS = 4
_BETWEEN = r"(?: \S+){0,4}?"
_NOT_REACH = 4


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way to say something, the words it is made of, and what it means."""

    pattern: re.Pattern[str]
    words: frozenset[str]
    means: tuple[tuple[str, Told], ...]


@dataclass(frozen=True, slots=True)
class Phrases:
    """All ways of saying things; the words that turn the sense of what follows in their clause, and
    those that leave it open.
    """

    ways: tuple[Phrase, ...]
    turning: frozenset[str]
    opening: frozenset[str]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a stretch of a story means, and its words."""

    tells: tuple[tuple[str, Told], ...]
    words: str


def load_phrases(folders: Iterable[Path], vocabulary: Mapping[str, Term]) -> Phrases:
    """All phrases of the folders. Raises ValueError naming the file and the phrase at fault."""
    found: list[Phrase] = []
    turning: set[str] = set()
    opening: set[str] = set()
    for folder in folders:
        file = folder / FILE
        if not file.is_file():
            continue
        content = read_mapping(file)
        turning.update(map(str, content.get("turn") or ()))
        opening.update(map(str, content.get("open") or ()))
        entries = content.get("phrases") or ()
        for number, entry in enumerate(entries, start=1):
            at = f"{file}: phrases, entry {number}"
            if not isinstance(entry, dict) or set(entry) != {"says", "means"}:
                raise ValueError(f"{at}: write {{says: [...], means: {{name: value}}}}.")
            means = tuple(
                (str(name), _meaning(at, str(name), value, vocabulary))
                for name, value in entry["means"].items()
            )
            for way in map(str, entry["says"]):
                words = frozenset(_WORD.findall(way))
                found.append(Phrase(_compiled(at, way), words, means))
    return Phrases(tuple(found), frozenset(turning), frozenset(opening))


def _meaning(at: str, name: str, value: object, vocabulary: Mapping[str, Term]) -> Told:
    if name in (DEAD_COUNT, DEAD_OF) and value in ("{n}", "{m}"):
        return str(value)
    term = vocabulary.get(name)
    if term is None:
        raise ValueError(f"{at}: `{name}` is not in the vocabulary.")
    if term.kind == "number":
        if isinstance(value, int | float) and not isinstance(value, bool):
            return float(value)
        raise ValueError(f"{at}: `{name}` is a number; `{value}` is none.")
    if str(value) not in term.words:
        raise ValueError(f"{at}: `{name}` can be {', '.join(term.words)}, not `{value}`.")
    return str(value)


def _compiled(at: str, way: str) -> re.Pattern[str]:
    """A way of saying something as a pattern over words with single blanks between."""
    parts: list[str] = []
    for token in way.split():
        if token == "...":
            parts.append(_BETWEEN)
            continue
        optional = token.endswith("?")
        token = token.removesuffix("?")
        if token in ("{n}", "{m}"):
            body = f"(?P<{token[1]}>{_NUMBER})"
        elif re.fullmatch(r"[\w'|*-]+", token):
            body = "|".join(re.escape(word).replace(r"\*", r"\S*") for word in token.split("|"))
            body = f"(?:{body})"
        else:
            raise ValueError(f"{at}: `{token}` is no word of a phrase. See the top of the file.")
        parts.append(f"(?: {body})?" if optional else f" {body}")
    return re.compile("".join(parts) + r"(?= |$)")


def read_story(story: str, phrases: Phrases, vocabulary: Mapping[str, Term]) -> tuple[Reading, ...]:
    """What the story plainly says, each thing once, in the order it is said.

    Two statements about one thing that do not agree are both left out.
    """
    found: list[tuple[int, Reading]] = []
    place = 0
    for sentence, asked in _sentences(story):
        place += 1
        if asked:
            continue
        for clause in _clauses(sentence):
            for phrase in phrases.ways:
                for match in phrase.pattern.finditer(clause):
                    reading = _reading(match, clause, sentence, phrase, phrases, vocabulary)
                    if reading is not None:
                        found.append((place, reading))
                        break
    return _agreeing(found)


def _sentences(story: str) -> list[tuple[str, bool]]:
    """The sentences as bare words, each with whether it asks."""
    text = story.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    found = []
    for match in re.finditer(r"[^.!?;\n]+[.!?;]?", " ".join(text.split())):
        sentence = match.group()
        found.append((sentence, sentence.rstrip().endswith("?")))
    return found


def _bare(text: str) -> str:
    return "".join(f" {word}" for word in _WORD.findall(text.replace("'", "")))


def _clauses(sentence: str) -> list[str]:
    return [bare for part in _CLAUSES.split(sentence) if (bare := _bare(part))]


def _reading(
    match: re.Match[str],
    clause: str,
    sentence: str,
    phrase: Phrase,
    phrases: Phrases,
    vocabulary: Mapping[str, Term],
) -> Reading | None:
    before = clause[: match.start()].split()
    if phrases.opening.intersection(before):
        return None
    if phrases.turning.intersection(match.group().split()) - phrase.words:
        return None
    denied = bool(phrases.turning.intersection(before[-_NOT_REACH:]))
    tells: list[tuple[str, Told]] = []
    for name, value in phrase.means:
        term = vocabulary.get(name)
        if value in ("{n}", "{m}"):
            if denied:
                return None
            tells.append((name, int(in_figures(match[str(value)[1]]))))
        elif denied and (term is None or term.kind != "sign"):
            return None
        elif denied:
            tells.append((name, "absent" if value == "present" else "present"))
        else:
            tells.append((name, value))
    if not denied:
        tells += _times(match, sentence, phrase, vocabulary)
    return Reading(tuple(tells), match.group().strip())


def _times(
    match: re.Match[str], sentence: str, phrase: Phrase, vocabulary: Mapping[str, Term]
) -> list[tuple[str, Told]]:
    """The time told with something done: `two days after ...`, `... yesterday`."""
    events = [
        term.event
        for name, value in phrase.means
        if (term := vocabulary.get(name)) is not None and term.event and value == "present"
    ]
    if not events:
        return []
    bare = _bare(sentence)
    start = bare.find(match.group())
    lead, tail = bare[:start], bare[start + len(match.group()) :]
    after = list(_AFTER.finditer(lead))
    if after and _words_between(lead[after[-1].end() :]) and "after" in after[-1].group():
        return _timed(events, f"{after[-1]['span']} before the first death")
    then = _AGO.search(tail)
    if then is not None and _words_between(tail[: then.start()]):
        return _timed(events, then["ago"])
    earlier = list(_AGO.finditer(lead))
    if earlier and _words_between(lead[earlier[-1].end() :]):
        return _timed(events, earlier[-1]["ago"])
    return []


def _words_between(text: str) -> bool:
    return len(text.split()) <= _GAP_WORDS


def _timed(events: list[str], text: str) -> list[tuple[str, Told]]:
    try:
        moment = read_moment(text)
    except Unreadable:
        return []
    return [(f"{EVENT_AT}{event}", moment.text) for event in events]


def _agreeing(found: list[tuple[int, Reading]]) -> tuple[Reading, ...]:
    values: dict[str, set[Told]] = {}
    for _, reading in found:
        for name, value in reading.tells:
            values.setdefault(name, set()).add(value)
    clashing = {name for name, said in values.items() if len(said) > 1}
    kept: list[Reading] = []
    told: set[str] = set()
    for _, reading in found:
        tells = tuple(
            (name, value)
            for name, value in reading.tells
            if name not in clashing and name not in told
        )
        if tells and not (len(tells) == 1 and tells[0][0].startswith(EVENT_AT)):
            told.update(name for name, _ in tells)
            kept.append(Reading(tells, reading.words))
    return tuple(kept)
