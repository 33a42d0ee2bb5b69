"""Ammonia: the poisonous share of it, its mass bases, and the limits that agencies set.

Total ammonia (TAN) is NH3 and NH4+ together. Unless a name says otherwise it is in mg/L as N.
"""

from __future__ import annotations

import math
from typing import Final

from diagnose.water import atomic_weights
from diagnose.water.limits import within

ZERO_CELSIUS_K: Final = 273.15

# Emerson et al. 1975: pKa = 0.09018 + 2729.92 / T.
EMERSON_PKA_OFFSET: Final = 0.09018
EMERSON_PKA_SLOPE_K: Final = 2729.92

# British Columbia's published ammonia tables were made with this older zero and mass ratio.
BC_ZERO_CELSIUS_K: Final = 273.2
BC_N_PER_NH3: Final = 0.822

# Exact mass ratios; mixing the two bases is a 22 % error.
NH3_PER_N: Final = atomic_weights.NH3 / atomic_weights.N
NH4_PER_N: Final = atomic_weights.NH4 / atomic_weights.N

HIGHEST_TAN_MG_L: Final = 1000.0
CRITERION_PH: Final = (6.5, 9.0)
CRITERION_TEMPERATURE_C: Final = (0.0, 30.0)


def pka(temperature_c: float, zero_celsius_k: float = ZERO_CELSIUS_K) -> float:
    r"""Acid constant of the ammonium ion in fresh water, after Emerson et al. [1]_.

    .. math:: pK_a = 0.09018 + 2729.92 / T

    Parameters
    ----------
    temperature_c : float
        Water temperature [°C].
    zero_celsius_k : float
        0 °C on the absolute scale [K]. Some published tables were made with 273.2 K, which raises
        the un-ionised share by about 0.4 %; pass that only to reproduce them.

    Returns
    -------
    float
        pKa [-].

    Limits
    ------
    0 to 40 °C; fresh water of ionic strength below about 0.01 mol/L. With the salts of a common
    tap water the true un-ionised share is about 2.5 % (of itself) lower.

    Examples
    --------
    Zero salts, 20 °C; agrees with the constants as British Columbia prints them [2]_.

    >>> round(pka(20), 4)
    9.4025

    References
    ----------
    .. [1] Emerson, K., Russo, R. C., Lund, R. E., Thurston, R. V. 1975. Aqueous ammonia
       equilibrium calculations: effect of pH and temperature. J. Fish. Res. Board Can.
       32: 2379-2383. (Read second-hand: constants as in [2]_.)
    .. [2] British Columbia, water quality guideline data set (wqg_data).
    """
    within("water temperature", temperature_c, 0.0, 40.0, "°C")
    return EMERSON_PKA_OFFSET + EMERSON_PKA_SLOPE_K / (temperature_c + zero_celsius_k)


def unionised_fraction(
    ph: float, temperature_c: float, zero_celsius_k: float = ZERO_CELSIUS_K
) -> float:
    r"""Share of total ammonia that is the poisonous un-ionised NH3, after Emerson et al. [1]_.

    .. math:: f = \frac{1}{1 + 10^{pK_a - pH}}

    Parameters
    ----------
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].
    zero_celsius_k : float
        0 °C on the absolute scale [K]; see `pka`.

    Returns
    -------
    float
        Un-ionised share, 0 to 1 [-]; the same on the basis of moles and of N.

    Limits
    ------
    pH 3 to 11, 0 to 40 °C, fresh water.

    Examples
    --------
    pH 8.0 and 20 °C; a table in a textbook of aquatic veterinary medicine prints 0.0381 [2]_.

    >>> round(unionised_fraction(8.0, 20), 4)
    0.0381

    References
    ----------
    .. [1] Emerson et al. 1975; see `pka`.
    .. [2] Fundamentals of Aquatic Veterinary Medicine, table 1.4 (online text).
    """
    within("pH", ph, 3.0, 11.0)
    return 1.0 / (1.0 + math.pow(10.0, pka(temperature_c, zero_celsius_k) - ph))


def unionised_ammonia_mg_l(tan_mg_l: float, ph: float, temperature_c: float) -> float:
    """Un-ionised ammonia as N, from total ammonia as N, after Emerson et al. [1]_.

    NH3-N = f * TAN

    Parameters
    ----------
    tan_mg_l : float
        Total ammonia as N [mg/L].
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        NH3 as N [mg/L]; `nh3_from_n_mg_l` turns it into the mass of NH3 itself.

    Limits
    ------
    Those of `unionised_fraction`; total ammonia 0 to 1000 mg/L.

    Examples
    --------
    TAN 0.03 mmol/L at 15 °C and pH 8.5 is 0.00238 mmol/L of NH3 [2]_ (a ratio, so any unit).

    >>> round(unionised_ammonia_mg_l(0.03, 8.5, 15), 5)
    0.00238

    References
    ----------
    .. [1] Emerson et al. 1975; see `pka`.
    .. [2] aqion.de, page 109, un-ionised ammonia.
    """
    within("total ammonia", tan_mg_l, 0.0, HIGHEST_TAN_MG_L, "mg/L as N")
    return tan_mg_l * unionised_fraction(ph, temperature_c)


