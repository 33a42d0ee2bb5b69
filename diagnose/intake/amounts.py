"""Food and how often it is given, as keepers say it: `two small pellets`, `a pinch`, `5 a day`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal

from diagnose.intake.moments import HOURS_PER, SMALL_NUMBERS
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import INTERVAL, MASS, read_quantity

HOURS_PER_WEEK, DAYS_PER_WEEK = 168.0, 7.0
_HOW_MANY = {
    **SMALL_NUMBERS,
    "half": 0.5,
    "twelve": 12.0,
    "a dozen": 12.0,
    "some": 3.0,
    "several": 5.0,
    "a couple": 2.0,
}
# Patterns are kept as text: `re` compiles one when it is first needed, and most never are.
_PIECES = (
    r"(?:(?:about|around|roughly|ca\.?|~)\s*)?"
    r"(?:(?P<number>\d+(?:[.,]\d+)?|\d+\s*/\s*\d+)|(?P<word>"
    + "|".join(sorted((re.escape(word) for word in _HOW_MANY), key=len, reverse=True))
    + r"))\s+(?:(?P<size>small|tiny|big|large|level|heaped)\s+)?(?P<of>[a-z][a-z -]{0,40})"
)
_MASS = r"(?:about |~ ?|ca\.? ?)?\d+(?:[.,]\d+)?\s*(?:mg|g|grams?|ug|µg)"
_OFTEN = (
    r"(?:(?P<times>\d+(?:[.,]\d+)?|once|twice|[a-z]+)(?: times| x|x)?) "
    r"(?:a|an|per|every|each|/) ?(?P<unit>day|week|fortnight|month)"
)
_EVERY = r"every (?:(?P<number>\d+|[a-z]+) )?(?P<unit>hour|day|week|month)s?"
_OFTEN_WORDS = {
    "daily": 7.0,
    "every day": 7.0,
    "every other day": 3.5,
    "every second day": 3.5,
    "every other week": 0.5,
    "every second week": 0.5,
    "weekly": 1.0,
    "fortnightly": 0.5,
    "monthly": HOURS_PER_WEEK / HOURS_PER["month"],
    "twice daily": 14.0,
    "never": 0.0,
}
HOW_TO_SAY_OFTEN = "Write `5 a day`, `daily`, `every 2 days` or `3 a week`."

Much = Literal["none", "little", "enough", "too_much"]
#: Food told by a word alone.
_MUCH_SPELLINGS: tuple[tuple[Much, str], ...] = (
    ("none", "none|nothing|no food|not fed"),
    ("little", "little|a little|very little|a bit|sparing|sparingly|small|hardly any|too little"),
    ("enough", "enough|normal|the usual|usual|moderate|as always|as usual|some"),
    ("too_much", "too much|a lot|much|plenty|far too much|lots|more than usual"),
)
_MUCH = {word: much for much, words in _MUCH_SPELLINGS for word in words.split("|")}

AMOUNT_SCHEMA: dict[str, Any] = {
    "type": ["string", "number"],
    "description": "How much, as you would say it. A bare number is in milligrams.",
    "examples": ["two pellets", "30 mg", "a pinch"],
}
OFTEN_SCHEMA: dict[str, Any] = {
    "type": ["string", "number"],
    "description": "How often. A bare number is times a week.",
    "examples": ["5 a day", "every 2 days", "3 a week"],
}


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of something, as told.

    `mass_mg` if it was weighed; else `number` pieces of `of` (`pellet`, `pinch`), of `size` if one
    was told. What a piece weighs is not decided here. `much`: only a word was told. `text` is
    what was written.
    """

    text: str
    mass_mg: float | None = None
    number: float | None = None
    of: str | None = None
    size: str | None = None
    much: Much | None = None


def read_amount(written: object) -> Amount:
    """An amount as people say it; an Amount passes through. Raises Unreadable."""
    right = "Write `two pellets`, `a pinch` or `30 mg`."
    if isinstance(written, Amount):
        return written
    if isinstance(written, int | float) and not isinstance(written, bool):
        return Amount(f"{written:g} mg", mass_mg=read_quantity(written, MASS))
    if not isinstance(written, str) or not written.strip():
        raise Unreadable(f"`{written}` is not an amount.", right)
    text = " ".join(written.split())
    said = text.lower()
    if re.fullmatch(_MASS, said):
        return Amount(text, mass_mg=read_quantity(text, MASS))
    found = re.fullmatch(_PIECES, said)
    if said in _MUCH:
        return Amount(text, mass_mg=0.0 if _MUCH[said] == "none" else None, much=_MUCH[said])
    if found is None:
        raise Unreadable(f"`{text}` is not an amount this program can read.", right)
    if found["number"] is None:
        number = _HOW_MANY[found["word"]]
    else:
        whole, _, part = found["number"].replace(",", ".").partition("/")
        number = float(whole) / (float(part) if float(part or 1) else 1.0) if part else float(whole)
    of = found["of"].strip().removeprefix("of ").removeprefix("a ").strip()
    return Amount(text, number=number, of=_singular(of), size=found["size"])


def read_every(written: object, units: str) -> float:
    """Days from one time to the next: `7 days`, `a few weeks`, `never`, or `2 a week`, `weekly`.

    units: as for `read_quantity`. Raises Unreadable.
    """
    times = _times_per_week(" ".join(written.lower().split())) if isinstance(written, str) else None
    if times:
        return DAYS_PER_WEEK / times
    said = written.lower().removeprefix("every ") if isinstance(written, str) else written
    try:
        return read_quantity(said, INTERVAL, units)
    except Unreadable as error:
        hint = f"{error.hint} Or write `2 a week`, `monthly`, `rarely`, `never`."
        raise Unreadable(error.problem, hint.strip()) from None


def read_often(written: object) -> float:
    """Times a week. Raises Unreadable."""
    if isinstance(written, bool) or not isinstance(written, int | float | str):
        raise Unreadable(f"`{written}` does not say how often.", HOW_TO_SAY_OFTEN)
    if isinstance(written, str):
        said = " ".join(written.lower().split())
        times = _times_per_week(said)
        if times is None:
            raise Unreadable(f"`{written}` does not say how often.", HOW_TO_SAY_OFTEN)
    else:
        times = float(written)
    if not 0.0 <= times <= 500.0:
        raise Unreadable(f"`{written}` is {times:g} times a week.", HOW_TO_SAY_OFTEN)
    return times


def _times_per_week(said: str) -> float | None:
    if said in _OFTEN_WORDS:
        return _OFTEN_WORDS[said]
    every = re.fullmatch(_EVERY, said)
    if every is not None:
        count = _number(every["number"] or "one")
        return None if not count else HOURS_PER_WEEK / (count * HOURS_PER[every["unit"]])
    often = re.fullmatch(_OFTEN, said)
    if often is None:
        return None
    count = _number(often["times"])
    return None if count is None else count * HOURS_PER_WEEK / HOURS_PER[often["unit"]]


def _number(word: str) -> float | None:
    try:
        return float(word.replace(",", "."))
    except ValueError:
        return {"once": 1.0, "twice": 2.0}.get(word, SMALL_NUMBERS.get(word))


def _singular(word: str) -> str:
    if word.endswith("ches"):
        return word.removesuffix("es")
    return word if word.endswith("ss") else word.removesuffix("s")
