"""Shrimp: oxygen used, nitrogen given off, what they can eat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array
from diagnose.bowl.plants import q10_factor

REFERENCE_C: Final = 24.0
REFERENCE_MASS_G: Final = 0.040
# R = 0.3114 W^-0.2414 [mg/g/h, g] in Exopalaemon modestus (Liu and others 2010).
MASS_EXPONENT: Final = -0.2414
# R = 0.0113 e^(0.0530 T) [mg N/g/h] in the same animals.
EXCRETION_PER_C: Final = 0.0530

# Of food eaten: assimilated 0.80, of that given off again 0.80, of that as ammonia 0.90
# (0.16 x 0.80 x 0.80 x 0.90 = 0.092 of the protein; Timmons and Ebeling, second-hand).
ASSIMILATED: Final = 0.80
GIVEN_OFF: Final = 0.80
AS_AMMONIA: Final = 0.90
EATEN_TO_AMMONIA: Final = ASSIMILATED * GIVEN_OFF * AS_AMMONIA
EATEN_KEPT: Final = ASSIMILATED * (1.0 - GIVEN_OFF)
EATEN_TO_WASTE: Final = 1.0 - EATEN_TO_AMMONIA - EATEN_KEPT

PROTEIN_N: Final = 0.16
# Given off without food, against what is given off while feeding: 0.2 to 0.4 in fasting prawns
# (from memory); here as the share of body nitrogen lost an hour at 24 degC, which is 0.3 of 0.040
# mg/g/h over the 25 mg/g of the body.
FASTING_LOSS_H: Final = 0.3 * 0.040 / 25.0
# Nitrogen in a wet shrimp: a quarter dry, six tenths of that protein (from memory).
BODY_N_MG_PER_MG: Final = 0.025


def feed_n_mg(food_mg: float, protein_share: float) -> float:
    """Nitrogen in food [mg]: 0.16 of its protein.

    >>> feed_n_mg(1000, 0.40)
    64.0
    """
    return food_mg * protein_share * PROTEIN_N


def respiring_mass_g(counts: Array, masses_mg: Array) -> Array:
    """Wet mass by which a 40 mg shrimp's rate has to be multiplied [g]: sum of n W (W/40 mg)^-0.24.

    `counts` has (..., stages, members), `masses_mg` (stages, members). Small animals breathe more
    per gram.
    Source: Exopalaemon modestus, 0.12 to 1.93 g; below 0.12 g the line is drawn on.
    """
    masses_g = masses_mg / 1000.0
    weight = masses_g * (masses_g / REFERENCE_MASS_G) ** MASS_EXPONENT
    return np.asarray(np.einsum("...sm,sm->...m", counts, weight))


def wet_mass_g(counts: Array, masses_mg: Array) -> Array:
    """Wet mass of all animals [g]: `counts` (..., stages, members), masses (stages, members)."""
    return np.asarray(np.einsum("...sm,sm->...m", counts, masses_mg / 1000.0))


def masses_mg(nominal_mg: Sequence[float], size_factor: Array) -> Array:
    """Wet mass of one animal by stage and member [mg]: that of the species, times the member's."""
    return np.outer(np.array(nominal_mg), size_factor)


def respiration_mg_h(mass_g: Array, temperature_c: Array, at_24c: Array, q10: Array) -> Array:
    """Oxygen used [mg/h] by a respiring mass [g]. Source: Liu and others 2010, Q10 2.1."""
    return mass_g * at_24c * q10_factor(temperature_c, REFERENCE_C, q10)


def fasting_loss_h(temperature_c: Array) -> Array:
    """Share of the body's nitrogen given off an hour, fed or not; warmth as in excretion."""
    return np.asarray(FASTING_LOSS_H * np.exp(EXCRETION_PER_C * (temperature_c - REFERENCE_C)))


def excretion_mg_h(mass_g: Array, temperature_c: Array, at_24c: Array) -> Array:
    """Ammonia N given off [mg/h] by animals living on what grows. Source: Liu and others 2010."""
    return mass_g * at_24c * np.exp(EXCRETION_PER_C * (temperature_c - REFERENCE_C))
