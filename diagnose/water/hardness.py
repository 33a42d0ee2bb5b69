"""Hardness and alkalinity: one quantity in many units.

General hardness counts calcium and magnesium; carbonate hardness (KH) is alkalinity by another
name. Both are held here as mg/L of calcium carbonate (CaCO3), and turned into the other units.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal

from diagnose.water import atomic_weights
from diagnose.water.limits import within

HardnessUnit = Literal[
    "dGH", "dKH", "mg/L CaCO3", "mmol/L", "meq/L", "French degree", "English degree", "grain/gal"
]

# One German degree is 10 mg/L of CaO, by definition.
CAO_PER_GERMAN_DEGREE_MG_L: Final = 10.0
CACO3_PER_GERMAN_DEGREE_MG_L: Final = (
    CAO_PER_GERMAN_DEGREE_MG_L * atomic_weights.CACO3 / atomic_weights.CAO
)
CHARGES_PER_CACO3: Final = 2.0
MG_PER_GRAIN: Final = 64.79891  # by definition of the grain
LITRES_PER_US_GALLON: Final = 3.785411784  # by definition
# One grain in an imperial gallon of 4.54609 L, by definition.
CACO3_PER_ENGLISH_DEGREE_MG_L: Final = MG_PER_GRAIN / 4.54609
HARDEST_MG_L: Final = 10_000.0

MG_L_CACO3_PER: Final[Mapping[HardnessUnit, float]] = MappingProxyType(
    {
        "dGH": CACO3_PER_GERMAN_DEGREE_MG_L,
        "dKH": CACO3_PER_GERMAN_DEGREE_MG_L,
        "mg/L CaCO3": 1.0,
        "mmol/L": atomic_weights.CACO3,
        "meq/L": atomic_weights.CACO3 / CHARGES_PER_CACO3,
        "French degree": 10.0,
        "English degree": CACO3_PER_ENGLISH_DEGREE_MG_L,
        "grain/gal": MG_PER_GRAIN / LITRES_PER_US_GALLON,
    }
)


def convert(value: float, from_unit: HardnessUnit, to_unit: HardnessUnit) -> float:
    """Turn a hardness or an alkalinity from one unit into another.

    value * (mg/L CaCO3 per from_unit) / (mg/L CaCO3 per to_unit); the German degree is 10 mg/L of
    CaO [1]_, the French one 10 mg/L of CaCO3, the English one a grain per imperial gallon, and
    "grain/gal" is a grain per US gallon.

    Parameters
    ----------
    value : float
        Hardness or alkalinity [from_unit].
    from_unit, to_unit : HardnessUnit
        Keys of `MG_L_CACO3_PER`. "mmol/L" means calcium plus magnesium, hence two charges each;
        for alkalinity use "meq/L", which equals mmol/L of bicarbonate.

    Returns
    -------
    float
        The same [to_unit].

    Limits
    ------
    0 to 10 000 mg/L CaCO3.

    Examples
    --------
    1 dGH is 17.848 mg/L CaCO3 in a table of unit factors [1]_.

    >>> round(convert(1, "dGH", "mg/L CaCO3"), 3)
    17.848
    >>> round(convert(1, "dGH", "mmol/L"), 5)
    0.17833

    References
    ----------
    .. [1] DIN 38409-6 (named from memory; factors as widely printed).
    """
    highest = HARDEST_MG_L / MG_L_CACO3_PER[from_unit]
    within("hardness", value, 0.0, highest, from_unit)
    return value * MG_L_CACO3_PER[from_unit] / MG_L_CACO3_PER[to_unit]


def from_calcium_and_magnesium_mg_l_caco3(calcium_mg_l: float, magnesium_mg_l: float) -> float:
    """Hardness from measured calcium and magnesium [1]_.

    2.497 Ca + 4.118 Mg, from atomic weights.

    Parameters
    ----------
    calcium_mg_l, magnesium_mg_l : float
        Dissolved calcium and magnesium [mg/L].

    Returns
    -------
    float
        Hardness [mg/L CaCO3].

    Limits
    ------
    0 to 4000 mg/L calcium, 0 to 2000 mg/L magnesium. Strontium, iron and others not counted.

    Examples
    --------
    50 mg/L Ca with 10 mg/L Mg; a water package for R gives 166.0447 from rounded factors [2]_.

    >>> round(from_calcium_and_magnesium_mg_l_caco3(50, 10), 2)
    166.04

    References
    ----------
    .. [1] Standard Methods 2340 B (named from memory).
    .. [2] tidywater, a package for water treatment.
    """
    within("calcium", calcium_mg_l, 0.0, 4000.0, "mg/L")
    within("magnesium", magnesium_mg_l, 0.0, 2000.0, "mg/L")
    moles = calcium_mg_l / atomic_weights.CA + magnesium_mg_l / atomic_weights.MG
    return moles * atomic_weights.CACO3


def calcium_mg_l(hardness_dgh: float, calcium_share: float = 1.0) -> float:
    """Calcium in water of this hardness, if calcium makes up this share of it (by moles).

    Parameters
    ----------
    hardness_dgh : float
        General hardness [dGH], 0 to 560.
    calcium_share : float
        Calcium over calcium plus magnesium, by moles, 0 to 1 [-].

    Returns
    -------
    float
        Calcium [mg/L].

    Examples
    --------
    >>> round(calcium_mg_l(1), 3)
    7.147
    """
    within("share of calcium", calcium_share, 0.0, 1.0)
    return convert(hardness_dgh, "dGH", "mmol/L") * calcium_share * atomic_weights.CA


def magnesium_mg_l(hardness_dgh: float, calcium_share: float) -> float:
    """Magnesium in water of this hardness, if calcium makes up this share of it (by moles).

    Parameters
    ----------
    hardness_dgh : float
        General hardness [dGH], 0 to 560.
    calcium_share : float
        Calcium over calcium plus magnesium, by moles, 0 to 1 [-].

    Returns
    -------
    float
        Magnesium [mg/L].

    Examples
    --------
    1 dGH, all of it magnesium, is 7.19 mg/L of MgO, or 4.33 mg/L of Mg.

    >>> round(magnesium_mg_l(1, calcium_share=0), 2)
    4.33
    """
    within("share of calcium", calcium_share, 0.0, 1.0)
    return convert(hardness_dgh, "dGH", "mmol/L") * (1.0 - calcium_share) * atomic_weights.MG


def bicarbonate_mg_l(alkalinity_dkh: float) -> float:
    """Bicarbonate that would make up this alkalinity, if nothing else did.

    Parameters
    ----------
    alkalinity_dkh : float
        Alkalinity [dKH], 0 to 560.

    Returns
    -------
    float
        Bicarbonate, HCO3 [mg/L]. Good below about pH 8.5; above that part is carbonate.

    Examples
    --------
    1 dKH is printed as 21.8 mg/L of HCO3.

    >>> round(bicarbonate_mg_l(1), 1)
    21.8
    """
    return convert(alkalinity_dkh, "dKH", "meq/L") * atomic_weights.HCO3
