"""How much of a step, how long, and what it will then read: sums of `diagnose.water` in a sentence.

Each sum takes what is known and gives a sentence, or nothing where what it needs is not known. All
concentrations are mg/L as N. The shares and limits are numbers of the rulebook.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Literal

from diagnose.rulebook.rates import rates
from diagnose.rulebook.terms import Rulebook, Step
from diagnose.water.ammonia import unionised_fraction
from diagnose.water.chlorine import thiosulfate_crystals_mg
from diagnose.water.hardness import LITRES_PER_US_GALLON
from diagnose.water.limits import OutOfRange
from diagnose.water.mixing import after_changes, changes_for_target
from diagnose.water.oxygen import transfer_velocity_m_d

Values = Mapping[str, str | float]
Units = Literal["metric", "us"]
Sum = Callable[[Rulebook, Values, Units], str]
LITRES_PER_M3, HOURS_PER_DAY = 1000.0, 24.0
#: By definition.
KG_PER_POUND, FLUID_OUNCES_PER_GALLON = 0.45359237, 128.0
#: Words for the shares that the rulebook names.
SHARE_WORDS = {33.0: "a third", 50.0: "half"}
#: More changes than this on one day are not advised: the rest follows on the next.
CHANGES_A_DAY = 4


def size_of(rulebook: Rulebook, step: Step, values: Values, units: Units = "metric") -> str:
    """The sentence that says how much of a step, in these units for litres and kilograms; empty
    where there is nothing to reckon.

    Raises KeyError for a sum that is not among `SUMS`.
    """
    if not step.computed:
        return ""
    try:
        return SUMS[step.computed](rulebook, values, units)
    except OutOfRange:
        return ""


def _known(values: Values, name: str) -> float | None:
    value = values.get(name)
    return float(value) if isinstance(value, int | float) else None


def _number(rulebook: Rulebook, name: str) -> float:
    return rulebook.numbers[name].value


def figure(value: float) -> str:
    """Two significant digits, without an exponent.

    >>> figure(0.0468), figure(2.0), figure(3.333), figure(46.8)
    ('0.047', '2', '3.3', '47')
    """
    if value == 0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _litres(volume_l: float, units: Units) -> str:
    if units == "us":
        return f"{figure(volume_l / LITRES_PER_US_GALLON)} US gal"
    return f"{figure(volume_l)} L"


def _temperature(rulebook: Rulebook, values: Values) -> float:
    known = _known(values, "temperature_c")
    return _number(rulebook, "usual_temperature_c") if known is None else known


def waste_readings(rulebook: Rulebook, values: Values) -> list[tuple[str, float, float, float]]:
    """What was measured of waste: its name, the reading that is shown, what counts of it and the
    limit that this should come below [mg/L as N].
    """
    found = []
    tan, ph = _known(values, "tan_mg_l"), _known(values, "ph")
    if tan is not None:
        if ph is None:
            found.append(("Ammonia", tan, tan, _number(rulebook, "rescue_tan_mg_l")))
        else:
            free = tan * unionised_fraction(ph, _temperature(rulebook, values))
            found.append(("Ammonia", tan, free, _number(rulebook, "rescue_nh3_mg_l")))
    nitrite = _known(values, "nitrite_mg_l")
    if nitrite is not None:
        found.append(("Nitrite", nitrite, nitrite, _number(rulebook, "rescue_nitrite_mg_l")))
    return found


def waste_share(rulebook: Rulebook, values: Values) -> tuple[float, int]:
    """The share [%] to change at once, and how many such changes bring all waste that was measured
    below its limit.
    """
    readings = waste_readings(rulebook, values)
    worst = max((counts / limit for _, _, counts, limit in readings), default=0.0)
    grave = worst >= _number(rulebook, "rescue_grave_times")
    share = _number(rulebook, "rescue_share_grave" if grave else "rescue_share_usual")
    if worst <= 1.0:
        return share, 0
    return share, changes_for_target(worst, 0.0, share / 100.0, 1.0)


def _waste_change(rulebook: Rulebook, values: Values, _units: Units) -> str:
    readings = waste_readings(rulebook, values)
    if not readings:
        return ""
    share, times = waste_share(rulebook, values)
    word = SHARE_WORDS.get(share, f"{share:g} %")
    worst = max(readings, key=lambda r: r[2] / r[3])
    name, shown, _, _ = worst
    left = [after_changes(shown, 0.0, share / 100.0, n) for n in range(1, max(times, 1) + 1)]
    text = f"{name} {figure(shown)} mg/L as nitrogen: change {word} now, which leaves "
    text += figure(left[0])
    if times > 1:
        more = min(times, CHANGES_A_DAY)
        text += f"; {more} such changes, some hours apart, leave {figure(left[more - 1])}"
        text += " and bring it below harm" if times <= CHANGES_A_DAY else "; go on tomorrow"
    return f"{text}. Test again after each."


def _acid_ammonia(rulebook: Rulebook, values: Values, _units: Units) -> str:
    tan, ph = _known(values, "tan_mg_l"), _known(values, "ph")
    if tan is None or ph is None:
        return ""
    warmth = _temperature(rulebook, values)
    after = _number(rulebook, "acid_ammonia_ph_after")
    if ph >= after:
        return ""
    now, then = (tan * unionised_fraction(value, warmth) for value in (ph, after))
    return (
        f"Of {figure(tan)} mg/L ammonia as nitrogen {figure(now)} is free now; at pH {after:g} it "
        f"would be {figure(then)}, {figure(then / now)} times as much."
    )


def deficit_halved_h(volume_l: float, temperature_c: float, times_still: float = 1.0) -> float:
    """Hours in which half of the oxygen that is lacking comes in through the surface [h].

    ln 2 h / k, for water as deep as it is wide. times_still: exchange against a still surface.

    >>> round(deficit_halved_h(8, 20), 1)
    6.2
    """
    depth_m = (volume_l / LITRES_PER_M3) ** (1 / 3)
    velocity = transfer_velocity_m_d(temperature_c) * times_still
    return float(math.log(2.0) * depth_m / velocity * HOURS_PER_DAY)


def _air(rulebook: Rulebook, values: Values, _units: Units) -> str:
    volume = _known(values, "volume_l")
    if volume is None:
        return ""
    warmth = _temperature(rulebook, values)
    still = deficit_halved_h(volume, warmth)
    moved = deficit_halved_h(volume, warmth, _number(rulebook, "moved_exchange_times"))
    return (
        f"A moved surface makes up half of what is lacking in about {figure(moved)} h, a still one "
        f"in {figure(still)}."
    )


def _halves(_rulebook: Rulebook, _values: Values, _units: Units) -> str:
    one, two = (after_changes(100.0, 0.0, 0.5, n) for n in (1, 2))
    return f"One half leaves {figure(one)} % of what is in it, two leave {figure(two)} %."


def _thirds(rulebook: Rulebook, values: Values, _units: Units) -> str:
    if waste_readings(rulebook, values):
        return ""
    share = _number(rulebook, "rescue_share_usual") / 100.0
    two, three = (after_changes(100.0, 0.0, share, n) for n in (2, 3))
    return (
        f"Two changes of a third leave {figure(two)} % of what is in it, three {figure(three)} %."
    )


def _cooling(rulebook: Rulebook, values: Values, _units: Units) -> str:
    warmth = _known(values, "temperature_c")
    safe = _number(rulebook, "safe_heat_c")
    if warmth is None or warmth <= safe:
        return ""
    hours = (warmth - safe) / rates(rulebook).temperature_c_an_hour
    return f"That is about {figure(hours)} h until it is out of danger."


def _conditioner(rulebook: Rulebook, values: Values, units: Units) -> str:
    volume = _known(values, "volume_l")
    if volume is None:
        return ""
    measured = _known(values, "chlorine_mg_l")
    chlorine = _number(rulebook, "tap_chlorine_mg_l") if measured is None else measured
    crystals = thiosulfate_crystals_mg(chlorine, volume)
    return (
        f"Dose for {_litres(volume, units)}; of plain thiosulfate crystals {figure(crystals)} mg "
        f"would bind {figure(chlorine)} mg/L."
    )


def _salt_dip(rulebook: Rulebook, _values: Values, units: Units) -> str:
    strength, cup = _number(rulebook, "salt_dip_g_l"), _number(rulebook, "salt_dip_cup_l")
    in_cup = f"{1000 * cup:.0f} mL"
    if units == "us":
        in_cup = f"{figure(cup / LITRES_PER_US_GALLON * FLUID_OUNCES_PER_GALLON)} US fl oz"
    return f"{figure(strength)} g/L: {figure(strength * cup)} g in {in_cup}."


def _weight(_rulebook: Rulebook, values: Values, units: Units) -> str:
    volume = _known(values, "volume_l")
    if volume is None:
        return ""
    weight = f"{figure(volume / KG_PER_POUND)} lb" if units == "us" else f"{figure(volume)} kg"
    return f"Its water weighs {weight}."


SUMS: dict[str, Sum] = {
    "waste_change": _waste_change,
    "acid_ammonia": _acid_ammonia,
    "air": _air,
    "halves": _halves,
    "thirds": _thirds,
    "cooling": _cooling,
    "conditioner": _conditioner,
    "salt_dip": _salt_dip,
    "weight": _weight,
}
