"""Carbon dioxide, bicarbonate and pH: what two of them say about the third.

All of it assumes that alkalinity is carbonate alone. In peaty or phosphate-buffered water part of
it is not, and the true free CO2 is then lower than what is computed here.
"""

from __future__ import annotations

import math
from typing import Final

from diagnose.water import atomic_weights
from diagnose.water.hardness import convert
from diagnose.water.limits import OutOfRange, within
from diagnose.water.vapour import vapour_pressure_atm

ZERO_CELSIUS_K: Final = 273.15
MG_PER_MOL_CO2: Final = atomic_weights.CO2 * 1000.0
EQ_PER_MEQ: Final = 1e-3

LOWEST_PH: Final = 5.0
HIGHEST_PH: Final = 10.0
LOWEST_ALKALINITY_DKH: Final = 0.05
HIGHEST_ALKALINITY_DKH: Final = 25.0
# Air outdoors in the early 2020s (computed check values use it); a closed room often has twice it.
OUTDOOR_AIR_CO2_PPM: Final = 420.0
_BISECTIONS: Final = 60


def _kelvin(temperature_c: float) -> float:
    return within("water temperature", temperature_c, 0.0, 40.0, "°C") + ZERO_CELSIUS_K


def pk1(temperature_c: float) -> float:
    """First dissociation constant of carbonic acid at no ionic strength [1]_.

    log K1 = -356.3094 - 0.06091964 T + 21834.37/T + 126.8339 log10 T - 1684915/T^2

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        pK1 [-].

    Limits
    ------
    0 to 40 °C here (the fit itself reaches 90 °C).

    Examples
    --------
    25 °C; Harned and Davis 1943 measured 6.352 (from memory).

    >>> round(pk1(25), 3)
    6.352

    References
    ----------
    .. [1] Plummer, L. N., Busenberg, E. 1982. Geochim. Cosmochim. Acta 46: 1011-1040 (as found in
       several public codes).
    """
    t = _kelvin(temperature_c)
    return -(
        -356.3094 - 0.06091964 * t + 21834.37 / t + 126.8339 * math.log10(t) - 1684915.0 / t**2
    )


def pk2(temperature_c: float) -> float:
    """Second dissociation constant of carbonic acid at no ionic strength [1]_.

    log K2 = -107.8871 - 0.03252849 T + 5151.79/T + 38.92561 log10 T - 563713.9/T^2

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        pK2 [-].

    Limits
    ------
    0 to 40 °C here (the fit itself reaches 90 °C).

    Examples
    --------
    25 °C; Harned and Scholes 1941 measured 10.329 (second-hand).

    >>> round(pk2(25), 3)
    10.329

    References
    ----------
    .. [1] Plummer and Busenberg 1982; see `pk1`.
    """
    t = _kelvin(temperature_c)
    return -(-107.8871 - 0.03252849 * t + 5151.79 / t + 38.92561 * math.log10(t) - 563713.9 / t**2)


def pkw(temperature_c: float) -> float:
    """Ion product of water at no ionic strength [1]_.

    log Kw = -283.971 - 0.05069842 T + 13323/T + 102.24447 log10 T - 1119669/T^2

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        pKw [-].

    Limits
    ------
    0 to 40 °C here. Coefficients from memory; the tests compare them with PHREEQC.

    Examples
    --------
    >>> round(pkw(25), 1)
    14.0

    References
    ----------
    .. [1] Marshall, W. L., Franck, E. U. 1981. J. Phys. Chem. Ref. Data 10: 295-304, in the form
       that PHREEQC's databases long carried (from memory).
    """
    t = _kelvin(temperature_c)
    return -(-283.971 - 0.05069842 * t + 13323.0 / t + 102.24447 * math.log10(t) - 1119669.0 / t**2)


def henry_pk(temperature_c: float) -> float:
    """Solubility of carbon dioxide gas in water at no ionic strength [1]_.

    log KH = 108.3865 + 0.01985076 T - 6919.53/T - 40.45154 log10 T + 669365/T^2

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        -log10 of the solubility [mol/(kg atm)].

    Limits
    ------
    0 to 40 °C here. Coefficients from memory; the tests compare the result with PHREEQC.

    Examples
    --------
    >>> round(henry_pk(25), 2)
    1.47

    References
    ----------
    .. [1] Plummer and Busenberg 1982; see `pk1`.
    """
    t = _kelvin(temperature_c)
    return -(108.3865 + 0.01985076 * t - 6919.53 / t - 40.45154 * math.log10(t) + 669365.0 / t**2)


