"""Bacteria and film: nitrification in two steps, decay, respiration of surfaces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.bowl.parameters import Array

# g N/m2/d in a well-made filter at 5, 10, 15, 20 and 25 degC (Aquatext, nitrification table).
NITRIFICATION_C: Final = np.array([0.0, 5.0, 10.0, 15.0, 20.0, 25.0])
NITRIFICATION_SHARE: Final = np.array([0.1, 0.3, 0.5, 0.7, 0.9, 1.0])
# The bacteria grow by e^(0.098 (T - 25)) up to their best at 30 degC (EPA 1975, process design
# manual for nitrogen control; from memory).
GROWTH_PER_C: Final = 0.098
GROWTH_BEST_C: Final = 30.0
# Below this pH nitrifiers slow down, to no less than a tenth (EPA 1975, from memory; films that had
# time keep on longer, see `acid_slowing`).
FULL_PH: Final = 7.2
LEAST_AT_LOW_PH: Final = 0.1

# Nitrifiers never die out in a container that lives, as a share of a full film (from memory).
LEAST_FILM: Final = 0.01
HALVINGS: Final = 21

# Oxygen used per nitrogen oxidised [mg/mg], from the reactions: 1.5 and 0.5 O2 per N.
OXYGEN_PER_AMMONIA_N: Final = 1.5 * 31.998 / 14.007
OXYGEN_PER_NITRITE_N: Final = 0.5 * 31.998 / 14.007


def nitrification_temperature_share(temperature_c: Array) -> Array:
    """Rate against that at 25 degC, between the published points; no faster above 25 degC.

    Source: 0.3, 0.5, 0.7, 0.9, 1.0 g/m2/d at 5 to 25 degC. The point at 0 degC is drawn on.
    """
    return np.asarray(np.interp(temperature_c, NITRIFICATION_C, NITRIFICATION_SHARE))


def growth_temperature_share(temperature_c: Array) -> Array:
    """Growth of nitrifiers against that at 25 degC: e^(0.098 (T - 25)), up to 30 degC."""
    warm = np.minimum(temperature_c, GROWTH_BEST_C)
    return np.asarray(np.exp(GROWTH_PER_C * (warm - 25.0)))


def acid_share(ph: Array, slowing: Array) -> Array:
    """Of their full rate, what nitrifiers do at a pH: `slowing` less for each unit below 7.2."""
    return np.maximum(1.0 - slowing * np.maximum(FULL_PH - ph, 0.0), LEAST_AT_LOW_PH)


def aged_film(age_days: float, seed: Array, ageing_d: Array) -> Array:
    """Share of a full film of nitrifiers that a biofilm of an age has, by logistic growth.

    Unseeded it starts at `seed`; at the middle values half is reached after about 31 days.
    """
    odds = seed / (1.0 - seed) * np.exp(np.minimum(ageing_d * age_days, 50.0))
    return np.asarray(odds / (1.0 + odds))


@dataclass(frozen=True)
class Oxidisers:
    """One of the two steps of nitrification on all the surfaces of a container.

    fastest_mg_h: at full film and rich water. half_mg_l: at half of that. layer_mg_l: by how much a
    full film at its fastest lowers the concentration at its surface, through the layer of water
    that hardly moves. growth_h, growth_half_mg_l, fading_h: of the bacteria.
    """

    fastest_mg_h: Array
    half_mg_l: Array
    layer_mg_l: Array
    growth_h: Array
    growth_half_mg_l: Array
    fading_h: Array


def balance(
    oxidisers: Oxidisers, supply_mg_h: Array, rivals_mg_h: Array, rivals_half_mg_l: Array
) -> tuple[Array, Array]:
    """Concentration [mg/L] and share of a full film at which what is supplied [mg/h] is taken by
    bacteria and by their rivals (at most `rivals_mg_h`), and the bacteria neither grow nor fade.

    A film is as large as what it has long been fed: a container that was always fed little cannot
    take ten times as much. Found by halving, to 1 in 10 000 of the concentration.
    """
    low, high = np.full_like(supply_mg_h, 1e-5), np.full_like(supply_mg_h, 1e3)
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        share = balanced_share(oxidisers, middle)
        taken = oxidised_mg_h(oxidisers, share, middle) + rivals_mg_h * middle / (
            rivals_half_mg_l + middle
        )
        short = taken < supply_mg_h
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    found = np.sqrt(low * high)
    return found, np.maximum(balanced_share(oxidisers, found), LEAST_FILM)


def balanced_share(oxidisers: Oxidisers, mg_l: Array) -> Array:
    """Share of a full film that a concentration feeds: where its growth equals its fading."""
    growing = oxidisers.growth_h * mg_l / (oxidisers.growth_half_mg_l + mg_l)
    return np.asarray(np.maximum(1.0 - oxidisers.fading_h / growing, 0.0))


def oxidised_mg_h(oxidisers: Oxidisers, share: Array, mg_l: Array) -> Array:
    """What a film oxidises [mg/h] with air in plenty: two resistances one after the other, the
    bacteria's own and the still layer of water over them.
    """
    fastest = oxidisers.fastest_mg_h * share
    return np.asarray(fastest * mg_l / (oxidisers.half_mg_l + share * oxidisers.layer_mg_l + mg_l))


def film_respiration_mg_h(area_m2: Array, g_m2_d: Array, warmth: Array) -> Array:
    """Oxygen used by surfaces [mg/h]; `warmth` is the Q10 factor of decay."""
    return area_m2 * g_m2_d * warmth * (1000.0 / 24.0)
