"""Whole numbers as people say them: in figures, or in words up to twenty and in tens."""

from __future__ import annotations

from diagnose.intake.moments import SMALL_NUMBERS

NUMBER_WORDS: dict[str, int] = {
    **{w: int(n) for w, n in SMALL_NUMBERS.items() if n == int(n) and " " not in w},
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "hundred": 100,
}


def in_figures(word: str) -> str:
    """A number word as figures; anything else unchanged."""
    return str(NUMBER_WORDS[word]) if word in NUMBER_WORDS else word
