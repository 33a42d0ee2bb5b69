"""What passes between water and air: oxygen, water vapour, ammonia.

Array forms of the scalar functions of `diagnose.water`, which a test holds equal to them. They are
used in the hot loop, so a temperature outside the formulae's limits is taken at the nearer limit
instead of being refused.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array

ZERO_CELSIUS_K: Final = 273.15
LOWEST_C: Final = 0.0
HIGHEST_C: Final = 40.0
KPA_PER_ATM: Final = 101.325

# Cole & Caraco 1998: 2.07 cm/h at no wind, referred to a Schmidt number of 600.
STILL_LAKE_K600_M_D: Final = 2.07 * 24.0 / 100.0
REFERENCE_SCHMIDT: Final = 600.0

# Carrier's pool rate: 95 BTU/(h ft2 inHg), which is 0.0885 kW/(m2 kPa).
CARRIER_KW_M2_KPA: Final = 0.0885
LATENT_HEAT_KJ_KG: Final = 2450.0


def within_limits(temperature_c: Array) -> Array:
    """Temperature [degC], held to the limits of the formulae below."""
    return np.clip(temperature_c, LOWEST_C, HIGHEST_C)


def vapour_pressure_kpa(temperature_c: Array) -> Array:
    """Saturated vapour pressure [kPa]; ln u[atm] = 11.8571 - 3840.70/K - 216961/K^2.

    Source: USGS Office of Water Quality memorandum 2011.03, as in `water.vapour`. 0 to 40 degC.
    """
    inverse = 1.0 / (within_limits(temperature_c) + ZERO_CELSIUS_K)
    return np.asarray(
        KPA_PER_ATM * np.exp(11.8571 - inverse * (3840.70 + 216961.0 * inverse)), dtype=np.float64
    )


def oxygen_saturation_mg_l(temperature_c: Array, pressure_share: float) -> Array:
    """Oxygen in balance with air [mg/L], Benson and Krause; `pressure_share` scales for altitude.

    Source: as in `water.oxygen.saturation_mg_l`, at 760 mmHg. 0 to 40 degC.
    """
    x = 1.0 / (within_limits(temperature_c) + ZERO_CELSIUS_K)
    log_c = -139.34411 + x * (1.575701e5 + x * (-6.642308e7 + x * (1.243800e10 - x * 8.621949e11)))
    return np.asarray(pressure_share * np.exp(log_c), dtype=np.float64)


def schmidt_number(temperature_c: Array) -> Array:
    """Schmidt number of oxygen in fresh water, Wanninkhof 2014; -2 to 40 degC."""
    t = within_limits(temperature_c)
    return 1745.1 + t * (-124.34 + t * (4.8055 + t * (-0.10115 + t * 0.00086842)))


def exchange_velocity_m_d(temperature_c: Array, against_still_lake: Array) -> Array:
    """Transfer velocity of oxygen [m/d]: k600 at no wind, times a factor, times (Sc/600)^-0.5.

    Source: Cole and Caraco 1998, as in `water.oxygen.transfer_velocity_m_d`. A lake's value at no
    wind is an upper estimate for a still bowl indoors, so the factor is mostly below 1 there.
    """
    return np.asarray(
        STILL_LAKE_K600_M_D
        * against_still_lake
        / np.sqrt(schmidt_number(temperature_c) / REFERENCE_SCHMIDT),
        dtype=np.float64,
    )


def evaporation_kg_m2_h_kpa(activity: Array) -> Array:
    """Water lost per m2, hour and kPa of vapour pressure difference, after Carrier.

    `activity` is 1 for Carrier's pools; still pools were measured at 0.74 (Smith, Lof and Jones
    1998). Published methods differ by 2.5 times.

    Water and air at 22 degC, half damp, in mm/d:

    >>> float(np.round(evaporation_kg_m2_h_kpa(np.array(1.0)) * 24 * 1.322, 2))
    4.13
    """
    return activity * (CARRIER_KW_M2_KPA * 3600.0 / LATENT_HEAT_KJ_KG)


def unionised_share(ph: Array, temperature_c: Array) -> Array:
    """Share of total ammonia that is NH3 (Emerson et al. 1975), as `water.ammonia` has it."""
    pka = 0.09018 + 2729.92 / (within_limits(temperature_c) + ZERO_CELSIUS_K)
    return np.asarray(1.0 / (1.0 + np.exp(np.log(10.0) * (pka - ph))), dtype=np.float64)