def log_activity_coefficient(
    charge: int, ionic_strength_mol_l: float, temperature_c: float
) -> float:
    r"""Logarithm of an ion's activity coefficient, after Davies [1]_.

    .. math:: \log \gamma = -A z^2 \left(\frac{\sqrt I}{1 + \sqrt I} - 0.3 I\right)

    A = 1.82e6 (eps T)^-1.5, with the dielectric constant of water
    eps = 87.740 - 0.40008 t + 9.398e-4 t^2 - 1.410e-6 t^3 [2]_.

    Parameters
    ----------
    charge : int
        Charge of the ion [-].
    ionic_strength_mol_l : float
        Ionic strength [mol/L].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        log10 of the activity coefficient [-].

    Limits
    ------
    Ionic strength 0 to 0.1 mol/L, 0 to 40 °C.

    Examples
    --------
    A textbook gives 0.90 for a single charge at 0.01 mol/L and 25 °C (from memory).

    >>> round(10 ** log_activity_coefficient(1, 0.01, 25), 2)
    0.9

    References
    ----------
    .. [1] Davies, C. W. 1962. Ion Association (from memory).
    .. [2] Malmberg, C. G., Maryott, A. A. 1956. J. Res. Natl. Bur. Stand. 56: 1-8 (from memory).
    """
    within("ionic strength", ionic_strength_mol_l, 0.0, 0.1, "mol/L")
    t = temperature_c
    dielectric = 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3
    a = 1.82e6 * math.pow(dielectric * _kelvin(temperature_c), -1.5)
    root = math.sqrt(ionic_strength_mol_l)
    return -a * charge**2 * (root / (1.0 + root) - 0.3 * ionic_strength_mol_l)


def _carbon_mol_l(alkalinity_eq_l: float, ph: float, temperature_c: float) -> tuple[float, float]:
    """Free CO2 and total inorganic carbon [mol/L] of a sodium-bicarbonate type water."""
    hydrogen = math.pow(10.0, -ph)  # an activity: it is what a pH electrode reads
    single = math.pow(10.0, log_activity_coefficient(1, alkalinity_eq_l, temperature_c))
    double = math.pow(10.0, log_activity_coefficient(2, alkalinity_eq_l, temperature_c))
    hydroxide = math.pow(10.0, -pkw(temperature_c)) / hydrogen / single
    from_carbon = alkalinity_eq_l - hydroxide + hydrogen / single
    carbonate_per_bicarbonate = math.pow(10.0, -pk2(temperature_c)) * single / (hydrogen * double)
    bicarbonate = from_carbon / (1.0 + 2.0 * carbonate_per_bicarbonate)
    co2 = bicarbonate * single * hydrogen * math.pow(10.0, pk1(temperature_c))
    return co2, co2 + bicarbonate * (1.0 + carbonate_per_bicarbonate)


def _alkalinity_eq_l(alkalinity_dkh: float) -> float:
    within("alkalinity", alkalinity_dkh, LOWEST_ALKALINITY_DKH, HIGHEST_ALKALINITY_DKH, "dKH")
    return convert(alkalinity_dkh, "dKH", "meq/L") * EQ_PER_MEQ


def free_co2_mg_l(alkalinity_dkh: float, ph: float, temperature_c: float) -> float:
    """Free carbon dioxide from alkalinity, pH and temperature [1]_.

    CO2 = g1 [HCO3-] 10^(pK1 - pH), where bicarbonate is the alkalinity less carbonate and
    hydroxide, and g1 is its Davies coefficient at the ionic strength of a sodium-bicarbonate
    water of this alkalinity.

    Parameters
    ----------
    alkalinity_dkh : float
        Alkalinity [dKH].
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Free CO2 [mg/L]. An error of 0.1 in pH is 26 % here.

    Limits
    ------
    0.05 to 25 dKH, pH 5 to 10, 0 to 40 °C, alkalinity from carbonate alone. Within 1 % of
    PHREEQC for a sodium-bicarbonate water from 0.5 dKH and up to pH 8.6; calcium waters are 1 to
    4 % lower.

    Examples
    --------
    4 dKH, pH 7.0, 25 °C; PHREEQC gives 13.513 mg per kg.

    >>> round(free_co2_mg_l(4, 7.0, 25), 1)
    13.5

    References
    ----------
    .. [1] Plummer and Busenberg 1982, see `pk1`; Davies 1962, see `log_activity_coefficient`.
    """
    within("pH", ph, LOWEST_PH, HIGHEST_PH)
    co2_mol_l, _ = _carbon_mol_l(_alkalinity_eq_l(alkalinity_dkh), ph, temperature_c)
    if co2_mol_l <= 0.0:
        # So little alkalinity cannot hold so high a pH: hydroxide alone would exceed it.
        raise OutOfRange("pH at this alkalinity", ph, LOWEST_PH, 9.0)
    return co2_mol_l * MG_PER_MOL_CO2


