"""Vapour pressure of water: the share of the air above a container that water itself takes up."""

from __future__ import annotations

import math
from typing import Final

from diagnose.water.limits import within

ZERO_CELSIUS_K: Final = 273.15


def vapour_pressure_atm(temperature_c: float) -> float:
    r"""Saturated vapour pressure of fresh water, as used with Benson and Krause's oxygen [1]_.

    .. math:: \ln u = 11.8571 - 3840.70 / K - 216961 / K^2

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Vapour pressure [atm].

    Limits
    ------
    0 to 40 °C.

    Examples
    --------
    Handbooks print 2.339 kPa at 20 °C (from memory).

    >>> round(vapour_pressure_atm(20) * 101.325, 2)
    2.34

    References
    ----------
    .. [1] USGS Office of Water Quality memorandum 2011.03 (read second-hand).
    """
    kelvin = within("water temperature", temperature_c, 0.0, 40.0, "°C") + ZERO_CELSIUS_K
    return math.exp(11.8571 - 3840.70 / kelvin - 216961.0 / kelvin**2)
