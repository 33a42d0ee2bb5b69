"""Numbers and shares as a keeper says them: with units, metric or US customary, in plain
characters.
"""

from __future__ import annotations

from typing import Literal

Preference = Literal["metric", "us"]

#: Least belief for each word, highest first.
BELIEF_WORDS = (
    (0.80, "very likely"),
    (0.55, "likely"),
    (0.30, "quite possible"),
    (0.12, "possible"),
    (0.0, "not likely"),
)
#: Least size in decibans for each word of strength (I. J. Good 1985 calls about 3 slight, 6
#: moderate, 10 strong).
STRENGTH_WORDS = ((9.0, "strong"), (4.5, "clear"), (0.0, "slight"))
PHASE_TITLES = {
    "now": "Do this now",
    "today": "Later today",
    "this_week": "This week",
    "prevent": "So that it does not come back",
}
PLAIN_UNITS = {
    "degC": "C",
    "degC_step": "C",
    "degC/h": "C per hour",
    "pH": "",
    "mg/g/d": "mg per g a day",
}
#: NIST Handbook 44, appendix C (from memory): exact.
LITRES_PER_US_GALLON, ML_PER_US_FLUID_OUNCE = 3.785411784, 29.5735295625


def belief_word(belief: float) -> str:
    """The word for a belief between 0 and 1."""
    return next(word for least, word in BELIEF_WORDS if belief >= least)


def strength_word(decibans: float) -> str:
    """The word for the size of an argument."""
    return next(word for least, word in STRENGTH_WORDS if abs(decibans) >= least)


def percent(share: float) -> str:
    """A share as whole percent; never 0 or 100 unless it is exactly that."""
    whole = round(share * 100)
    if whole == 0 and share > 0:
        return "under 1 %"
    if whole == 100 and share < 1:
        return "over 99 %"
    return f"{whole} %"


def number(value: float) -> str:
    """Three significant digits, no exponent, no idle zeros."""
    if value == 0:
        return "0"
    digits = max(0, 2 - _magnitude(value))
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rounded(value: float, digits: int) -> float:
    """The value to so many significant digits.

    >>> rounded(0.2437, 2), rounded(23.46, 2), rounded(0.0, 2)
    (0.24, 23.0, 0.0)
    """
    return round(value, digits - 1 - _magnitude(value)) if value else 0.0


def _magnitude(value: float) -> int:
    from math import floor, log10

    return floor(log10(abs(value)))


#: A share beyond this is too much by any count, and its figure tells nothing.
MOST_PERCENT = 1000


def quantity(value: float, unit: str, prefer: Preference = "metric") -> str:
    """A value with its unit, as the keeper prefers. Differences of temperature end in `_step`
    units.
    """
    if prefer == "us":
        if unit == "degC":
            return f"{number(fahrenheit(value))} F"
        if unit == "degC/h":
            return f"{number(value * 9 / 5)} F per hour"
        if unit == "degC_step":
            return temperature_step(value, prefer)
        if unit == "mL":
            return f"{number(value / ML_PER_US_FLUID_OUNCE)} US fl oz"
        if unit == "L":
            return f"{number(value / LITRES_PER_US_GALLON)} US gal"
        if unit == "per L":
            return f"{number(value * LITRES_PER_US_GALLON)} per US gal"
    if unit == "%" and value > MOST_PERCENT:
        return f"over {MOST_PERCENT} %"
    return f"{number(value)} {PLAIN_UNITS.get(unit, unit)}".rstrip()


def fahrenheit(celsius: float) -> float:
    """A temperature in F."""
    return celsius * 9 / 5 + 32


def temperature_step(value: float, prefer: Preference = "metric") -> str:
    """A difference of temperatures, in the keeper's degrees."""
    return f"{number(value * 9 / 5)} F" if prefer == "us" else f"{number(value)} C"


def instead_of_guessing(needs: str) -> str:
    """The sentence that says which measurement would replace an estimate."""
    article = "An" if needs[:1] in "aeiou" else "A"
    return f"{article} {needs} would replace the guess."


def plain(text: str) -> str:
    """Text from a case file, made harmless: control characters become a visible blank."""
    return "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in text)
