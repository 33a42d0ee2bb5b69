"""Quantities as people write them (`6 L`, `74 F`, `120 ppm`) in the program's own units.

The units people use every day are a table of exact factors, because loading a units library takes
longer than the whole diagnosis. Anything else (`ug/mL`, `mg/dL`, `hl`) goes through pint, with a
small registry that is built from definitions in `rare_units` the first time it is needed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.intake import habit_words
from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import (
    ABOUT_SHARE,
    COUNT_WORDS,
    PLURAL,
    Rough,
    RoughCount,
    Spoken,
    ends,
    rough,
    rough_count,
    spoken,
    spoken_number,
)
from diagnose.water.hardness import MG_L_CACO3_PER

#: Exact by definition (NIST Special Publication 811, appendix B.8, from memory): the US gallon is
#: 231 cubic inches.
LITRES_PER_US_GALLON = 3.785411784
LITRES_PER_IMPERIAL_GALLON = 4.54609
CM_PER_INCH = 2.54
#: Mean Gregorian year / 12.
DAYS_PER_MONTH = 30.436875
DAYS_PER_YEAR = 365.2425

#: The `units` of a number that a program wrote: the measure's own, and no slip to look for.
OWN_UNITS = "own"
_NUMBER = re.compile(
    r"(?P<number>[+-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:e[+-]?\d+)?)(?P<over> ?/ ?\d+)?"
    r"\s*(?P<unit>[^\d\s+].*)?",
    re.IGNORECASE,
)
#: What after a number says that it is one end of a range, or a bound. Text: compiled when needed.
_GOES_ON = (
    r"^(?:-|\u2013|to\b|or\b|and\b|plus\b)|(?:\bto |\bor |\band | - ?|\u2013 ?)\d"
    r"|\bor (?:less|fewer|under|more|over|higher)\b|\bat (?:least|most)\b|\bmax\b"
    r"|\band (?:more|up)\b"
)


@dataclass(frozen=True, slots=True)
class Measure:
    """One kind of quantity.

    `unit` is the program's own; `units` maps every spelling (lower case) to its factor into `unit`.
    `lowest` and `highest` bound what can be true at all, in `unit`. A bare number is in `bare`,
    in a file with `units: us` in `bare_us`. `pint_unit` is `unit` as the units library spells it.
    `words` are intervals in `unit` that people name by a word. `about` is how far a number with
    `about` before it may be off, in `unit`; None for a share of the number.
    """

    name: str
    unit: str
    units: Mapping[str, float]
    lowest: float
    highest: float
    bare: str
    bare_us: str
    example: str
    pint_unit: str | None = None
    words: habit_words.Words = field(default_factory=dict)
    about: float | None = None


def _spell(table: Mapping[str, float]) -> dict[str, float]:
    """`a|b: factor` for each spelling on its own."""
    return {word: factor for words, factor in table.items() for word in words.split("|")}


_VOLUMES = _spell(
    {
        "l|litre|litres|liter|liters": 1.0,
        "ml|millilitre|millilitres|milliliter|milliliters|cm3|cm³|ccm": 1e-3,
        "cl": 1e-2,
        "dl": 1e-1,
        "m3|m³": 1e3,
        "gal|gallon|gallons|us gal|us gallon|us gallons": LITRES_PER_US_GALLON,
        "imperial gallon|imperial gallons|uk gallon|uk gallons": LITRES_PER_IMPERIAL_GALLON,
        "qt|quart|quarts": LITRES_PER_US_GALLON / 4.0,
        "pt|pint|pints": LITRES_PER_US_GALLON / 8.0,
        "cup|cups": LITRES_PER_US_GALLON / 16.0,
        "fl oz|floz": LITRES_PER_US_GALLON / 128.0,
    }
)
_LENGTHS = _spell(
    {
        "cm|centimetre|centimetres|centimeter|centimeters": 1.0,
        "mm": 0.1,
        "m|metre|metres|meter|meters": 100.0,
        'in|inch|inches|"': CM_PER_INCH,
        "ft|foot|feet": 12.0 * CM_PER_INCH,
    }
)
_AREAS = _spell(
    {
        "cm2|cm²|cm^2|sq cm": 1.0,
        "mm2|mm²|mm^2": 0.01,
        "m2|m²|m^2": 1e4,
        "in2|in²|in^2|sq in": CM_PER_INCH**2,
    }
)
_ALTITUDES = _spell(
    {
        "m|metre|metres|meter|meters": 1.0,
        "km": 1000.0,
        "ft|foot|feet": 12.0 * CM_PER_INCH / 100.0,
    }
)
_HOURS = _spell(
    {
        "h|hr|hrs|hour|hours": 1.0,
        "min|mins|minute|minutes": 1.0 / 60.0,
        "d|day|days": 24.0,
        "w|wk|week|weeks": 168.0,
        "month|months": 24.0 * DAYS_PER_MONTH,
        "year|years|yr": 24.0 * DAYS_PER_YEAR,
    }
)
_DAYS = {word: hours / 24.0 for word, hours in _HOURS.items()}
_MONTHS = {word: days / DAYS_PER_MONTH for word, days in _DAYS.items()}
_SHARES = _spell({"%|percent|per cent": 1.0})
_TEMPERATURES = _spell(
    {
        "c|°c|degc|deg c|celsius|degrees c|degrees celsius": 1.0,
        "f|°f|degf|deg f|fahrenheit|degrees f|degrees fahrenheit": 5.0 / 9.0,
        "k|kelvin": 1.0,
    }
)
#: The same spellings for a difference of temperatures; a dict of its own, since it has no zero
#: point.
_TEMPERATURE_STEPS = dict(_TEMPERATURES)
_CONCENTRATIONS = _spell(
    {
        "mg/l|mg/litre|mg/liter|ppm|mg l-1": 1.0,
        "ug/l|µg/l|μg/l|ppb": 1e-3,
        "g/l": 1e3,
    }
)
_DEGREE = MG_L_CACO3_PER["dGH"]
_HARDNESS = _spell(
    {
        "°d|°dh|dh|degrees|degree|deg|°": 1.0,
        "ppm|mg/l|mg/l caco3|ppm caco3|mg/l as caco3|ppm as caco3": 1.0 / _DEGREE,
        "mmol/l": MG_L_CACO3_PER["mmol/L"] / _DEGREE,
        "meq/l": MG_L_CACO3_PER["meq/L"] / _DEGREE,
        "°f|fh|°fh": MG_L_CACO3_PER["French degree"] / _DEGREE,
        "°e|eh|°eh|clark": MG_L_CACO3_PER["English degree"] / _DEGREE,
        "gpg|grains": MG_L_CACO3_PER["grain/gal"] / _DEGREE,
    }
)
#: A millimole of bicarbonate carries one charge, a millimole of calcium two.
_ALKALINITY = _HARDNESS | {"mmol/l": _HARDNESS["meq/l"]}
_CONDUCTIVITIES = _spell(
    {
        "us/cm|µs/cm|μs/cm|us|µs|μs": 1.0,
        "ms/cm|ms|ds/m": 1000.0,
        "ms/m": 10.0,
    }
)
_MASSES = _spell(
    {
        "mg": 1.0,
        "g|gram|grams": 1000.0,
        "ug|µg|μg": 1e-3,
        "kg": 1e6,
    }
)

#: How far `about 24 C` and `about pH 7` may be off (convention of this program, no source).
ABOUT_C, ABOUT_PH = 1.0, 0.3

# Bounds are what could be written in good faith, wide of anything that lives; they catch slips, not
# bad luck.
VOLUME = Measure("volume", "L", _VOLUMES, 0.05, 5000.0, "l", "gal", "6 L", "liter")
LENGTH = Measure("length", "cm", _LENGTHS, 0.1, 500.0, "cm", "in", "18 cm", "centimeter")
AREA = Measure("area", "cm2", _AREAS, 0.1, 1e5, "cm2", "in2", "300 cm2", "centimeter**2")
ALTITUDE = Measure("altitude", "m", _ALTITUDES, -450.0, 6000.0, "m", "ft", "520 m", "meter")
DAYS = Measure(
    "span of time", "days", _DAYS, 0.0, 20000.0, "d", "d", "3 months", "day", habit_words.AGES
)
INTERVAL = Measure(
    "interval", "days", _DAYS, 0.1, 5000.0, "d", "d", "7 days", "day", habit_words.INTERVALS
)
MONTHS = Measure(
    "span of time", "months", _MONTHS, 0.0, 600.0, "month", "month", "8 months", "month"
)
HOURS = Measure(
    "span of time", "hours", _HOURS, 0.0, 20000.0, "h", "h", "3 h", "hour", habit_words.HOURS
)
HOURS_OF_DAY = Measure(
    "part of a day", "hours", _HOURS, 0.0, 24.0, "h", "h", "8 h", "hour", habit_words.DAYLIGHT
)
SHARE = Measure("share", "%", _SHARES, 0.0, 100.0, "%", "%", "50 %", None, habit_words.SHARES)
TEMPERATURE = Measure(
    "water temperature", "C", _TEMPERATURES, 0.0, 50.0, "c", "f", "22 C", about=ABOUT_C
)
TEMPERATURE_STEP = Measure(
    "difference of temperature", "C", _TEMPERATURE_STEPS, 0.0, 50.0, "c", "f", "3 C"
)
ROOM_TEMPERATURE = Measure(
    "room temperature",
    "C",
    _TEMPERATURES,
    -30.0,
    60.0,
    "c",
    "f",
    "21 C",
    None,
    habit_words.ROOMS,
    ABOUT_C,
)
PH = Measure("pH", "", {"ph": 1.0}, 0.0, 14.0, "ph", "ph", "7.4", about=ABOUT_PH)
SOLIDS = Measure(
    "amount of dissolved solids",
    "mg/L",
    _CONCENTRATIONS,
    0.0,
    40000.0,
    "mg/l",
    "ppm",
    "180 ppm",
    "mg/L",
)
CONCENTRATION = Measure(
    "concentration", "mg/L", _CONCENTRATIONS, 0.0, 5000.0, "mg/l", "ppm", "0.25 mg/L", "mg/L"
)
CONDUCTIVITY = Measure(
    "conductivity", "uS/cm", _CONDUCTIVITIES, 0.0, 80000.0, "us/cm", "us/cm", "320 uS/cm", "uS/cm"
)
OXYGEN_PERCENT = Measure("share of saturation", "%", _SHARES, 0.0, 400.0, "%", "%", "80 %")
GENERAL_HARDNESS = Measure(
    "general hardness",
    "dGH",
    _HARDNESS | {"dgh": 1.0, "gh": 1.0, "°gh": 1.0},
    0.0,
    150.0,
    "dgh",
    "dgh",
    "8 dGH",
)
CARBONATE_HARDNESS = Measure(
    "carbonate hardness",
    "dKH",
    _ALKALINITY | {"dkh": 1.0, "kh": 1.0, "°kh": 1.0},
    0.0,
    100.0,
    "dkh",
    "dkh",
    "4 dKH",
)
MASS = Measure("mass", "mg", _MASSES, 0.0, 1e6, "mg", "mg", "30 mg", "milligram")

#: A bare hardness above this is more likely ppm than degrees: sea water has about 350 dGH, and no
#: tap water met in the sources has more than 50.
BARE_HARDNESS_LIMIT_DEGREES = 50.0


def read_quantity(written: object, measure: Measure, units: str = "metric") -> float:
    """The written quantity in the measure's own unit; a Rough where it was told no closer than an
    interval (`5-6 L`, `under 5 L`, `about 6 L`, `a few weeks`, `most`).

    units: how a bare number is meant: `metric` or `us` as a file says, or OWN_UNITS for a number
    that no person wrote. Raises Unreadable.
    """
    if isinstance(written, bool) or not isinstance(written, int | float | str):
        raise Unreadable(f"`{written}` is not a {measure.name}.", f"Write it as {measure.example}.")
    if isinstance(written, str):
        interval = spoken(measure.words, written)
        if interval is not None:
            return rough(*interval)
        said = _said(written, measure.name, measure.example, measure.units)
    else:
        said = Spoken(*ends(written), "")
    bare = not said.unit
    unit = said.unit or (measure.bare_us if units == "us" else measure.bare)

    def own(number: float) -> float:
        if math.isinf(number) and isinstance(written, str | Rough):
            return number
        if not math.isfinite(number):
            raise Unreadable(
                f"`{written}` is not a number that can be measured.",
                f"Write it as {measure.example}.",
            )
        value = _in_own_unit(number, unit, measure)
        if bare and units != OWN_UNITS:
            _refuse_mix_up(number, value, measure, units)
        if not measure.lowest <= value <= measure.highest:
            raise Unreadable(_impossible(written, value, unit, measure), _possible(measure))
        return value

    if said.low == said.high:
        low = high = own(said.low)
    else:
        low, high = own(said.low), own(said.high)
    if said.about is not None:
        low, high = _reach(low, high, said.about, measure)
    return rough(*_ends_closed(low, high, measure))


def _reach(
    low: float, high: float, about: tuple[int, int], measure: Measure
) -> tuple[float, float]:
    """From least to most of a number with `about`, `nearly` or `just over` before it."""
    less, more = about
    if measure.about is not None:
        low, high = low + less * measure.about, high + more * measure.about
    else:
        low, high = low * (1.0 + less * ABOUT_SHARE), high * (1.0 + more * ABOUT_SHARE)
    return max(low, measure.lowest), min(high, measure.highest)


def _ends_closed(low: float, high: float, measure: Measure) -> tuple[float, float]:
    """Open ends closed where the quantity itself ends: nothing is less than nothing, and no share
    more than the whole. Others stay open.
    """
    if math.isinf(low) and measure.about is None:
        low = min(measure.lowest, high)
    whole = measure.units is _SHARES and measure.highest == SHARE.highest
    if math.isinf(high) and (whole or measure is HOURS_OF_DAY):
        high = measure.highest
    return low, high


def is_of_measure(written: str, measure: Measure) -> bool:
    """Whether a text is a number, exact or rough, with a unit of this measure."""
    try:
        said = _said(written, measure.name, measure.example, {})
    except Unreadable:
        return False
    return said.unit.lower() in measure.units


def read_number(written: object) -> float:
    """A number that is in its own unit already. Raises Unreadable."""
    if isinstance(written, Rough):
        return written
    if isinstance(written, bool) or not isinstance(written, int | float):
        raise Unreadable(f"`{written}` is not a number.", "Write a number.")
    if not math.isfinite(written):
        raise Unreadable(f"`{written}` is not a number that can be measured.", "Write a number.")
    return float(written)


def read_count(written: object) -> int:
    """A number of animals: whole, not negative; a RoughCount where it was told no closer
    (`150-200`, `several`, `at least 10`). Raises Unreadable.
    """
    right = "Write a whole number, as 12, or roughly: `about 12`, `10-14`, `several`, `dozens`."
    if isinstance(written, bool) or not isinstance(written, int | float | str):
        raise Unreadable(f"`{written}` is not a number of animals.", right)
    if isinstance(written, str):
        said = _said(written, "number of animals", "12", {})
        if said.unit:
            raise Unreadable(f"`{written}` is not a number of animals.", right)
        low, high = max(0.0, said.low), said.high
        if said.about is not None:
            less, more = said.about
            low = float(math.floor(low * (1.0 + less * ABOUT_SHARE)))
            high = float(math.ceil(high * (1.0 + more * ABOUT_SHARE)))
    else:
        low, high = ends(written)
    told = isinstance(written, str | RoughCount)
    for number in (low, high):
        if math.isinf(number) and told:
            continue
        if not math.isfinite(number) or number != int(number) or number < 0:
            raise Unreadable(f"`{written}` is not a number of animals.", right)
        if number > 100_000:
            raise Unreadable(
                f"`{written}` animals is more than this program can think about.", right
            )
    return rough_count(low, high)


def split_number(written: str, name: str, example: str) -> tuple[float, str]:
    """The number (a Rough where it was told no closer) and the unit (spacing kept single) of a
    written quantity.

    Raises Unreadable.
    """
    said = _said(written, name, example, {})
    low, high = said.low, said.high
    if said.about is not None:
        less, more = said.about
        low, high = low * (1.0 + less * ABOUT_SHARE), high * (1.0 + more * ABOUT_SHARE)
    return rough(low, high), said.unit


def _said(written: str, name: str, example: str, units: Mapping[str, float]) -> Spoken:
    """What a written number says, exactly or roughly. Raises Unreadable."""
    text = " ".join(written.split())

    def figures(digits: str) -> float:
        if digits.count(",") + digits.count(".") > 1 or re.search(r"\d,\d{3}(?!\d)", digits):
            raise Unreadable(
                f"`{text}` can be read in two ways.",
                "Use a point for decimals and nothing for thousands.",
            )
        return float(digits.replace(",", "."))

    found = _NUMBER.fullmatch(text)
    if found is not None and not re.search(_GOES_ON, (found["unit"] or "").lower()):
        number = figures(found["number"])
        if found["over"]:
            below = float(found["over"].strip(" /"))
            if below == 0.0:
                raise Unreadable(f"`{text}` divides by zero.", f"Write it as {example}.")
            number /= below
        return Spoken(number, number, (found["unit"] or "").strip())
    said = spoken_number(text, figures)
    if units and len(set(COUNT_WORDS.get(text.lower(), ()))) > 1:
        said = None  # `several` without a unit says how many, not how much
    if said is None and text.lower() in units and text.lower().endswith("s"):
        said = Spoken(*PLURAL, text)
    if said is None:
        raise Unreadable(f"`{text}` is not a {name}.", f"Write it as {example}.")
    return said


def measure_schema(measure: Measure) -> dict[str, Any]:
    """The JSON Schema of a field of this measure, as people write it."""
    bare = f" A bare number is in {measure.unit or 'pH units'}"
    if measure.bare != measure.bare_us and measure.bare_us != "ppm":
        bare += f", in a file with `units: us` in {measure.bare_us}"
    return {
        "type": ["number", "string"],
        "description": f"A {measure.name}, with or without its unit.{bare}.",
        "examples": [measure.example],
    }


def _in_own_unit(number: float, unit: str, measure: Measure) -> float:
    spelled = unit.lower()
    factor = measure.units.get(spelled)
    if measure is CONDUCTIVITY and spelled.startswith("ms"):
        factor = _millisiemens(unit, factor)
    if factor is not None:
        if measure.units is _TEMPERATURES:
            return _to_celsius(number, spelled)
        return number * factor
    if measure.pint_unit is not None:
        from diagnose.intake.rare_units import rare_quantity

        converted = rare_quantity(number, unit, measure.pint_unit)
        if converted is not None:
            return converted
    raise Unreadable(f"`{unit}` is no unit of a {measure.name}.", _unit_hint(unit, measure))


def _millisiemens(unit: str, factor: float | None) -> float | None:
    """`mS` is a unit of conductivity; `MS`, a thousand million times more, is a slip."""
    return factor if unit.startswith("m") else None


def _to_celsius(number: float, spelled: str) -> float:
    if spelled.startswith(("f", "°f", "degf", "deg f", "degrees f")):
        return (number - 32.0) * 5.0 / 9.0
    if spelled.startswith("k"):
        return number - 273.15
    return number


def _refuse_mix_up(number: float, value: float, measure: Measure, units: str) -> None:
    if measure.units is _TEMPERATURES and not measure.lowest <= value <= measure.highest:
        other, unit = ("F", "Celsius") if units == "metric" else ("C", "Fahrenheit")
        as_other = _to_celsius(number, other.lower())
        if measure.lowest <= as_other <= measure.highest:
            meant = "Fahrenheit" if other == "F" else "Celsius"
            raise Unreadable(
                f"{number:g} degrees {unit} cannot be a {measure.name}.",
                f"If you meant {meant}, write {number:g} {other}.",
            )
    if measure.units is _SHARES and 0.0 < number < 1.0:
        raise Unreadable(
            f"`{number:g}` could be {number:g} % or {100 * number:g} %.",
            f"Write {100 * number:g} % if you meant that share of the whole.",
        )
    if measure.bare in ("dgh", "dkh") and value > BARE_HARDNESS_LIMIT_DEGREES:
        raise Unreadable(
            f"{number:g} degrees is harder than any tap water.",
            f"If you meant ppm, write {number:g} ppm; otherwise write {number:g} {measure.unit}.",
        )


def _impossible(written: object, value: float, unit: str, measure: Measure) -> str:
    same = unit.lower() == measure.unit.lower() or not measure.unit
    converted = "" if same else f" ({value:.4g} {measure.unit})"
    if not measure.unit:
        return f"a {measure.name} of {written} cannot be."
    return f"`{written}`{converted} cannot be a {measure.name}."


def _possible(measure: Measure) -> str:
    unit = f" {measure.unit}" if measure.unit else ""
    return f"It must lie between {measure.lowest:g} and {measure.highest:g}{unit}."


def _unit_hint(unit: str, measure: Measure) -> str:
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(unit.lower(), measure.units, n=1, cutoff=0.5)
    known = f"Write it as {measure.example}."
    return f"Did you mean `{near[0]}`? {known}" if near else known
