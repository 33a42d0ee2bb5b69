"""Bands: what 10, 50 and 90 % of the weight of an ensemble lies below."""

from __future__ import annotations

from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array

Band = tuple[float, float, float]
BAND_SHARES: Final = (0.10, 0.50, 0.90)


def band(values: Array, weights: Array | None = None) -> Band:
    """(low, middle, high) of members' values, each counting by its weight.

    >>> band(np.array([3.0, 1.0, 2.0]), np.array([0.0, 0.0, 1.0]))
    (2.0, 2.0, 2.0)
    """
    low, middle, high = bands(values, weights)
    return float(low), float(middle), float(high)


def bands(values: Array, weights: Array | None = None) -> Array:
    """Bands along the last axis; the result has the three of them first.

    Between members the weighted distribution is drawn as a straight line through the middle of
    each member's weight.
    """
    if weights is None:
        return np.quantile(values, BAND_SHARES, axis=-1, method="hazen")
    order = np.argsort(values, axis=-1, kind="stable")
    ranked = np.take_along_axis(values, order, axis=-1)
    weight = weights[order] / weights.sum()
    middle = np.cumsum(weight, axis=-1) - 0.5 * weight
    flat_values = ranked.reshape(-1, ranked.shape[-1])
    flat_middle = middle.reshape(-1, middle.shape[-1])
    flat_weight = weight.reshape(-1, weight.shape[-1])
    found = np.empty((len(BAND_SHARES), len(flat_values)))
    for row, (value, at, heavy) in enumerate(
        zip(flat_values, flat_middle, flat_weight, strict=True)
    ):
        there = heavy > 0.0
        found[:, row] = np.interp(BAND_SHARES, at[there], value[there])
    return found.reshape(len(BAND_SHARES), *values.shape[:-1])
