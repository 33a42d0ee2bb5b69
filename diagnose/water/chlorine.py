"""Chlorine and chloramine: limits, what untreated tap water brings in, and what takes it out.

Residuals are in mg/L or ug/L as Cl2. No figure for dwarf shrimp has been found; the small
crustaceans here are stand-ins, and of them the water flea is by far the more sensitive.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal

from diagnose.water import atomic_weights
from diagnose.water.limits import share, within

UG_PER_MG: Final = 1000.0

# British Columbia, Approved Water Quality Guidelines 2006, table 19.
BC_INTERMITTENT_CAP_UG_L: Final = 100.0
HIGHEST_TAP_MG_L: Final = 10.0

# Farrell et al.: LC50 [ug/L] = a * minutes^b.
WATER_FLEA_LC50: Final = (61_600.0, -1.0748)
CHINOOK_SALMON_LC50: Final = (7_244.0, -0.4525)
SHORTEST_EXPOSURE_MIN: Final = 30.0
LONGEST_EXPOSURE_MIN: Final = 5760.0

Neutraliser = Literal[
    "thiosulfate to sulfate",
    "thiosulfate one to one",
    "thiosulfate to tetrathionate",
    "sodium bisulfite",
    "sodium metabisulfite",
    "sodium sulfite",
    "ascorbic acid",
    "sodium ascorbate",
]

_THIOSULFATE: Final = 2 * atomic_weights.NA + 2 * atomic_weights.S + 3 * atomic_weights.O
_WATER: Final = 2 * atomic_weights.H + atomic_weights.O
_ASCORBIC_ACID: Final = 6 * atomic_weights.C + 8 * atomic_weights.H + 6 * atomic_weights.O
PENTAHYDRATE_PER_THIOSULFATE: Final = (_THIOSULFATE + 5 * _WATER) / _THIOSULFATE

# Moles used per mole of Cl2, and g/mol of the anhydrous substance.
_NEUTRALISERS: Final[Mapping[Neutraliser, tuple[float, float]]] = MappingProxyType(
    {
        "thiosulfate to sulfate": (0.25, _THIOSULFATE),
        "thiosulfate one to one": (1.0, _THIOSULFATE),
        "thiosulfate to tetrathionate": (2.0, _THIOSULFATE),
        "sodium bisulfite": (
            1.0,
            atomic_weights.NA + atomic_weights.H + atomic_weights.S + 3 * atomic_weights.O,
        ),
        "sodium metabisulfite": (
            0.5,
            2 * atomic_weights.NA + 2 * atomic_weights.S + 5 * atomic_weights.O,
        ),
        "sodium sulfite": (1.0, 2 * atomic_weights.NA + atomic_weights.S + 3 * atomic_weights.O),
        "ascorbic acid": (1.0, _ASCORBIC_ACID),
        "sodium ascorbate": (1.0, _ASCORBIC_ACID - atomic_weights.H + atomic_weights.NA),
    }
)


def untreated_share_chlorine_mg_l(tap_mg_l: float, share_new: float) -> float:
    """Residual in a container right after untreated tap water went in, by mass balance.

    C = C_tap * share; the old water is taken to hold none.

    Parameters
    ----------
    tap_mg_l : float
        Chlorine or chloramine in the tap water as Cl2 [mg/L].
    share_new : float
        Untreated tap water over all water after the change, 0 to 1 [-].

    Returns
    -------
    float
        Residual as Cl2 before anything used it up [mg/L]: an upper estimate. Free chlorine is
        eaten by plants, soil and food within minutes to hours, chloramine stays for days (common
        practice, no source).

    Limits
    ------
    Tap water 0 to 10 mg/L.

    Examples
    --------
    Half the water changed, at the highest residual that US rules allow in tap water (4.0 mg/L).

    >>> untreated_share_chlorine_mg_l(4.0, 0.5)
    2.0
    """
    within("chlorine in the tap water", tap_mg_l, 0.0, HIGHEST_TAP_MG_L, "mg/L")
    return tap_mg_l * share("share of new water", share_new)


def bc_intermittent_limit_ug_l(minutes: float) -> float:
    """British Columbia's limit for total residual chlorine in short exposures [1]_.

    1074 * t^-0.74, at most 100 ug/L

    Parameters
    ----------
    minutes : float
        How long the exposure lasts [min].

    Returns
    -------
    float
        Limit for the mean over that time [ug/L as Cl2].

    Limits
    ------
    1 to 120 minutes; it is meant for less than two hours a day (from memory).

    Examples
    --------
    >>> bc_intermittent_limit_ug_l(10)
    100.0
    >>> round(bc_intermittent_limit_ug_l(100), 1)
    35.6

    References
    ----------
    .. [1] British Columbia 2006. Approved Water Quality Guidelines, table 19.
    """
    within("length of exposure", minutes, 1.0, 120.0, "min")
    return min(BC_INTERMITTENT_CAP_UG_L, 1074.0 * math.pow(minutes, -0.74))


def monochloramine_lc50_ug_l(
    minutes: float, relation: tuple[float, float] = WATER_FLEA_LC50
) -> float:
    """Monochloramine that kills half the animals in a given time [1]_.

    LC50 = 61600 * t^-1.0748 for the water flea Ceriodaphnia dubia

    Parameters
    ----------
    minutes : float
        Length of exposure [min].
    relation : tuple[float, float]
        `WATER_FLEA_LC50` (default) or `CHINOOK_SALMON_LC50`.

    Returns
    -------
    float
        LC50 [ug/L as Cl2].

    Limits
    ------
    30 minutes to 96 h (5760 min); the range is this program's reading of the abstract.

    Examples
    --------
    24 h: 25 ug/L; another laboratory found 12 ug/L in still water without food [2]_.

    >>> round(monochloramine_lc50_ug_l(24 * 60))
    25

    References
    ----------
    .. [1] Farrell, A. P., Kennedy, C., Cheng, W., Lemke, M. A. 2001. Water Qual. Res. J. Can.
       36: 133-149, corrected 37: 513 (relation from the abstract).
    .. [2] Still-water tests of Ceriodaphnia dubia with chlorine species, as abstracted.
    """
    within("length of exposure", minutes, SHORTEST_EXPOSURE_MIN, LONGEST_EXPOSURE_MIN, "min")
    factor, exponent = relation
    return factor * math.pow(minutes, exponent)


def monochloramine_minutes_to_half_dead(
    monochloramine_ug_l: float, relation: tuple[float, float] = WATER_FLEA_LC50
) -> float:
    """Time in which this much monochloramine kills half the animals; undoes the relation above.

    Parameters
    ----------
    monochloramine_ug_l : float
        Monochloramine as Cl2 [ug/L].
    relation : tuple[float, float]
        `WATER_FLEA_LC50` (default) or `CHINOOK_SALMON_LC50`.

    Returns
    -------
    float
        Time [min].

    Limits
    ------
    Concentrations whose time falls from 30 minutes to 96 h.

    Examples
    --------
    1 mg/L, as after changing half the water with untreated tap water of 2 mg/L: 46 minutes.

    >>> round(monochloramine_minutes_to_half_dead(1000))
    46
    """
    factor, exponent = relation
    within(
        "monochloramine",
        monochloramine_ug_l,
        monochloramine_lc50_ug_l(LONGEST_EXPOSURE_MIN, relation),
        monochloramine_lc50_ug_l(SHORTEST_EXPOSURE_MIN, relation),
        "ug/L",
    )
    return math.pow(monochloramine_ug_l / factor, 1.0 / exponent)


def neutraliser_mg_per_mg_chlorine(neutraliser: Neutraliser) -> float:
    """Mass of a substance that takes up one mass of chlorine, by stoichiometry.

    moles per mole of Cl2 times the ratio of molar masses

    Parameters
    ----------
    neutraliser : Neutraliser
        Which substance, and for thiosulfate which end product; at the pH of a container mostly
        between "one to one" and "to tetrathionate" (from memory), so reckon with the larger dose.

    Returns
    -------
    float
        mg of the anhydrous substance per mg of Cl2; times `PENTAHYDRATE_PER_THIOSULFATE` for
        thiosulfate crystals.

    Limits
    ------
    Free or combined chlorine given as Cl2. Chloramine leaves its ammonia behind.

    Examples
    --------
    An instrument maker gives 7.0 mg of thiosulfate crystals per mg of chlorine [1]_.

    >>> per_mg = neutraliser_mg_per_mg_chlorine("thiosulfate to tetrathionate")
    >>> round(per_mg * PENTAHYDRATE_PER_THIOSULFATE, 1)
    7.0

    References
    ----------
    .. [1] Hach, dechlorination of samples.
    """
    moles, molar_mass = _NEUTRALISERS[neutraliser]
    return moles * molar_mass / atomic_weights.CHLORINE


def thiosulfate_crystals_mg(chlorine_mg_l: float, volume_l: float) -> float:
    """Thiosulfate crystals (pentahydrate) that take up all chlorine in a volume of tap water.

    7.0 * C * V, the reaction to tetrathionate, which needs most

    Parameters
    ----------
    chlorine_mg_l : float
        Chlorine in the tap water as Cl2 [mg/L].
    volume_l : float
        Volume of tap water [L].

    Returns
    -------
    float
        Sodium thiosulfate pentahydrate [mg], without reserve.

    Limits
    ------
    0 to 10 mg/L, 0 to 1000 L.

    Examples
    --------
    >>> round(thiosulfate_crystals_mg(2.0, 3.0))
    42
    """
    within("chlorine in the tap water", chlorine_mg_l, 0.0, HIGHEST_TAP_MG_L, "mg/L")
    within("volume", volume_l, 0.0, 1000.0, "L")
    per_mg = neutraliser_mg_per_mg_chlorine("thiosulfate to tetrathionate")
    return chlorine_mg_l * volume_l * per_mg * PENTAHYDRATE_PER_THIOSULFATE


def chloramine_ammonia_mg_l(chloramine_mg_l: float) -> float:
    """Ammonia nitrogen set free when a conditioner splits monochloramine, by stoichiometry.

    N = Cl2 * 14.007 / 70.90, one nitrogen for each Cl2 that made the monochloramine

    Parameters
    ----------
    chloramine_mg_l : float
        Monochloramine as Cl2 [mg/L], 0 to 10.

    Returns
    -------
    float
        Total ammonia as N [mg/L], which a kit will show after conditioning.

    Examples
    --------
    >>> round(chloramine_ammonia_mg_l(3.0), 2)
    0.59
    """
    within("chloramine", chloramine_mg_l, 0.0, HIGHEST_TAP_MG_L, "mg/L")
    return chloramine_mg_l * atomic_weights.N / atomic_weights.CHLORINE
