"""How much shrimp a container carries, in grams: simple rules whose numbers stand in the rulebook.

Never falls with volume, planting or age, and so never argues against more of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

from diagnose.rulebook.terms import Number

#: Planting nobody told of counts as none.
UNTOLD_PLANTING = "none"


def along(points: Sequence[tuple[float, float]], x: float) -> float:
    """The value at x: linear between the points, flat outside.

    >>> along(((0, 0), (10, 1)), 5), along(((0, 0), (10, 1)), 99)
    (0.5, 1)
    """
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def carries_g_per_l(
    planting: str | None, *, moved_water: bool, numbers: Mapping[str, Number]
) -> float:
    """Grams of shrimp a litre that a mature container carries.

    moved_water: a filter runs or air moves the surface.
    """
    still = numbers[f"capacity_g_per_l_{planting or UNTOLD_PLANTING}"].value
    return still * (numbers["capacity_factor_moved_water"].value if moved_water else 1.0)


def share_at_age(film_age_days: float, numbers: Mapping[str, Number]) -> float:
    """Share (0 to 1) of what it will carry that a container of this age carries now."""
    return along(numbers["present_share_by_age"].points, film_age_days)
