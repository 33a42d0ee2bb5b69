"""Conductivity: to one temperature, and to dissolved solids."""

from __future__ import annotations

from typing import Final

from diagnose.water.limits import within

REFERENCE_TEMPERATURE_C: Final = 25.0
# Default of a maker's meters for fresh water (Hanna HI9829 manual); inside the 0.0175 to 0.0198
# that Hayashi 2004 found in natural waters.
FRESH_WATER_PER_C: Final = 0.0190
# What makes 20 °C to 25 °C come out as potassium chloride standards do (Mettler S230 manual).
POTASSIUM_CHLORIDE_PER_C: Final = 0.0191
HIGHEST_US_CM: Final = 20_000.0

# mg/L of dissolved solids per uS/cm. The default is common practice, no source.
DISSOLVED_SOLIDS_FACTOR: Final = 0.64
# Meters are set to this for salts (Hanna HI9829 manual).
STRONG_IONIC_FACTOR: Final = 0.50
# Ends of the factors found in nature (Hem 1985, from memory) and in pure sodium chloride.
LOWEST_FACTOR: Final = 0.47
HIGHEST_FACTOR: Final = 0.96


def to_25_c(
    us_cm: float, temperature_c: float, coefficient_per_c: float = FRESH_WATER_PER_C
) -> float:
    """Conductivity as it would read at 25 °C, by a linear coefficient referred to 25 °C [1]_.

    k25 = k / (1 + a (t - 25))

    Parameters
    ----------
    us_cm : float
        Conductivity as it read, without the meter's own compensation [uS/cm].
    temperature_c : float
        Water temperature at the reading [°C].
    coefficient_per_c : float
        Share by which conductivity grows per degree, referred to 25 °C [1/°C].

    Returns
    -------
    float
        Conductivity at 25 °C [uS/cm].

    Limits
    ------
    5 to 35 °C, 0 to 20 000 uS/cm, coefficient 0.0175 to 0.0220. From 10 to 30 °C the line is
    within 1.5 % of potassium chloride standards. Most meters compensate themselves: do not do it
    twice.

    Examples
    --------
    20 °C; a potassium chloride standard of 1413 reads 1278 there [2]_, a factor of 1.1056.

    >>> round(to_25_c(1278, 20, POTASSIUM_CHLORIDE_PER_C))
    1413

    References
    ----------
    .. [1] Hayashi, M. 2004. Environ. Monit. Assess. 96: 119-128.
    .. [2] Mettler S230 instruction manual, table of standards.
    """
    within("conductivity", us_cm, 0.0, HIGHEST_US_CM, "uS/cm")
    within("water temperature", temperature_c, 5.0, 35.0, "°C")
    within("temperature coefficient", coefficient_per_c, 0.0175, 0.0220, "per °C")
    return us_cm / (1.0 + coefficient_per_c * (temperature_c - REFERENCE_TEMPERATURE_C))


def dissolved_solids_mg_l(us_cm_25: float, factor: float = DISSOLVED_SOLIDS_FACTOR) -> float:
    """Dissolved solids from conductivity at 25 °C, by a factor.

    TDS = factor * k25; the factor depends on which salts, 0.47 to 0.96 [1]_.

    Parameters
    ----------
    us_cm_25 : float
        Conductivity at 25 °C [uS/cm].
    factor : float
        Dissolved solids per conductivity [mg/L per uS/cm].

    Returns
    -------
    float
        Dissolved solids [mg/L].

    Limits
    ------
    0 to 20 000 uS/cm, factor 0.47 to 0.96. A meter that shows "ppm" has a factor inside: ask which.

    Examples
    --------
    A meter set to 0.5 shows 200 for water of 400 uS/cm [2]_.

    >>> dissolved_solids_mg_l(400, STRONG_IONIC_FACTOR)
    200.0

    References
    ----------
    .. [1] Hem, J. D. 1985. USGS Water-Supply Paper 2254 (0.54 to 0.96, from memory).
    .. [2] Hanna HI9829 instruction manual.
    """
    within("conductivity", us_cm_25, 0.0, HIGHEST_US_CM, "uS/cm")
    within("dissolved-solids factor", factor, LOWEST_FACTOR, HIGHEST_FACTOR)
    return us_cm_25 * factor


def us_cm_25_from_dissolved_solids(
    dissolved_solids_mg_l: float, factor: float = DISSOLVED_SOLIDS_FACTOR
) -> float:
    """Conductivity at 25 °C behind a reading of dissolved solids; undoes `dissolved_solids_mg_l`.

    Parameters
    ----------
    dissolved_solids_mg_l : float
        Dissolved solids as the meter shows them [mg/L], 0 to 19 000.
    factor : float
        The factor inside the meter, 0.47 to 0.96 [mg/L per uS/cm].

    Returns
    -------
    float
        Conductivity at 25 °C [uS/cm].

    Examples
    --------
    >>> us_cm_25_from_dissolved_solids(200, STRONG_IONIC_FACTOR)
    400.0
    """
    within("dissolved solids", dissolved_solids_mg_l, 0.0, HIGHEST_US_CM * 0.95, "mg/L")
    within("dissolved-solids factor", factor, LOWEST_FACTOR, HIGHEST_FACTOR)
    return dissolved_solids_mg_l / factor
