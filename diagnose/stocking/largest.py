"""The largest number that will do, by doubling and halving."""

from __future__ import annotations

from collections.abc import Callable


def largest_for(fits: Callable[[int], bool], most: int) -> int:
    """The largest number from 0 to `most` that fits, where one more never helps; 0 if 1 does not.

    >>> largest_for(lambda n: n <= 13, 100)
    13
    """
    if not fits(1):
        return 0
    low, high = 1, 2
    while high <= most and fits(high):
        low, high = high, 2 * high
    high = min(high, most + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
