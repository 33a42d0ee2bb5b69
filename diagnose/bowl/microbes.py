"""Bacteria and film: nitrification in two steps, decay, respiration of surfaces."""

from __future__ import annotations

from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array

# g N/m2/d in a well-made filter at 5, 10, 15, 20 and 25 degC (Aquatext, nitrification table).
NITRIFICATION_C: Final = np.array([0.0, 5.0, 10.0, 15.0, 20.0, 25.0])
NITRIFICATION_SHARE: Final = np.array([0.1, 0.3, 0.5, 0.7, 0.9, 1.0])

# Oxygen used per nitrogen oxidised [mg/mg], from the reactions: 1.5 and 0.5 O2 per N.
OXYGEN_PER_AMMONIA_N: Final = 1.5 * 31.998 / 14.007
OXYGEN_PER_NITRITE_N: Final = 0.5 * 31.998 / 14.007


def nitrification_temperature_share(temperature_c: Array) -> Array:
    """Rate against that at 25 degC, between the published points; no faster above 25 degC.

    Source: 0.3, 0.5, 0.7, 0.9, 1.0 g/m2/d at 5 to 25 degC. The point at 0 degC is drawn on.
    """
    return np.asarray(np.interp(temperature_c, NITRIFICATION_C, NITRIFICATION_SHARE))


def aged_film(age_days: float, seed: Array, ageing_d: Array) -> Array:
    """Share of a full film of nitrifiers that a biofilm of an age has, by logistic growth.

    Unseeded it starts at `seed`; at the middle values half is reached after about 31 days.
    """
    odds = seed / (1.0 - seed) * np.exp(np.minimum(ageing_d * age_days, 50.0))
    return np.asarray(odds / (1.0 + odds))


def film_respiration_mg_h(area_m2: Array, g_m2_d: Array, warmth: Array) -> Array:
    """Oxygen used by surfaces [mg/h]; `warmth` is the Q10 factor of decay."""
    return area_m2 * g_m2_d * warmth * (1000.0 / 24.0)