def nh3_as_n(nh3_mg_l: float) -> float:
    """Nitrogen in a mass of un-ionised ammonia, from atomic weights (IUPAC).

    N = NH3 * 14.007 / 17.031

    Parameters
    ----------
    nh3_mg_l : float
        Un-ionised ammonia as NH3 [mg/L].

    Returns
    -------
    float
        The same as N [mg/L].

    Limits
    ------
    0 to 1000 mg/L.

    Examples
    --------
    British Columbia uses the factor 0.822.

    >>> round(nh3_as_n(1.0), 3)
    0.822
    """
    return within("un-ionised ammonia", nh3_mg_l, 0.0, HIGHEST_TAN_MG_L, "mg/L") / NH3_PER_N


def nh3_from_n_mg_l(nh3_n_mg_l: float) -> float:
    """Mass of un-ionised ammonia that holds this much nitrogen; undoes `nh3_as_n`.

    Parameters
    ----------
    nh3_n_mg_l : float
        Un-ionised ammonia as N [mg/L], 0 to 1000.

    Returns
    -------
    float
        The same as NH3 [mg/L].

    Examples
    --------
    >>> round(nh3_from_n_mg_l(1.0), 4)
    1.2159
    """
    return within("un-ionised ammonia", nh3_n_mg_l, 0.0, HIGHEST_TAN_MG_L, "mg/L as N") * NH3_PER_N


def tan_from_nh4_mg_l(total_as_nh4_mg_l: float) -> float:
    """Total ammonia as N, from total ammonia given as the mass of NH4 (as most kits give it).

    N = NH4 * 14.007 / 18.039, from atomic weights (IUPAC).

    Parameters
    ----------
    total_as_nh4_mg_l : float
        Total ammonia as NH4 [mg/L], 0 to 1000.

    Returns
    -------
    float
        The same as N [mg/L].

    Examples
    --------
    >>> round(tan_from_nh4_mg_l(1.2879), 4)
    1.0
    """
    return within("total ammonia", total_as_nh4_mg_l, 0.0, HIGHEST_TAN_MG_L, "mg/L") / NH4_PER_N


def nh4_from_tan_mg_l(tan_mg_l: float) -> float:
    """Total ammonia given as the mass of NH4, from total ammonia as N; undoes `tan_from_nh4_mg_l`.

    Parameters
    ----------
    tan_mg_l : float
        Total ammonia as N [mg/L], 0 to 1000.

    Returns
    -------
    float
        The same as NH4 [mg/L].

    Examples
    --------
    >>> round(nh4_from_tan_mg_l(1.0), 4)
    1.2879
    """
    return within("total ammonia", tan_mg_l, 0.0, HIGHEST_TAN_MG_L, "mg/L as N") * NH4_PER_N


def _two_branches(ph: float, midpoint: float, acid_side: float, base_side: float) -> float:
    # The EPA's shape for pH: one plateau where NH4+ prevails, another where NH3 does.
    return acid_side / (1.0 + math.pow(10.0, midpoint - ph)) + base_side / (
        1.0 + math.pow(10.0, ph - midpoint)
    )


def _within_criterion(ph: float, temperature_c: float) -> None:
    within("pH", ph, *CRITERION_PH)
    within("water temperature", temperature_c, *CRITERION_TEMPERATURE_C, "°C")


def acute_criterion_tan_mg_l(
    ph: float, temperature_c: float, salmonids_present: bool = False
) -> float:
    r"""Acute limit (one-hour mean) for total ammonia in fresh water, US EPA 2013 [1]_.

    .. math:: B = 0.7249 \left(\frac{0.0114}{1+10^{7.204-pH}}
              + \frac{1.6181}{1+10^{pH-7.204}}\right)

    Without salmonids B min(51.93, 23.12 x 10^(0.036(20-T))); with them the smaller of
    0.275/(1+10^(7.204-pH)) + 39.0/(1+10^(pH-7.204)) and B x 23.12 x 10^(0.036(20-T)).

    Parameters
    ----------
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].
    salmonids_present : bool
        Whether trout or salmon of the genus Oncorhynchus are to be protected.

    Returns
    -------
    float
        Total ammonia as N [mg/L].

    Limits
    ------
    pH 6.5 to 9.0, 0 to 30 °C. A limit for whole waters and driven by mussels; it is a yardstick
    for shrimp, not a safe level for them. The cap 51.93 is from memory.

    Examples
    --------
    pH 7, 20 °C; the EPA's headline figure is 17 mg/L [1]_.

    >>> round(acute_criterion_tan_mg_l(7.0, 20))
    17

    References
    ----------
    .. [1] US EPA 2013. Aquatic life ambient water quality criteria for ammonia - freshwater.
       EPA 822-R-18-002 (first as EPA-822-R-13-001). Equations as state agencies' code has them.
    """
    _within_criterion(ph, temperature_c)
    by_ph = 0.7249 * _two_branches(ph, 7.204, 0.0114, 1.6181)
    by_temperature = 23.12 * math.pow(10.0, 0.036 * (20.0 - temperature_c))
    if salmonids_present:
        return min(_two_branches(ph, 7.204, 0.275, 39.0), by_ph * by_temperature)
    return by_ph * min(51.93, by_temperature)


