"""Nitrite, nitrate, and the nitrogen that arrives with food."""

from __future__ import annotations

import math
from typing import Final

from diagnose.water import atomic_weights
from diagnose.water.limits import share, within

NO2_PER_N: Final = atomic_weights.NO2 / atomic_weights.N
NO3_PER_N: Final = atomic_weights.NO3 / atomic_weights.N
HIGHEST_MG_L: Final = 5000.0

# Share of protein that is nitrogen, and of feed protein that ends as ammonia N: 0.16 x 0.80 x
# 0.80 x 0.90, rounded by its authors to 0.092 (Timmons and Ebeling, second-hand).
N_PER_PROTEIN: Final = 0.16
AMMONIA_N_PER_PROTEIN: Final = 0.092
# The same where nothing is flushed out or settled, as code for shrimp raceways has it.
AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE: Final = 0.144

# British Columbia 2006, table 17: chloride up to [mg/L], highest and mean nitrite [mg/L as N].
_BC_NITRITE_BY_CHLORIDE: Final = (
    (2.0, 0.06, 0.02),
    (4.0, 0.12, 0.04),
    (6.0, 0.18, 0.06),
    (8.0, 0.24, 0.08),
    (10.0, 0.30, 0.10),
    (math.inf, 0.60, 0.20),
)


def nitrite_as_n(nitrite_mg_l: float) -> float:
    """Nitrogen in a mass of nitrite ion, from atomic weights (IUPAC).

    N = NO2 / 3.2844

    Parameters
    ----------
    nitrite_mg_l : float
        Nitrite as NO2 [mg/L], 0 to 5000.

    Returns
    -------
    float
        The same as N [mg/L].

    Examples
    --------
    >>> round(nitrite_as_n(3.2844), 4)
    1.0
    """
    return within("nitrite", nitrite_mg_l, 0.0, HIGHEST_MG_L, "mg/L") / NO2_PER_N


def nitrite_from_n_mg_l(nitrite_n_mg_l: float) -> float:
    """Mass of nitrite ion that holds this much nitrogen; undoes `nitrite_as_n`.

    Parameters
    ----------
    nitrite_n_mg_l : float
        Nitrite as N [mg/L], 0 to 5000.

    Returns
    -------
    float
        The same as NO2 [mg/L].

    Examples
    --------
    >>> round(nitrite_from_n_mg_l(1.0), 4)
    3.2844
    """
    return within("nitrite", nitrite_n_mg_l, 0.0, HIGHEST_MG_L, "mg/L as N") * NO2_PER_N


def nitrate_as_n(nitrate_mg_l: float) -> float:
    """Nitrogen in a mass of nitrate ion, from atomic weights (IUPAC).

    N = NO3 / 4.4266

    Parameters
    ----------
    nitrate_mg_l : float
        Nitrate as NO3 [mg/L], 0 to 5000.

    Returns
    -------
    float
        The same as N [mg/L].

    Examples
    --------
    An instrument maker prints the factor as 4.427.

    >>> round(nitrate_as_n(4.427), 3)
    1.0
    """
    return within("nitrate", nitrate_mg_l, 0.0, HIGHEST_MG_L, "mg/L") / NO3_PER_N


def nitrate_from_n_mg_l(nitrate_n_mg_l: float) -> float:
    """Mass of nitrate ion that holds this much nitrogen; undoes `nitrate_as_n`.

    Parameters
    ----------
    nitrate_n_mg_l : float
        Nitrate as N [mg/L], 0 to 5000.

    Returns
    -------
    float
        The same as NO3 [mg/L].

    Examples
    --------
    >>> round(nitrate_from_n_mg_l(1.0), 4)
    4.4266
    """
    return within("nitrate", nitrate_n_mg_l, 0.0, HIGHEST_MG_L, "mg/L as N") * NO3_PER_N


