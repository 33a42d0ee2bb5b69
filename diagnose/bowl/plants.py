"""Plants: photosynthesis by light, respiration by warmth, uptake of nitrogen."""

from __future__ import annotations

from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array

PHOTOSYNTHESIS_REFERENCE_C: Final = 25.0
RESPIRATION_REFERENCE_C: Final = 24.0
# Productivity of a water plant was best at 30 degC (Myriophyllum salsugineum).
PHOTOSYNTHESIS_BEST_C: Final = 30.0
# Wet plants [g/L] of a moderate planting, as in `plants_wet_g_l_moderate`.
MODERATE_WET_G_L: Final = 3.0


def shared_light(wet_g_l: Array, sharing: Array) -> Array:
    """Photosynthesis per gram in a planting as dense as it is, against a moderate one.

    What light and carbon a still bowl gets does not grow with its plants: beyond a moderate
    planting they share it (`sharing` 1: all of it, 0: each has as much as if alone).
    """
    return np.asarray((MODERATE_WET_G_L / np.maximum(wet_g_l, MODERATE_WET_G_L)) ** sharing)


def light_share(light_umol: Array, half_umol: Array) -> Array:
    """Share of full photosynthesis at a light [umol/m2/s]: I / (I + half).

    Source: half of the published saturation light, 41 to 138 umol/m2/s.
    """
    return light_umol / (light_umol + half_umol)


def q10_factor(temperature_c: Array, reference_c: float, q10: Array) -> Array:
    """How much faster at a temperature than at the reference: q10^((T - reference)/10)."""
    return np.asarray(np.exp(np.log(q10) * ((temperature_c - reference_c) * 0.1)))


def photosynthesis_mg_g_h(temperature_c: Array, light: Array, full_25c: Array, q10: Array) -> Array:
    """Oxygen made [mg/g dry/h] at a share of full light, before the water is full of bubbles.

    Rises with the plant's Q10 up to 30 degC, where productivity was best, and no further. The full
    rate is that of plants short of CO2; light- and CO2-filled ones give several times as much.
    """
    warm = np.minimum(temperature_c, PHOTOSYNTHESIS_BEST_C)
    return full_25c * light * q10_factor(warm, PHOTOSYNTHESIS_REFERENCE_C, q10)


def respiration_mg_g_h(temperature_c: Array, at_24c: Array, q10: Array) -> Array:
    """Oxygen used [mg/g dry/h] in dark and light alike by a plant that lacks nothing.

    Source: Myriophyllum salsugineum, 0.87 at 15 to 3.59 at 35 degC, Q10 2.04.
    """
    return at_24c * q10_factor(temperature_c, RESPIRATION_REFERENCE_C, q10)


def carried_over_mg_g_h(
    temperature_c: Array, day_light: Array, full_25c: Array, q10: Array, respired_share: Array
) -> Array:
    """Oxygen that plants can go on using [mg/g dry/h]: what the day made, less what becomes leaf.

    day_light: mean share of full light over day and night. A plant that used more would waste
    away; those of dim bowls use less than the published ones of bright water.
    """
    made = photosynthesis_mg_g_h(temperature_c, day_light, full_25c, q10)
    return respired_share * made


def uptake_mg_g_h(light: Array, full_mg_g_d: Array, dark_share: Array) -> Array:
    """Nitrogen the plants would take from rich water [mg N/g dry/h], ammonium first.

    Source: tissue N (Hill 1979) times growth of 2 to 8 % a day; ammonium is taken in the dark
    about as in light (Nelson and others 1980).
    """
    return full_mg_g_d * (dark_share + (1.0 - dark_share) * light) / 24.0


def settled_share(age_days: float, first_share: Array, settles_d: Array) -> Array:
    """Share of an established plant's growth that plants of an age under water have.

    Rises in a straight line from `first_share` on the day of planting to 1 after `settles_d` days.
    While it is low they shed the more (common practice, no source: new plants melt and then root).
    """
    way = np.minimum(max(age_days, 0.0) / settles_d, 1.0)
    return np.asarray(first_share + (1.0 - first_share) * way)
