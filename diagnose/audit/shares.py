"""A share of a number of cases, with the interval that belongs to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Two-sided 95 % (E. B. Wilson 1927, Probable inference, the law of succession, and statistical
#: inference).
NORMAL_95 = 1.959964


@dataclass(frozen=True, slots=True)
class Share:
    """A share of n with its 95 % interval (Wilson)."""

    value: float
    low: float
    high: float


def wilson(hits: int, n: int) -> Share:
    """A share with its 95 % interval by Wilson's score.

    >>> found = wilson(8, 10)
    >>> round(found.low, 3), round(found.high, 3)
    (0.49, 0.943)
    """
    share, z2 = hits / n, NORMAL_95**2
    middle = (share + z2 / (2 * n)) / (1 + z2 / n)
    half = NORMAL_95 / (1 + z2 / n) * math.sqrt(share * (1 - share) / n + z2 / (4 * n * n))
    return Share(share, max(0.0, middle - half), min(1.0, middle + half))
