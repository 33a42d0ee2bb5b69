"""Numbers told no closer than an interval: `5-6`, `<0.25`, `about 6`, `a few`, `at least 10`.

A rough number is a plain one, its middle, that also knows the interval it stands for; whoever wants
one number takes it as it is. What the words mean is the convention of this program, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import product
from typing import Any, NamedTuple

#: How far `about` may be off, as a share of the number (convention of this program, no source).
ABOUT_SHARE = 0.15
#: How many animals or units keepers mean by a word: least and most.
COUNT_WORDS: dict[str, tuple[float, float]] = {
    "zero": (0, 0),
    "none": (0, 0),
    "no": (0, 0),
    "half a": (0.5, 0.5),
    "half an": (0.5, 0.5),
    "a single": (1, 1),
    "a": (1, 1),
    "an": (1, 1),
    "one": (1, 1),
    "two": (2, 2),
    "a pair": (2, 2),
    "three": (3, 3),
    "four": (4, 4),
    "five": (5, 5),
    "six": (6, 6),
    "seven": (7, 7),
    "eight": (8, 8),
    "nine": (9, 9),
    "ten": (10, 10),
    "eleven": (11, 11),
    "twelve": (12, 12),
    "fifteen": (15, 15),
    "twenty": (20, 20),
    "thirty": (30, 30),
    "forty": (40, 40),
    "fifty": (50, 50),
    "a hundred": (100, 100),
    "one hundred": (100, 100),
    "a couple": (2, 3),
    "couple": (2, 3),
    "a few": (2, 4),
    "few": (2, 4),
    "quite a few": (4, 10),
    "a handful": (3, 7),
    "some": (2, 6),
    "several": (3, 7),
    "half a dozen": (5, 7),
    "a dozen": (10, 14),
    "dozen": (10, 14),
    "dozens": (24, 90),
    "many": (8, 50),
    "lots": (8, 50),
    "a lot": (8, 50),
    "hundreds": (100, 500),
}
#: How far a plural without a number reaches: `weeks`, `months`.
PLURAL = (2.0, 6.0)

# Patterns are kept as text: `re` compiles one when it is first needed, and most never are.
_FIGURES = r"[+-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:e[+-]?\d+)?"
_WORDS = "|".join(sorted(map(re.escape, COUNT_WORDS), key=len, reverse=True))
_ONE = rf"(?:{_FIGURES}|(?:{_WORDS})(?![a-z]))"
_BELOW = (
    r"(?:<=?|\u2264|under|below|less than|fewer than|lower than|up to|at most|no more than|"
    r"not more than|not over|maximum|max\.?)"
)
_ABOVE = (
    r"(?:>=?|\u2265|well over|over|above|more than|greater than|higher than|at least|no less than|"
    r"not under|minimum|min\.?|upwards of)"
)
_ABOUT = r"(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|~|maybe|perhaps)"
_SIDES = {"nearly": (-1, 0), "almost": (-1, 0), "just under": (-1, 0), "just over": (0, 1)}
_BOUND = rf"(?:(?P<below>{_BELOW})|(?P<above>{_ABOVE})) ?(?:of )?(?P<one>{_ONE})(?P<unit>.*)"
_BOUND_AFTER = (
    rf"(?P<one>{_ONE})(?P<unit>.*?) ?(?:(?P<below>or (?:less|fewer|under)|at most|max\.?)"
    r"|(?P<above>\+|or (?:more|over|higher)|and (?:more|up)|at least|plus))(?P<rest>(?: .*)?)"
)
_RANGE = (
    rf"(?:between |from |{_ABOUT} ?)?(?P<one>{_ONE})(?P<first>[^\d]*?) ?"
    rf"(?:-|\u2013|to|and|or|/) ?(?P<two>{_ONE})(?P<unit>.*)"
)
_NEAR = (
    rf"(?:(?P<about>{_ABOUT})|(?P<side>{'|'.join(_SIDES)})) ?(?P<one>{_ONE})(?: of)?(?P<unit>.*)"
)
_SPELLED = rf"(?P<one>(?:{_WORDS})(?![a-z]))(?: of)?(?P<unit>.*)"


class Rough(float):
    """A number told no closer than from `low` to `high`; as a number it is the middle.

    An infinite end is open, and the number is then the bound that was told. Two are equal when
    their intervals are; one equals a plain number that is its middle.
    """

    __slots__ = ("high", "low")
    low: float
    high: float

    def __new__(cls, low: float, high: float) -> Rough:
        """From its two ends."""
        if math.isinf(low) or math.isinf(high):
            number = super().__new__(cls, high if math.isinf(low) else low)
        else:
            number = super().__new__(cls, 0.5 * (low + high))
        number.low, number.high = low, high
        return number

    def __getnewargs__(self) -> tuple[float, float]:  # type: ignore[override]
        return self.low, self.high

    def __repr__(self) -> str:
        return f"Rough({self.low!r}, {self.high!r})"

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Rough):
            return (self.low, self.high) == (other.low, other.high)
        return float(self) == other

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = float.__hash__


class RoughCount(int):
    """A number of animals told no closer than from `low` to `high`; as a number it is the middle,
    or the bound where the upper end is open (infinite).
    """

    low: float
    high: float

    def __new__(cls, low: float, high: float) -> RoughCount:
        """From its two ends."""
        number = super().__new__(cls, round(low if math.isinf(high) else 0.5 * (low + high)))
        number.low, number.high = low, high
        return number

    def __getnewargs__(self) -> tuple[float, float]:  # type: ignore[override]
        return self.low, self.high

    def __repr__(self) -> str:
        return f"RoughCount({self.low!r}, {self.high!r})"

    def __eq__(self, other: object) -> bool:
        if isinstance(other, RoughCount):
            return (self.low, self.high) == (other.low, other.high)
        return int(self) == other

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = int.__hash__


def rough(low: float, high: float) -> float:
    """The number that lies from `low` to `high`; a plain one where both are the same."""
    return float(low) if low == high else Rough(float(low), float(high))


def rough_count(low: float, high: float) -> int:
    """A number of animals from `low` to `high`; a plain one where both are the same."""
    return int(low) if low == high else RoughCount(low, high)


def sum_of_counts(*counts: int | None) -> int:
    """All of them together, those told: rough where one was told no closer."""
    told = [ends(count) for count in counts if count is not None]
    return rough_count(sum(low for low, _ in told), sum(high for _, high in told))


def ends(number: float) -> tuple[float, float]:
    """The interval a number stands for; a plain one is both of its ends."""
    if isinstance(number, Rough | RoughCount):
        return number.low, number.high
    return float(number), float(number)


def closed(number: float, low: float, high: float) -> float:
    """The number with an open end closed at that bound; one that lies beyond it stays as it is."""
    least, most = ends(number)
    least = min(low, most) if math.isinf(least) else least
    most = max(high, least) if math.isinf(most) else most
    return rough(least, most) if isinstance(number, Rough) else number


def scaled(number: float, factor: float) -> float:
    """The number times a positive factor; an open end stays open."""
    low, high = ends(number)
    return rough(low * factor, high * factor)


def image(function: Callable[..., float], *numbers: float) -> float:
    """What a function that rises or falls steadily in each argument makes of rough numbers: the
    interval of its values at all their ends. An open end is taken at the bound that was told.
    """
    if not any(isinstance(number, Rough | RoughCount) for number in numbers):
        return function(*numbers)
    sides = []
    for number in numbers:
        low, high = ends(number)
        plain = float(number)
        sides.append((plain if math.isinf(low) else low, plain if math.isinf(high) else high))
    values = [function(*corner) for corner in product(*sides)]
    return rough(min(values), max(values))


class Spoken(NamedTuple):
    """What a written number says: from `low` to `high` (an infinite end is open) of a unit.

    about: it is one number with `about` before it, or `nearly` (-1, 0) and `just over` (0, 1):
    how far that reaches hangs on the quantity.
    """

    low: float
    high: float
    unit: str
    about: tuple[int, int] | None = None


def spoken_number(text: str, figures: Callable[[str], float]) -> Spoken | None:
    """What a text with single spaces says of a number; None where it says none.

    figures: reads plain figures, and may refuse those that can be read in two ways.
    """

    def count(word: str) -> tuple[float, float]:
        found = COUNT_WORDS.get(word)
        return found if found is not None else (figures(word), figures(word))

    said = text.lower()
    near = re.fullmatch(_NEAR, said)
    if near is not None and re.fullmatch(_RANGE, said) is None:
        low, high = count(near["one"])
        reach = (-1, 1) if near["about"] else _SIDES[near["side"]]
        return Spoken(low, high, _unit_of(text, near), reach)
    for pattern in (_BOUND, _BOUND_AFTER):
        bound = re.fullmatch(pattern, said)
        if bound is not None:
            low, high = count(bound["one"])
            unit = _unit_of(text, bound)
            if pattern is _BOUND_AFTER and not unit:
                unit = text[bound.start("rest") :].strip()
            if bound["below"]:
                return Spoken(-math.inf, high, unit)
            return Spoken(low, math.inf, unit)
    spread = re.fullmatch(_RANGE, said)
    if spread is not None:
        (low, _), (_, high) = count(spread["one"]), count(spread["two"])
        unit, first = _unit_of(text, spread), spread["first"].strip()
        if first and first != unit.lower():
            return None
        return Spoken(min(low, high), max(low, high), unit) if unit or not first else None
    spelled = re.fullmatch(_SPELLED, said)
    if spelled is not None:
        low, high = count(spelled["one"])
        return Spoken(low, high, _unit_of(text, spelled))
    return None


def _unit_of(text: str, found: re.Match[str]) -> str:
    """The unit in the letters it was written in."""
    return text[found.start("unit") : found.end("unit")].strip() if found["unit"] else ""


def spoken(table: dict[str, Any], written: object) -> Any:
    """What a table of words says to what was written, in any case and spacing; None for nothing."""
    if not isinstance(written, str):
        return None
    said = " ".join(written.lower().replace("_", " ").replace("-", " ").split())
    return table.get(said)


def count_words(count: int) -> str:
    """The number as people say it: `3`, `3 to 7`, `10 or more`."""
    low, high = ends(count)
    if low == high:
        return f"{low:g}"
    return f"{low:g} or more" if math.isinf(high) else f"{low:g} to {high:g}"


def one_of(words: tuple[str, ...]) -> str:
    """The word, or that it is one of several: each counts once."""
    several = tuple(dict.fromkeys(words))
    return several[0] if len(several) == 1 else Either(several)


class Either(str):
    """A word of a choice that was told no closer than "one of these"; as a word it is the first."""

    words: tuple[str, ...]

    def __new__(cls, words: tuple[str, ...]) -> Either:
        """From the words that are open."""
        word = super().__new__(cls, words[0])
        word.words = words
        return word

    def __getnewargs__(self) -> tuple[tuple[str, ...]]:  # type: ignore[override]
        return (self.words,)
