"""Oxygen: how much fresh water holds, and how fast it passes through a still surface."""

from __future__ import annotations

import math
from typing import Final

from diagnose.water.limits import within
from diagnose.water.vapour import vapour_pressure_atm

ZERO_CELSIUS_K: Final = 273.15
STANDARD_PRESSURE_MMHG: Final = 760.0
HOURS_PER_DAY: Final = 24.0
CM_PER_M: Final = 100.0

# Polynomials of the Schmidt number of oxygen in fresh water, constant term first, with the
# temperatures [°C] their authors give.
SchmidtFit = tuple[tuple[float, ...], float, float]
WANNINKHOF_1992: Final[SchmidtFit] = ((1800.6, -120.10, 3.7818, -0.047608), 0.0, 30.0)
WANNINKHOF_2014: Final[SchmidtFit] = (
    (1745.1, -124.34, 4.8055, -0.10115, 0.00086842),
    -2.0,
    40.0,
)
RAYMOND_2012: Final[SchmidtFit] = ((1568.0, -86.04, 2.142, -0.0216), 4.0, 35.0)

# Cole & Caraco 1998 refer their velocity to CO2 in fresh water at 20 °C.
REFERENCE_SCHMIDT_NUMBER: Final = 600.0
STILL_WATER_EXPONENT: Final = -0.5


def saturation_mg_l(temperature_c: float, pressure_mmhg: float = STANDARD_PRESSURE_MMHG) -> float:
    r"""Oxygen in fresh water in balance with moist air, after Benson and Krause [1]_.

    .. math:: \ln C = -139.34411 + \frac{1.575701 \times 10^5}{K}
              - \frac{6.642308 \times 10^7}{K^2} + \frac{1.243800 \times 10^{10}}{K^3}
              - \frac{8.621949 \times 10^{11}}{K^4}

    times, for another pressure P [atm], ((P - u)(1 - theta P)) / ((1 - u)(1 - theta)), with u the
    vapour pressure of water and theta = 0.000975 - 1.426e-5 t + 6.436e-8 t^2 (theta from memory).

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].
    pressure_mmhg : float
        Air pressure where the container stands [mmHg], not reduced to sea level.

    Returns
    -------
    float
        Oxygen at saturation [mg/L].

    Limits
    ------
    0 to 40 °C, 450 to 820 mmHg, fresh water.

    Examples
    --------
    24 °C at sea level; a textbook of surface-water modelling prints 8.418 [2]_.

    >>> round(saturation_mg_l(24), 3)
    8.418

    References
    ----------
    .. [1] Benson, B. B., Krause, D. 1980, 1984. Limnol. Oceanogr. 25: 662-671, 29: 620-632;
       in the form of USGS Office of Water Quality memorandum 2011.03 (read second-hand).
    .. [2] Chapra, S. C. Surface Water-Quality Modeling.
    """
    within("water temperature", temperature_c, 0.0, 40.0, "°C")
    within("air pressure", pressure_mmhg, 450.0, 820.0, "mmHg")
    kelvin = temperature_c + ZERO_CELSIUS_K
    at_one_atmosphere = math.exp(
        -139.34411
        + 1.575701e5 / kelvin
        - 6.642308e7 / kelvin**2
        + 1.243800e10 / kelvin**3
        - 8.621949e11 / kelvin**4
    )
    return at_one_atmosphere * _pressure_factor(temperature_c, pressure_mmhg)


def _pressure_factor(temperature_c: float, pressure_mmhg: float) -> float:
    vapour_atm = vapour_pressure_atm(temperature_c)
    theta = 0.000975 - 1.426e-5 * temperature_c + 6.436e-8 * temperature_c**2
    pressure_atm = pressure_mmhg / STANDARD_PRESSURE_MMHG
    moist = (pressure_atm - vapour_atm) / (1.0 - vapour_atm)
    return moist * (1.0 - theta * pressure_atm) / (1.0 - theta)


def percent_saturation(
    oxygen_mg_l: float, temperature_c: float, pressure_mmhg: float = STANDARD_PRESSURE_MMHG
) -> float:
    """Oxygen as a percentage of what the water would hold in balance with air [1]_.

    100 * C / C_sat

    Parameters
    ----------
    oxygen_mg_l : float
        Oxygen measured [mg/L].
    temperature_c : float
        Water temperature [°C].
    pressure_mmhg : float
        Air pressure where the container stands [mmHg].

    Returns
    -------
    float
        Saturation [%]; above 100 in plants at work.

    Limits
    ------
    Those of `saturation_mg_l`; oxygen 0 to 60 mg/L (pure oxygen gives about 70 in ice water).

    Examples
    --------
    Half of the 9.092 mg/L that water at 20 °C holds [1]_.

    >>> round(percent_saturation(4.546, 20), 1)
    50.0

    References
    ----------
    .. [1] Benson and Krause; see `saturation_mg_l`.
    """
    within("oxygen", oxygen_mg_l, 0.0, 60.0, "mg/L")
    return 100.0 * oxygen_mg_l / saturation_mg_l(temperature_c, pressure_mmhg)


