"""Quantities as people write them (`6 L`, `74 F`, `120 ppm`) in the program's own units.

The units people use every day are a table of exact factors, because loading a units library takes
longer than the whole diagnosis. Anything else (`ug/mL`, `mg/dL`, `hl`) goes through pint, with a
small registry that is built from definitions in `rare_units` the first time it is needed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.intake.problems import Unreadable
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
    r"(?:about |around |roughly |ca\.? ?|~ ?)?"
    r"(?P<number>[+-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)(?:e[+-]?\d+)?)(?P<over> ?/ ?\d+)?"
    r"(?P<range> ?(?:-|\u2013|to) ?\d.*)?"
    r"\s*(?P<unit>.*)",
    re.IGNORECASE,
)
_SPOKEN_SHARES = {
    "half": 50.0,
    "a half": 50.0,
    "a third": 100.0 / 3.0,
    "one third": 100.0 / 3.0,
    "two thirds": 200.0 / 3.0,
    "a quarter": 25.0,
    "one quarter": 25.0,
    "three quarters": 75.0,
    "all": 100.0,
    "none": 0.0,
}
_NUMBER_WORDS = {
    "zero": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
}


@dataclass(frozen=True, slots=True)
class Measure:
    """One kind of quantity.

    `unit` is the program's own; `units` maps every spelling (lower case) to its factor into `unit`.
    `lowest` and `highest` bound what can be true at all, in `unit`. A bare number is in `bare`,
    in a file with `units: us` in `bare_us`. `pint_unit` is `unit` as the units library spells it.
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

# Bounds are what could be written in good faith, wide of anything that lives; they catch slips, not
# bad luck.
VOLUME = Measure("volume", "L", _VOLUMES, 0.05, 5000.0, "l", "gal", "6 L", "liter")
LENGTH = Measure("length", "cm", _LENGTHS, 0.1, 500.0, "cm", "in", "18 cm", "centimeter")
AREA = Measure("area", "cm2", _AREAS, 0.1, 1e5, "cm2", "in2", "300 cm2", "centimeter**2")
ALTITUDE = Measure("altitude", "m", _ALTITUDES, -450.0, 6000.0, "m", "ft", "520 m", "meter")
DAYS = Measure("span of time", "days", _DAYS, 0.0, 20000.0, "d", "d", "3 months", "day")
INTERVAL = Measure("interval", "days", _DAYS, 0.1, 5000.0, "d", "d", "7 days", "day")
MONTHS = Measure(
    "span of time", "months", _MONTHS, 0.0, 600.0, "month", "month", "8 months", "month"
)
HOURS = Measure("span of time", "hours", _HOURS, 0.0, 20000.0, "h", "h", "3 h", "hour")
HOURS_OF_DAY = Measure("part of a day", "hours", _HOURS, 0.0, 24.0, "h", "h", "8 h", "hour")
SHARE = Measure("share", "%", _SHARES, 0.0, 100.0, "%", "%", "50 %")
TEMPERATURE = Measure("water temperature", "C", _TEMPERATURES, 0.0, 50.0, "c", "f", "22 C")
TEMPERATURE_STEP = Measure(
    "difference of temperature", "C", _TEMPERATURE_STEPS, 0.0, 50.0, "c", "f", "3 C"
)
ROOM_TEMPERATURE = Measure("room temperature", "C", _TEMPERATURES, -30.0, 60.0, "c", "f", "21 C")
PH = Measure("pH", "", {"ph": 1.0}, 0.0, 14.0, "ph", "ph", "7.4")
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
    """The written quantity in the measure's own unit.

    units: how a bare number is meant: `metric` or `us` as a file says, or OWN_UNITS for a number
    that no person wrote. Raises Unreadable.
    """
    if isinstance(written, bool) or not isinstance(written, int | float | str):
        raise Unreadable(f"`{written}` is not a {measure.name}.", f"Write it as {measure.example}.")
    if isinstance(written, str):
        spoken = (
            _SPOKEN_SHARES.get(" ".join(written.lower().split()))
            if measure.units is _SHARES
            else None
        )
        if spoken is not None:
            return spoken
        number, unit = split_number(written, measure.name, measure.example)
    else:
        number, unit = float(written), ""
    if not math.isfinite(number):
        raise Unreadable(
            f"`{written}` is not a number that can be measured.", f"Write it as {measure.example}."
        )
    bare = not unit
    unit = unit or (measure.bare_us if units == "us" else measure.bare)
    value = _in_own_unit(number, unit, measure)
    if bare and units != OWN_UNITS:
        _refuse_mix_up(number, value, measure, units)
    if not measure.lowest <= value <= measure.highest:
        raise Unreadable(_impossible(written, value, unit, measure), _possible(measure))
    return value


def read_count(written: object) -> int:
    """A number of animals: whole, not negative. Raises Unreadable."""
    right = "Write a whole number, as 12."
    if isinstance(written, str):
        number, unit = split_number(written, "number of animals", "12")
        if unit:
            raise Unreadable(f"`{written}` is not a number of animals.", right)
        written = number
    if isinstance(written, bool) or not isinstance(written, int | float):
        raise Unreadable(f"`{written}` is not a number of animals.", right)
    if not math.isfinite(written) or written != int(written) or written < 0:
        raise Unreadable(f"`{written}` is not a number of animals.", right)
    if written > 100_000:
        raise Unreadable(f"`{written}` animals is more than this program can think about.", right)
    return int(written)


def split_number(written: str, name: str, example: str) -> tuple[float, str]:
    """The number and the unit (lower-cased spacing kept single) of a written quantity.

    Raises Unreadable.
    """
    text = " ".join(written.split())
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise Unreadable(f"`{text}` is not a {name}.", _not_a_number_hint(text, example))
    if found["range"]:
        raise Unreadable(
            f"`{text}` gives a range where one number is needed.",
            f"Write one number, as {example}; a swing goes into two readings with their times.",
        )
    digits = found["number"]
    if digits.count(",") + digits.count(".") > 1 or re.search(r"\d,\d{3}(?!\d)", digits):
        raise Unreadable(
            f"`{text}` can be read in two ways.",
            "Use a point for decimals and nothing for thousands.",
        )
    number = float(digits.replace(",", "."))
    if found["over"]:
        below = float(found["over"].strip(" /"))
        if below == 0.0:
            raise Unreadable(f"`{text}` divides by zero.", f"Write it as {example}.")
        number /= below
    return number, found["unit"].strip()


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


def _not_a_number_hint(text: str, example: str) -> str:
    word = text.lower().split(" ")[0] if text else ""
    if word in _NUMBER_WORDS:
        return f"Write it in figures: {_NUMBER_WORDS[word]}."
    if word.startswith(("<", ">", "under", "over", "below", "above")):
        return f"Write one number, as {example}; for `none found` write 0."
    return f"Write it as {example}."


def _unit_hint(unit: str, measure: Measure) -> str:
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(unit.lower(), measure.units, n=1, cutoff=0.5)
    known = f"Write it as {measure.example}."
    return f"Did you mean `{near[0]}`? {known}" if near else known