def inorganic_carbon_mmol_l(alkalinity_dkh: float, ph: float, temperature_c: float) -> float:
    """All dissolved inorganic carbon (CO2, bicarbonate, carbonate) from alkalinity and pH [1]_.

    Parameters
    ----------
    alkalinity_dkh : float
        Alkalinity [dKH].
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Inorganic carbon [mmol/L].

    Limits
    ------
    Those of `free_co2_mg_l`.

    Examples
    --------
    At pH = pK1 about half of it is CO2, half bicarbonate: twice the 0.357 mmol/L of 1 dKH.

    >>> round(inorganic_carbon_mmol_l(1, 6.352, 25), 1)
    0.7

    References
    ----------
    .. [1] See `free_co2_mg_l`.
    """
    free_co2_mg_l(alkalinity_dkh, ph, temperature_c)  # refuses what cannot be
    _, carbon = _carbon_mol_l(_alkalinity_eq_l(alkalinity_dkh), ph, temperature_c)
    return carbon * 1000.0


def ph_from_inorganic_carbon(
    alkalinity_dkh: float, inorganic_carbon_mmol_l: float, temperature_c: float
) -> float:
    """PH at which this alkalinity holds this much inorganic carbon; undoes the function above.

    Parameters
    ----------
    alkalinity_dkh : float
        Alkalinity [dKH], 0.05 to 25.
    inorganic_carbon_mmol_l : float
        CO2, bicarbonate and carbonate together [mmol/L].
    temperature_c : float
        Water temperature [°C], 0 to 40.

    Returns
    -------
    float
        pH [-], found by halving the interval from 5 to 10.

    Limits
    ------
    Raises `OutOfRange` if no pH from 5 to 10 fits.

    Examples
    --------
    >>> round(ph_from_inorganic_carbon(4, inorganic_carbon_mmol_l(4, 7.2, 22), 22), 6)
    7.2
    """
    alkalinity_eq_l = _alkalinity_eq_l(alkalinity_dkh)

    def carbon_mmol_l(ph: float) -> float:
        return _carbon_mol_l(alkalinity_eq_l, ph, temperature_c)[1] * 1000.0

    within(
        "inorganic carbon",
        inorganic_carbon_mmol_l,
        max(carbon_mmol_l(HIGHEST_PH), 0.0),
        carbon_mmol_l(LOWEST_PH),
        "mmol/L",
    )
    low, high = LOWEST_PH, HIGHEST_PH
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        if carbon_mmol_l(middle) > inorganic_carbon_mmol_l:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def ph_at_co2(alkalinity_dkh: float, co2_mg_l: float, temperature_c: float) -> float:
    """PH of water of this alkalinity that holds this much free CO2; undoes `free_co2_mg_l`.

    Parameters
    ----------
    alkalinity_dkh : float
        Alkalinity [dKH], 0.05 to 25.
    co2_mg_l : float
        Free CO2 [mg/L].
    temperature_c : float
        Water temperature [°C], 0 to 40.

    Returns
    -------
    float
        pH [-], found by halving the interval from 5 to 10. With `co2_air_equilibrium_mg_l` it is
        the pH that water settles at when left open.

    Limits
    ------
    Raises `OutOfRange` if no pH from 5 to 10 fits.

    Examples
    --------
    >>> round(ph_at_co2(4, free_co2_mg_l(4, 7.2, 22), 22), 6)
    7.2
    """
    alkalinity_eq_l = _alkalinity_eq_l(alkalinity_dkh)

    def co2(ph: float) -> float:
        return _carbon_mol_l(alkalinity_eq_l, ph, temperature_c)[0] * MG_PER_MOL_CO2

    within("free CO2", co2_mg_l, max(co2(HIGHEST_PH), 0.0), co2(LOWEST_PH), "mg/L")
    low, high = LOWEST_PH, HIGHEST_PH
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        if co2(middle) > co2_mg_l:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def co2_air_equilibrium_mg_l(temperature_c: float, air_ppm: float = OUTDOOR_AIR_CO2_PPM) -> float:
    """Free CO2 of water in balance with air at sea level, by Henry's law [1]_.

    CO2 = KH * x * (1 - u), with x the share of CO2 in dry air and u the vapour pressure of water.

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].
    air_ppm : float
        Carbon dioxide in the air [parts per million by volume of dry air].

    Returns
    -------
    float
        Free CO2 [mg/L].

    Limits
    ------
    0 to 40 °C, 100 to 50 000 ppm, 1 atm.

    Examples
    --------
    420 ppm at 25 °C: 0.61 mg/L, as computed apart from this program.

    >>> round(co2_air_equilibrium_mg_l(25), 2)
    0.61

    References
    ----------
    .. [1] Plummer and Busenberg 1982; see `henry_pk`.
    """
    within("carbon dioxide in the air", air_ppm, 100.0, 50_000.0, "ppm")
    pressure_atm = air_ppm * 1e-6 * (1.0 - vapour_pressure_atm(temperature_c))
    return math.pow(10.0, -henry_pk(temperature_c)) * pressure_atm * MG_PER_MOL_CO2