def _bc_nitrite_row(chloride_mg_l: float) -> tuple[float, float]:
    within("chloride", chloride_mg_l, 0.0, 1000.0, "mg/L")
    if chloride_mg_l < _BC_NITRITE_BY_CHLORIDE[0][0]:
        return _BC_NITRITE_BY_CHLORIDE[0][1:]
    for up_to_mg_l, highest, mean in _BC_NITRITE_BY_CHLORIDE[1:]:
        if chloride_mg_l <= up_to_mg_l:
            return highest, mean
    raise AssertionError("the last row has no upper end")


def bc_nitrite_maximum_mg_l(chloride_mg_l: float) -> float:
    """British Columbia's maximum for nitrite by chloride, which competes with it at the gills [1]_.

    A table of steps: 0.06 below 2 mg/L of chloride to 0.60 above 10.

    Parameters
    ----------
    chloride_mg_l : float
        Chloride [mg/L].

    Returns
    -------
    float
        Nitrite as N [mg/L].

    Limits
    ------
    0 to 1000 mg/L of chloride. Where two rows share an end, the stricter one is taken.

    Examples
    --------
    >>> bc_nitrite_maximum_mg_l(5)
    0.18

    References
    ----------
    .. [1] British Columbia 2006. Approved Water Quality Guidelines, table 17.
    """
    return _bc_nitrite_row(chloride_mg_l)[0]


def bc_nitrite_mean_mg_l(chloride_mg_l: float) -> float:
    """British Columbia's limit for the 30-day mean of nitrite by chloride [1]_.

    A third of the maximum, row by row.

    Parameters
    ----------
    chloride_mg_l : float
        Chloride [mg/L], 0 to 1000.

    Returns
    -------
    float
        Nitrite as N [mg/L].

    Examples
    --------
    >>> bc_nitrite_mean_mg_l(5)
    0.06

    References
    ----------
    .. [1] British Columbia 2006; see `bc_nitrite_maximum_mg_l`.
    """
    return _bc_nitrite_row(chloride_mg_l)[1]


def feed_nitrogen_mg(feed_mg: float, protein_share: float) -> float:
    """Nitrogen in a ration of food; all of it if the food is left to rot.

    N = 0.16 * protein

    Parameters
    ----------
    feed_mg : float
        Food, as given [mg].
    protein_share : float
        Crude protein over food, 0 to 1 [-]; the figure on the packet over 100.

    Returns
    -------
    float
        Nitrogen [mg].

    Limits
    ------
    0 to 1e9 mg.

    Examples
    --------
    >>> round(feed_nitrogen_mg(50, 0.40), 2)
    3.2
    """
    within("food", feed_mg, 0.0, 1e9, "mg")
    return feed_mg * share("share of protein", protein_share) * N_PER_PROTEIN


def feed_tan_mg(
    feed_mg: float, protein_share: float, tan_per_protein: float = AMMONIA_N_PER_PROTEIN
) -> float:
    """Ammonia that a ration of food turns into once eaten [1]_.

    TAN = feed * protein * 0.092

    Parameters
    ----------
    feed_mg : float
        Food, as given [mg].
    protein_share : float
        Crude protein over food, 0 to 1 [-].
    tan_per_protein : float
        Ammonia nitrogen per protein: 0.092 where solids are removed, up to 0.144 where nothing
        leaves (`AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE`), which is nearer to a bowl; at most 0.16.

    Returns
    -------
    float
        Total ammonia as N [mg]; over the litres of water it is the rise in mg/L if nothing
        takes it up.

    Limits
    ------
    0 to 1e9 mg.

    Examples
    --------
    50 mg of food with 40 % protein: 1.84 mg.

    >>> round(feed_tan_mg(50, 0.40), 2)
    1.84

    References
    ----------
    .. [1] Timmons, M. B., Ebeling, J. M. Recirculating Aquaculture (second-hand).
    """
    within("food", feed_mg, 0.0, 1e9, "mg")
    within("ammonia nitrogen per protein", tan_per_protein, 0.0, N_PER_PROTEIN)
    return feed_mg * share("share of protein", protein_share) * tan_per_protein
