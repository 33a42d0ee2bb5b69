"""Units that nobody writes every day, through the units library pint.

The registry is built from the definitions below and nothing else, the first time a unit is met that
the table in `quantities` does not know.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

#: Base units and the factors between them: NIST Special Publication 811 appendix B.8, from memory.
DEFINITIONS = """
nano- = 1e-9 = n-
micro- = 1e-6 = µ- = μ- = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
deci- = 1e-1 = d-
hecto- = 1e2 = h-
kilo- = 1e3 = k-
meter = [length] = m = metre
gram = [mass] = g
second = [time] = s
kelvin = [temperature]; offset: 0 = K
siemens = [conductance] = S
inch = 2.54e-2 meter = in
foot = 12 inch = ft = feet
yard = 3 foot = yd
liter = 1e-3 meter ** 3 = l = L = litre
gallon = 231 inch ** 3 = gal
imperial_gallon = 4.54609 liter
quart = gallon / 4 = qt
pint = gallon / 8 = pt
cup = gallon / 16
fluid_ounce = gallon / 128 = fl_oz
tablespoon = gallon / 256 = tbsp
teaspoon = gallon / 768 = tsp
pound = 453.59237 gram = lb
ounce = pound / 16 = oz
grain = pound / 7000 = gr
minute = 60 second = min
hour = 60 minute = h = hr
day = 24 hour = d
week = 7 day
fortnight = 14 day
month = year / 12
year = 365.2425 day
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
"""

#: Only what a unit can look like reaches the library: letters, one or two factors, small powers.
_UNIT = re.compile(
    r"[A-Za-zµμ_]{1,24}(?:(?:\^|\*\*)?[23])?(?: ?[/*] ?[A-Za-zµμ_]{1,24}(?:(?:\^|\*\*)?[23])?){0,2}"
)


@cache
def registry() -> Any:
    """The small registry of units. Importing the library takes a tenth of a second."""
    import pint

    units: Any = pint.UnitRegistry(None)
    for line in DEFINITIONS.strip().splitlines():
        units.define(line)
    return units


def rare_quantity(number: float, unit: str, into: str) -> float | None:
    """`number` of `unit` in the unit `into`; None if it is no unit, or not of that kind."""
    import pint

    spelled = (
        unit.replace("²", "^2").replace("³", "^3").replace("imperial gallon", "imperial_gallon")
    )
    if _UNIT.fullmatch(spelled) is None:
        return None
    spelled = re.sub(r"(?<=[A-Za-z])([23])", r"^\1", spelled)
    try:
        return float(registry().Quantity(number, spelled).to(into).magnitude)
    except (pint.PintError, AttributeError, TypeError, ValueError, KeyError):
        return None
