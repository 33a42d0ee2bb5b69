"""Keepers' words against the names the program knows: the same but for spelling, or the nearest in
meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

#: Words that carry no meaning of their own in a question or a name.
_IDLE_WORDS = """
    a an and any are as at be been by did do does for from had has have how in is it its many more
    much near of off on one or out over since some than that the their them there they this to under
    was water were what when where which with you your
"""
_IDLE = frozenset(_IDLE_WORDS.split())
#: Words that never change which thing is meant; `in`, `over` and `not` do.
_FILLER_WORDS = """
    a an are been got had has have is it its my our some that the their them they was were
"""
_FILLERS = frozenset(_FILLER_WORDS.split())
_ENDINGS = ("ings", "ing", "ers", "ies", "ed", "es", "er", "s", "e")
_SHORTEST_STEM = 3
#: From this likeness of letters two words are one word misspelt.
SAME_WORD = 0.8
#: Below this nothing is near enough to be offered.
NEAR_ENOUGH = 0.3
#: A hit in the text of a question says less than one in a name.
TEXT_COUNTS = 0.6
#: How far behind the best an offer may be, and how many offers help.
CLOSE_TO_BEST, OFFERED = 0.7, 3


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a name stands for: what else it is called, and the text that explains it."""

    called: tuple[str, ...] = ()
    text: str = ""


def folded(words: str) -> str:
    """The words without regard to case, hyphens, underscores and points."""
    return " ".join(re.sub(r"[-_.,'`/]", " ", words.lower()).split())


def known_as(names: Mapping[str, Iterable[str]]) -> dict[str, str]:
    """Every folded spelling of these names and of what else they are called, with the name."""
    found = {folded(other): name for name, called in names.items() for other in called}
    return found | {folded(name): name for name in names}


def meant_by(said: str, known: Mapping[str, str]) -> str | None:
    """The name meant, of `known_as`: as spelt, else the only one said in the same words, whatever
    their order, endings and fillers: `lying on their side`.
    """
    plain = folded(said)
    if plain in known:
        return known[plain]
    words = _words_said(plain)
    same = {name for other, name in known.items() if words and _words_said(other) == words}
    return same.pop() if len(same) == 1 else None


def _words_said(plain: str) -> frozenset[str]:
    return frozenset(_stem(word) for word in plain.split() if word not in _FILLERS)


def nearest(said: str, meanings: Mapping[str, Meaning]) -> list[str]:
    """The names nearest in meaning to what was said, best first; none if nothing is near."""
    scored = sorted((-_nearness(said, name, meaning), name) for name, meaning in meanings.items())
    best = -scored[0][0] if scored else 0.0
    least = max(NEAR_ENOUGH, CLOSE_TO_BEST * best)
    return [name for score, name in scored[:OFFERED] if -score >= least]


def _nearness(said: str, name: str, meaning: Meaning) -> float:
    """From 0 to 1: alike in letters, or in the words of a name or of the text."""
    plain, stems = folded(said), _stems(said)
    names = [folded(other) for other in (name, *meaning.called)]
    letters = max(_likeness(plain, other) for other in names)
    words = max(_shared(stems, _stems(other)) for other in names)
    in_text = 0.0
    if stems and meaning.text:
        text = _stems(meaning.text)
        in_text = TEXT_COUNTS * sum(stem in text for stem in stems) / len(stems)
    return max(letters if letters >= SAME_WORD else 0.0, words, in_text)


def _likeness(one: str, other: str) -> float:
    from difflib import SequenceMatcher  # slow to import, and most files need no hint

    matcher = SequenceMatcher(a=one, b=other)
    return 0.0 if matcher.quick_ratio() < SAME_WORD else matcher.ratio()


def _shared(said: frozenset[str], other: frozenset[str]) -> float:
    if not said or not other:
        return 0.0
    met = sum(any(word == w or _likeness(word, w) >= SAME_WORD for w in other) for word in said)
    return met / max(len(said), len(other), 1)


def _stems(words: str) -> frozenset[str]:
    return frozenset(
        _stem(word) for word in re.findall(r"[a-z0-9]+", folded(words)) if word not in _IDLE
    )


def _stem(word: str) -> str:
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= _SHORTEST_STEM:
            return word[: -len(ending)]
    return word
