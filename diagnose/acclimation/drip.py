"""Dripping new water into a vessel: what becomes of what is dissolved in it.

Balances of mass, so they carry no citation. What is conserved mixes so: hardness, alkalinity,
dissolved solids, heat; not pH.
"""

from __future__ import annotations

import math

from diagnose.water.limits import within
from diagnose.water.mixing import Portion, mix

LARGEST_VOLUME_L = 10_000.0


def after_filling(old: float, new: float, start_l: float, dripped_l: float) -> float:
    """Value after new water has dripped into a vessel that only fills up.

    (old V + new q) / (V + q)

    Parameters
    ----------
    old, new : float
        Value in the vessel at the start and in the dripping water [any one unit].
    start_l, dripped_l : float
        Water at the start, and dripped in since [L].

    Returns
    -------
    float
        Value now [the same unit].

    Examples
    --------
    As much again leaves half of the difference.

    >>> after_filling(300, 100, 0.4, 0.4)
    200.0
    """
    return mix((Portion(start_l, old), Portion(dripped_l, new)))


def after_flowing_over(old: float, new: float, volume_l: float, dripped_l: float) -> float:
    """Value after new water has dripped into a full vessel that flows over, always well mixed.

    new + (old - new) exp(-q / V)

    Parameters
    ----------
    old, new : float
        Value in the vessel at the start and in the dripping water [any one unit].
    volume_l, dripped_l : float
        Water in the vessel, and dripped through since [L].

    Returns
    -------
    float
        Value now [the same unit].

    Examples
    --------
    One volume through leaves 37 % of the difference.

    >>> round(after_flowing_over(1, 0, 0.4, 0.4), 3)
    0.368
    """
    within("volume", volume_l, 1e-6, LARGEST_VOLUME_L, "L")
    within("water dripped in", dripped_l, 0.0, LARGEST_VOLUME_L, "L")
    return new + (old - new) * math.exp(-dripped_l / volume_l)


def halvings_for(gap: float, left: float) -> int:
    """How often a vessel must be doubled with new water, and half poured off, until no more than
    `left` remains of a gap.

    n = ceil(log2(gap / left)), at least 0; many small ones come to the exponential law above.

    Parameters
    ----------
    gap, left : float
        Difference at the start and the one that may remain [the same unit], left above 0.

    Returns
    -------
    int
        Number of doublings [-].

    Examples
    --------
    >>> halvings_for(300, 40)
    3
    """
    within("gap that may remain", left, 1e-9, math.inf)
    gap = abs(gap)
    return 0 if gap <= left else math.ceil(math.log2(gap / left) - 1e-9)
