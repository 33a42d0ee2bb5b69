"""A text as sentences and clauses of plain words, each of which knows where it stands in the text.

Case, line breaks, control codes, markup and typographic quotes make no difference. The time is
linear in the length of the text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass

_TOKEN = re.compile(
    r"\d{4}-\d{2}-\d{2}|\d{1,2}:\d{2}|(?:no[23]|nh[34]|co2|h2o2|po4)(?![^\W_])"
    r"|\d+ ?/ ?\d+(?![\d/])|\d+(?:[.,]\d+)*|\.\d+"
    r"|[^\W\d_]+(?:['\u2019\u02bc`][^\W\d_]+)*|\n[ \t\r]*\n\s*|[^\s\w]",
    re.IGNORECASE,
)
_LETTERS_OR_FIGURES = re.compile(r"[^\W_]")
_SENTENCE_ENDS = frozenset(".!?;")
_CLAUSE_ENDS = frozenset(",()[]{}\u2013\u2014|")
#: What some marks are in words.
_MARKS = {"<": "under", ">": "over", "~": "about", "&": "and", "%": "%", "\u00b0": "degrees"}
_HALVES = {"\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4", "\u2153": "1/3"}

#: A word that joins clauses is none after these: `all but two`, `a day or so`.
_NO_JOINTS = frozenset(
    {
        ("or", "so"),
        *((word, "but") for word in ("all", "everything", "everyone", "none", "nothing")),
    }
)


@dataclass(frozen=True, slots=True)
class Word:
    """One word in small letters without apostrophes, and where it stands in the text."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Clause:
    """A row of words without a break. `text` is the words, each after a blank; `at` are the places
    of these blanks; `joint` is the word that opened the clause, or nothing.
    """

    words: tuple[Word, ...]
    text: str
    at: tuple[int, ...]
    joint: str = ""

    def span(self, start: int, end: int) -> tuple[int, int]:
        """The words that lie in a stretch of `text`: the first, and the one after the last."""
        inside = [i for i, at in enumerate(self.at) if start <= at < end]
        return (inside[0], inside[-1] + 1) if inside else (0, 0)


@dataclass(frozen=True, slots=True)
class Sentence:
    """Clauses up to a full stop; `asks` if it ended with a question mark."""

    clauses: tuple[Clause, ...]
    asks: bool


def sentences(
    text: str,
    joints: Collection[str],
    subjects: Collection[str],
    abbreviations: Collection[str],
    spelt: Callable[[str], str],
) -> tuple[Sentence, ...]:
    """The sentences of a text. joints: words that open a new clause; subjects: those that open
    one after `and`. spelt: the word as it is
    spelt right.
    """
    done: list[Sentence] = []
    clauses: list[Clause] = []
    row: list[Word] = []
    outer: list[Word] | None = None
    joint = ""
    before = ""

    def close_clause(opened_by: str = "") -> None:
        nonlocal joint
        if row:
            clauses.append(_clause(row, joint))
            row.clear()
        joint = opened_by

    def close_bracket() -> None:
        """What stood before a bracket goes on after it."""
        nonlocal outer
        close_clause()
        if outer is not None:
            row.extend(outer)
            outer = None

    def close_sentence(asks: bool) -> None:
        close_bracket()
        close_clause()
        if clauses:
            done.append(Sentence(tuple(clauses), asks))
            clauses.clear()

    found = list(_TOKEN.finditer(text))
    for place, match in enumerate(found):
        token = match.group()
        after = found[place + 1].group() if place + 1 < len(found) else ""
        if token.strip() == "" and "\n" in token:
            close_sentence(False)
        elif token in _SENTENCE_ENDS:
            if outer is not None and after in (")", *_SENTENCE_ENDS):
                close_clause()
            elif token != "." or before not in abbreviations:
                close_sentence(token == "?")
        elif token == "(" and outer is None:
            outer = list(row)
            row.clear()
        elif token == ")" and outer is not None:
            close_bracket()
        elif token in _CLAUSE_ENDS:
            close_clause()
        elif token == "-" or token == "\u2013":
            _hyphen(text, match, before, after, row, close_clause)
        elif token == "+":
            if before[:1].isdigit():
                row.append(Word("or", match.start(), match.end()))
                row.append(Word("more", match.start(), match.end()))
        elif token in _MARKS:
            row.append(Word(_MARKS[token], match.start(), match.end()))
        elif token in _HALVES:
            row.append(Word(_HALVES[token], match.start(), match.end()))
        elif _LETTERS_OR_FIGURES.match(token) or token[0] == ".":
            word = re.sub(r"['\u2019\u02bc` ]", "", token.lower())
            word = word if word[0].isdigit() or word[0] == "." else spelt(word)
            opens = word in joints and (before, word) not in _NO_JOINTS
            if opens or (word == "and" and re.sub(r"\W", "", after.lower()) in subjects):
                close_clause(word)
            for part in word.split():
                row.append(Word(part, match.start(), match.end()))
            before = word
            continue
        before = token
    close_sentence(False)
    return tuple(done)


def _hyphen(
    text: str,
    match: re.Match[str],
    before: str,
    after: str,
    row: list[Word],
    close_clause: Callable[[], None],
) -> None:
    """A hyphen between figures is `to`, between words nothing, with blanks around it a break."""
    if before[:1].isdigit() and after[:1].isdigit():
        row.append(Word("to", match.start(), match.end()))
        return
    left = text[match.start() - 1 : match.start()]
    right = text[match.end() : match.end() + 1]
    if not (left.strip() and right.strip()):
        close_clause()


def _clause(row: list[Word], joint: str) -> Clause:
    at, places = 0, []
    for word in row:
        places.append(at)
        at += len(word.text) + 1
    return Clause(tuple(row), "".join(f" {word.text}" for word in row), tuple(places), joint)
