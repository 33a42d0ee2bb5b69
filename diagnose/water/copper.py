"""Copper limits by hardness. All in ug/L; hardness in mg/L of CaCO3.

Copper kills shrimp and snails at a few hundredths of a mg/L, far below what drinking-water rules
allow; hardness lessens the harm, organic matter even more (which these formulas leave out).
"""

from __future__ import annotations

import math
from typing import Final

from diagnose.water.limits import within

# Slope and intercept of ln(limit) over ln(hardness): 40 CFR 132 tables 1(b) and 2(b).
EPA_ACUTE: Final = (0.9422, -1.700)
EPA_CHRONIC: Final = (0.8545, -1.702)
# The same before 1995, US EPA 1985, as in WAC 173-201A-240.
EPA_ACUTE_1985: Final = (0.9422, -1.464)
EPA_CHRONIC_1985: Final = (0.8545, -1.465)
EPA_DISSOLVED_SHARE: Final = 0.960
LOWEST_HARDNESS_MG_L: Final = 25.0
HIGHEST_HARDNESS_MG_L: Final = 400.0

# Drinking water, for contrast: WHO guideline value.
WHO_TAP_UG_L: Final = 2000.0


def _hardness_law(hardness_mg_l: float, law: tuple[float, float]) -> float:
    within("hardness", hardness_mg_l, LOWEST_HARDNESS_MG_L, HIGHEST_HARDNESS_MG_L, "mg/L CaCO3")
    slope, intercept = law
    return math.exp(slope * math.log(hardness_mg_l) + intercept)


def epa_acute_ug_l(
    hardness_mg_l: float, dissolved: bool = True, law: tuple[float, float] = EPA_ACUTE
) -> float:
    """Acute limit for copper in fresh water by hardness, US EPA [1]_.

    CMC = exp(0.9422 ln H - 1.700), times 0.960 for the dissolved part

    Parameters
    ----------
    hardness_mg_l : float
        Hardness [mg/L CaCO3].
    dissolved : bool
        Whether the limit is for dissolved copper (the default) or for all of it.
    law : tuple[float, float]
        `EPA_ACUTE` (default), or `EPA_ACUTE_1985` for the older limit.

    Returns
    -------
    float
        Limit for the one-hour mean [ug/L].

    Limits
    ------
    25 to 400 mg/L CaCO3 (1.4 to 22 dGH; range from memory). Since 2007 the EPA recommends a
    biotic-ligand model instead, which needs more measurements than a keeper has.

    Examples
    --------
    50 mg/L; a state agency's tests hold 6.994233901 [2]_.

    >>> round(epa_acute_ug_l(50), 6)
    6.994234

    References
    ----------
    .. [1] 40 CFR 132, tables 1(b) and 2(b); 60 FR 15387.
    .. [2] Oregon water quality criteria, tests of jasonelaw/ORDEQWaterQualityCriteria.
    """
    return _hardness_law(hardness_mg_l, law) * (EPA_DISSOLVED_SHARE if dissolved else 1.0)


def epa_chronic_ug_l(
    hardness_mg_l: float, dissolved: bool = True, law: tuple[float, float] = EPA_CHRONIC
) -> float:
    """Chronic limit for copper in fresh water by hardness, US EPA [1]_.

    CCC = exp(0.8545 ln H - 1.702), times 0.960 for the dissolved part

    Parameters
    ----------
    hardness_mg_l : float
        Hardness [mg/L CaCO3].
    dissolved : bool
        Whether the limit is for dissolved copper (the default) or for all of it.
    law : tuple[float, float]
        `EPA_CHRONIC` (default), or `EPA_CHRONIC_1985` for the older limit.

    Returns
    -------
    float
        Limit for the four-day mean [ug/L].

    Limits
    ------
    25 to 400 mg/L CaCO3; see `epa_acute_ug_l`.

    Examples
    --------
    100 mg/L; a state agency's tests hold 8.955751301.

    >>> round(epa_chronic_ug_l(100), 6)
    8.955751

    References
    ----------
    .. [1] 40 CFR 132; see `epa_acute_ug_l`.
    """
    return _hardness_law(hardness_mg_l, law) * (EPA_DISSOLVED_SHARE if dissolved else 1.0)


def bc_maximum_ug_l(hardness_mg_l: float) -> float:
    """British Columbia's maximum for total copper [1]_.

    0.094 H + 2

    Parameters
    ----------
    hardness_mg_l : float
        Hardness [mg/L CaCO3], 0 to 400.

    Returns
    -------
    float
        Limit [ug/L].

    Examples
    --------
    >>> round(bc_maximum_ug_l(100), 2)
    11.4

    References
    ----------
    .. [1] British Columbia 2006. Approved Water Quality Guidelines.
    """
    within("hardness", hardness_mg_l, 0.0, HIGHEST_HARDNESS_MG_L, "mg/L CaCO3")
    return 0.094 * hardness_mg_l + 2.0


def bc_mean_ug_l(hardness_mg_l: float) -> float:
    """British Columbia's limit for the 30-day mean of total copper [1]_.

    2 up to 50 mg/L CaCO3, 0.04 H above

    Parameters
    ----------
    hardness_mg_l : float
        Hardness [mg/L CaCO3], 0 to 400.

    Returns
    -------
    float
        Limit [ug/L].

    Examples
    --------
    >>> bc_mean_ug_l(30), bc_mean_ug_l(100)
    (2.0, 4.0)

    References
    ----------
    .. [1] British Columbia 2006. Approved Water Quality Guidelines.
    """
    within("hardness", hardness_mg_l, 0.0, HIGHEST_HARDNESS_MG_L, "mg/L CaCO3")
    return max(2.0, 0.04 * hardness_mg_l)


def ccme_ug_l(hardness_mg_l: float) -> float:
    """Canada's long-term guideline for total copper [1]_.

    0.2 exp(0.8545 ln H - 1.465), at least 2

    Parameters
    ----------
    hardness_mg_l : float
        Hardness [mg/L CaCO3].

    Returns
    -------
    float
        Guideline [ug/L].

    Limits
    ------
    1 to 400 mg/L CaCO3. Some printings stop at 4 ug/L above 180 mg/L (from memory); this follows
    the printing in [1]_, which does not.

    Examples
    --------
    >>> round(ccme_ug_l(100), 2)
    2.36

    References
    ----------
    .. [1] Canadian Council of Ministers of the Environment, as in a Statistics Canada table.
    """
    within("hardness", hardness_mg_l, 1.0, HIGHEST_HARDNESS_MG_L, "mg/L CaCO3")
    slope, intercept = EPA_CHRONIC_1985
    return max(2.0, 0.2 * math.exp(slope * math.log(hardness_mg_l) + intercept))