def chronic_criterion_tan_mg_l(ph: float, temperature_c: float) -> float:
    r"""Chronic limit (30-day mean) for total ammonia in fresh water, US EPA 2013 [1]_.

    .. math:: 0.8876 \left(\frac{0.0278}{1+10^{7.688-pH}} + \frac{1.1994}{1+10^{pH-7.688}}\right)
              \times 2.126 \times 10^{0.028 (20 - \max(T, 7))}

    Parameters
    ----------
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Total ammonia as N [mg/L]; no four-day mean in the thirty days above 2.5 times this.

    Limits
    ------
    pH 6.5 to 9.0, 0 to 30 °C.

    Examples
    --------
    pH 7, 20 °C; the EPA's headline figure is 1.9 mg/L [1]_.

    >>> round(chronic_criterion_tan_mg_l(7.0, 20), 1)
    1.9

    References
    ----------
    .. [1] US EPA 2013; see `acute_criterion_tan_mg_l`.
    """
    _within_criterion(ph, temperature_c)
    by_temperature = 2.126 * math.pow(10.0, 0.028 * (20.0 - max(temperature_c, 7.0)))
    return 0.8876 * _two_branches(ph, 7.688, 0.0278, 1.1994) * by_temperature


def _bc_ph_factor(ph: float) -> float:
    return 1.0 if ph >= 8.0 else (1.0 + math.pow(10.0, 7.4 - ph)) / 1.25


def _bc_temperature_factor(temperature_c: float, cap_c: float) -> float:
    return math.pow(10.0, 0.03 * (20.0 - min(temperature_c, cap_c)))


def bc_maximum_tan_mg_l(ph: float, temperature_c: float) -> float:
    """British Columbia's maximum for total ammonia in fresh water [1]_.

    0.52 / FT / FPH / 2 as NH3, times 0.822, over the un-ionised share (with 0 °C = 273.2 K);
    FT = 10^(0.03(20 - min(T, 20))), FPH = 1 from pH 8 and (1 + 10^(7.4 - pH)) / 1.25 below.

    Parameters
    ----------
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Total ammonia as N [mg/L].

    Limits
    ------
    pH 6.5 to 9.0, 0 to 20 °C as tabulated. Formula from memory; it reproduces the printed table.

    Examples
    --------
    pH 8, 20 °C; the table prints 5.60, made with rounded steps [1]_.

    >>> round(bc_maximum_tan_mg_l(8.0, 20), 2)
    5.59

    References
    ----------
    .. [1] British Columbia 2006. Approved Water Quality Guidelines, tables 3 and 4; the formula is
       that of US EPA 1985, Ambient water quality criteria for ammonia.
    """
    within("pH", ph, *CRITERION_PH)
    within("water temperature", temperature_c, 0.0, 20.0, "°C")
    nh3_mg_l = 0.52 / _bc_temperature_factor(temperature_c, 20.0) / _bc_ph_factor(ph) / 2.0
    return BC_N_PER_NH3 * nh3_mg_l / unionised_fraction(ph, temperature_c, BC_ZERO_CELSIUS_K)


def bc_mean_tan_mg_l(ph: float, temperature_c: float) -> float:
    """British Columbia's limit for the 30-day mean of total ammonia in fresh water [1]_.

    0.80 / FT / FPH / R as NH3, times 0.822, over the un-ionised share (with 0 °C = 273.2 K); FT
    and FPH as for `bc_maximum_tan_mg_l` but with T held at 15 °C; R = 16 from pH 7.7 and
    24 x 10^(7.7 - pH) / (1 + 10^(7.4 - pH)) below.

    Parameters
    ----------
    ph : float
        pH [-].
    temperature_c : float
        Water temperature [°C].

    Returns
    -------
    float
        Total ammonia as N [mg/L].

    Limits
    ------
    pH 6.5 to 9.0, 0 to 20 °C as tabulated. Formula from memory; it reproduces the printed table.

    Examples
    --------
    pH 8, 20 °C; the table prints 0.762 [1]_.

    >>> round(bc_mean_tan_mg_l(8.0, 20), 3)
    0.762

    References
    ----------
    .. [1] British Columbia 2006; see `bc_maximum_tan_mg_l`.
    """
    within("pH", ph, *CRITERION_PH)
    within("water temperature", temperature_c, 0.0, 20.0, "°C")
    ratio = 16.0
    if ph < 7.7:
        ratio = 24.0 * math.pow(10.0, 7.7 - ph) / (1.0 + math.pow(10.0, 7.4 - ph))
    nh3_mg_l = 0.80 / _bc_temperature_factor(temperature_c, 15.0) / _bc_ph_factor(ph) / ratio
    return BC_N_PER_NH3 * nh3_mg_l / unionised_fraction(ph, temperature_c, BC_ZERO_CELSIUS_K)
