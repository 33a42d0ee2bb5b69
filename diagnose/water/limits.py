"""The limits within which a formula holds, and the sentence said when they are left."""

from __future__ import annotations

import math


class OutOfRange(ValueError):
    """A value lies outside the limits within which a formula holds.

    The message is one sentence that names the quantity, its value with unit and what is allowed,
    so that it can be shown to a keeper as it stands.
    """

    def __init__(self, name: str, value: float, low: float, high: float, unit: str = "") -> None:
        self.name = name
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        super().__init__(
            f"The {name} is {_figure(value, unit)}; "
            f"this calculation holds only from {_figure(low)} to {_figure(high, unit)}."
        )


def _figure(value: float, unit: str = "") -> str:
    figure = f"{value:.6g}" if math.isfinite(value) else "not a finite number"
    return f"{figure} {unit}".rstrip()


def within(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return `value` if it is finite and from `low` to `high` (both ends allowed).

    Parameters
    ----------
    name : str
        What the value is, in a keeper's words, such as "water temperature".
    value, low, high : float
        The value and the ends of its range, all in `unit`.
    unit : str
        The unit as it is printed; empty for pH and for shares.

    Raises
    ------
    OutOfRange
        If the value is outside the range, infinite or not a number.

    Examples
    --------
    >>> within("pH", 7.2, 0, 14)
    7.2
    >>> within("water temperature", 45, 0, 40, "°C")
    Traceback (most recent call last):
    ...
    diagnose.water.limits.OutOfRange: The water temperature is 45 °C; this calculation holds only \
from 0 to 40 °C.
    """
    if not low <= value <= high:
        raise OutOfRange(name, value, low, high, unit)
    return value


def share(name: str, value: float) -> float:
    """Return `value` if it is a share from 0 to 1; refuse a percentage by its size.

    Parameters
    ----------
    name : str
        What it is a share of, in a keeper's words.
    value : float
        The share [-].

    Raises
    ------
    OutOfRange
        If the value is outside 0 to 1, infinite or not a number.

    Examples
    --------
    >>> share("share of new water", 0.5)
    0.5
    """
    return within(name, value, 0.0, 1.0)
