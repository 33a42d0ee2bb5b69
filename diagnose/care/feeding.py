"""How much food a colony needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.rulebook.terms import Number

MG_PER_G, PERCENT, TEN_DEGREES = 1000.0, 100.0, 10.0
#: Appetite is not reckoned beyond these temperatures: in the cold they stop, in the heat they fail.
COLDEST_C, WARMEST_C = 10.0, 30.0


@dataclass(frozen=True, slots=True)
class Ration:
    """Food for a colony: mg a day and a feed, the same in small pellets, and feeds a day.

    low_mg_a_day, high_mg_a_day: what different keepers would give.
    """

    mg_a_day: float
    low_mg_a_day: float
    high_mg_a_day: float
    feeds_a_day: int
    mg_a_feed: float
    pellets_a_day: float
    pellets_a_feed: float


def ration(mass_g: float, temperature_c: float | None, numbers: Mapping[str, Number]) -> Ration:
    """Food a day: a share of body mass, which grows with warmth as breathing does.

    mass * share * Q10^((T - 24) / 10). None: the temperature the share stands for. The share is
    common practice, no source; the Q10 of 2.1 was measured in a small freshwater shrimp.
    """
    usual = numbers["ration_percent_a_day"]
    at_c = numbers["ration_temperature_c"].value
    warm = at_c if temperature_c is None else min(max(temperature_c, COLDEST_C), WARMEST_C)
    factor = math.pow(numbers["ration_q10"].value, (warm - at_c) / TEN_DEGREES)
    low, high = usual.between or (usual.value, usual.value)
    mg, low_mg, high_mg = (
        mass_g * MG_PER_G * share / PERCENT * factor for share in (usual.value, low, high)
    )
    feeds = round(numbers["feeds_a_day_few"].value)
    pellet = numbers["small_pellet_mg"].value
    return Ration(mg, low_mg, high_mg, feeds, mg / feeds, mg / pellet, mg / feeds / pellet)


def in_pellets(pellets: float) -> str:
    """A number of small pellets as a keeper can portion it.

    >>> in_pellets(0.27), in_pellets(0.02), in_pellets(2.4)
    ('a quarter of a small pellet', 'a crumb of a small pellet', '2 small pellets')
    """
    if pellets < 0.12:
        return "a crumb of a small pellet"
    for most, words in (
        (0.3, "a quarter of a small pellet"),
        (0.42, "a third of a small pellet"),
        (0.75, "half a small pellet"),
        (1.5, "1 small pellet"),
    ):
        if pellets < most:
            return words
    return f"{pellets:.0f} small pellets"