def pressure_mmhg_at(altitude_m: float) -> float:
    r"""Mean air pressure at an altitude, by the standard atmosphere [1]_.

    .. math:: p = 760 \,(1 - 2.25577 \times 10^{-5} h)^{5.25588}

    Parameters
    ----------
    altitude_m : float
        Altitude above sea level [m].

    Returns
    -------
    float
        Air pressure [mmHg].

    Limits
    ------
    -430 m (the lowest shore on land) to 4000 m. The weather moves it by about 3 % either way.

    Examples
    --------
    300 m; 733.4 mmHg underlies an instrument maker's altitude table [2]_.

    >>> round(pressure_mmhg_at(300), 1)
    733.4

    References
    ----------
    .. [1] ICAO Doc 7488, Manual of the standard atmosphere (constants from memory).
    .. [2] Hanna HI98193 instruction manual, altitude table.
    """
    within("altitude", altitude_m, -430.0, 4000.0, "m")
    return STANDARD_PRESSURE_MMHG * math.pow(1.0 - 2.25577e-5 * altitude_m, 5.25588)


def schmidt_number(temperature_c: float, fit: SchmidtFit = WANNINKHOF_2014) -> float:
    """Schmidt number of oxygen in fresh water, by default after Wanninkhof 2014 [1]_.

    Sc = a + b t + c t^2 + d t^3 (+ e t^4)

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].
    fit : SchmidtFit
        `WANNINKHOF_2014` (default: it reaches the heat of a sunny sill), `WANNINKHOF_1992` or
        `RAYMOND_2012`. They differ by up to 6 %, which is 3 % in a transfer velocity.

    Returns
    -------
    float
        Kinematic viscosity of water over diffusivity of oxygen [-].

    Limits
    ------
    From 0 °C (or the fit's own lower end) to the upper end of the fit: 40 °C in 2014, 30 °C in
    1992, 4 to 35 °C for Raymond's (ends of the ranges from memory).

    Examples
    --------
    20 °C; 510 from the 2014 coefficients [1]_, 530 from those of 1992 [2]_.

    >>> round(schmidt_number(20), 1), round(schmidt_number(20, WANNINKHOF_1992), 1)
    (510.2, 530.5)

    References
    ----------
    .. [1] Wanninkhof, R. 2014. Limnol. Oceanogr. Methods 12: 351-362 (coefficients second-hand).
    .. [2] Wanninkhof, R. 1992. J. Geophys. Res. 97: 7373-7382 (coefficients second-hand).
    .. [3] Raymond, P. A., et al. 2012. Limnol. Oceanogr. Fluids Environ. 2: 41-53 (second-hand).
    """
    coefficients, low_c, high_c = fit
    within("water temperature", temperature_c, max(low_c, 0.0), high_c, "°C")
    result = 0.0
    for coefficient in reversed(coefficients):
        result = result * temperature_c + coefficient
    return result


def k600_cm_h(wind_m_s: float) -> float:
    """Gas transfer velocity at Schmidt number 600 over a sheltered lake [1]_.

    k600 = 2.07 + 0.215 U^1.7

    Parameters
    ----------
    wind_m_s : float
        Wind speed ten metres above the water [m/s]; 0 indoors.

    Returns
    -------
    float
        Transfer velocity [cm/h].

    Limits
    ------
    0 to 10 m/s. A lake's intercept at no wind need not hold for a bowl in a room: for that it is
    an upper estimate, since a small surface is also quieter.

    Examples
    --------
    3 m/s gives 3.46 cm/h, as in [2]_.

    >>> round(k600_cm_h(3), 3)
    3.462

    References
    ----------
    .. [1] Cole, J. J., Caraco, N. F. 1998. Limnol. Oceanogr. 43: 647-656 (second-hand).
    .. [2] LakeMetabolizer, a package for lake metabolism.
    """
    within("wind speed", wind_m_s, 0.0, 10.0, "m/s")
    return 2.07 + 0.215 * math.pow(wind_m_s, 1.7)


def transfer_velocity_m_d(
    temperature_c: float, wind_m_s: float = 0.0, fit: SchmidtFit = WANNINKHOF_2014
) -> float:
    """Transfer velocity of oxygen through an open surface [1]_.

    k = k600 (Sc / 600)^-0.5

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].
    wind_m_s : float
        Wind speed [m/s]; 0 indoors.
    fit : SchmidtFit
        Which polynomial gives the Schmidt number; see `schmidt_number`.

    Returns
    -------
    float
        Transfer velocity [m/d]. Flux into the water is this times (saturation - oxygen).

    Limits
    ------
    Those of `schmidt_number` and `k600_cm_h`; a surface that is not stirred and not covered.

    Examples
    --------
    20 °C, no wind: 0.528 m/d with the Schmidt numbers of 1992.

    >>> round(transfer_velocity_m_d(20, fit=WANNINKHOF_1992), 3)
    0.528

    References
    ----------
    .. [1] Cole and Caraco 1998; see `k600_cm_h`.
    """
    k600_m_d = k600_cm_h(wind_m_s) * HOURS_PER_DAY / CM_PER_M
    ratio = schmidt_number(temperature_c, fit) / REFERENCE_SCHMIDT_NUMBER
    return k600_m_d * math.pow(ratio, STILL_WATER_EXPONENT)
