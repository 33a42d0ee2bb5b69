"""Growth of a population from its life table: the equation of Euler and Lotka."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

DAYS_PER_MONTH: Final = 30.0


def net_reproduction(survival: Sequence[float], births: Sequence[float]) -> float:
    """Daughters a newborn female leaves in her life [-]: the sum of l(x) m(x).

    >>> round(net_reproduction([1.0, 0.8, 0.4, 0.1], [0.0, 2.0, 3.0, 1.0]), 1)
    2.9
    """
    return math.fsum(alive * born for alive, born in zip(survival, births, strict=True))


def growth_rate(ages: Sequence[float], survival: Sequence[float], births: Sequence[float]) -> float:
    """Intrinsic rate of increase r [per unit of age]: the root of sum e^(-r x) l(x) m(x) = 1.

    Parameters
    ----------
    ages : sequence of float
        Ages x at which births are counted, above zero [any unit].
    survival : sequence of float
        Share l(x) of newborn females alive at x [-].
    births : sequence of float
        Daughters m(x) to a female of age x [-].

    Raises
    ------
    ValueError
        If no female ever has a daughter, or an age is not above zero.

    Examples
    --------
    A textbook's life table (Gotelli, A Primer of Ecology; its 0.776 is from memory).

    >>> round(growth_rate([1, 2, 3], [0.8, 0.4, 0.1], [2, 3, 1]), 3)
    0.776
    """
    worth = [
        (age, alive * born)
        for age, alive, born in zip(ages, survival, births, strict=True)
        if alive * born > 0.0
    ]
    if not worth:
        raise ValueError("No female has a daughter in this life table, so it has no growth rate.")
    if min(age for age, _ in worth) <= 0.0:
        raise ValueError("Births can only be counted at ages above zero.")

    def daughters(rate: float) -> float:
        return math.fsum(value * math.exp(-rate * age) for age, value in worth)

    # Beyond these ends the first brood alone, or the last, would decide: the root lies between.
    ends = [math.log(math.fsum(value for _, value in worth)) / age for age, _ in worth]
    low, high = min(*ends, 0.0, -1e-12), max(*ends, 0.0, 1e-12)
    for _ in range(200):
        middle = 0.5 * (low + high)
        if daughters(middle) > 1.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@dataclass(frozen=True)
class BroodSchedule:
    """A shrimp's life in seven numbers.

    first_young_d: age at which her first young hatch [d]. interval_d: between broods [d].
    young: per brood. female_share: of the young. to_maturity: share that survives from hatching to
    her first brood. monthly_survival: of adults. last_age_d: no broods after this age [d].
    """

    first_young_d: float
    interval_d: float
    young: float
    female_share: float
    to_maturity: float
    monthly_survival: float
    last_age_d: float


def life_table(schedule: BroodSchedule) -> tuple[list[float], list[float], list[float]]:
    """Ages [d], survival and daughters of a schedule, one row a brood."""
    broods = int((schedule.last_age_d - schedule.first_young_d) // schedule.interval_d) + 1
    ages = [schedule.first_young_d + brood * schedule.interval_d for brood in range(broods)]
    survival = [
        schedule.to_maturity
        * schedule.monthly_survival ** ((age - schedule.first_young_d) / DAYS_PER_MONTH)
        for age in ages
    ]
    return ages, survival, [schedule.young * schedule.female_share] * broods
