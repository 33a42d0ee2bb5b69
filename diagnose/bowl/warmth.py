"""Water temperature and volume: heat through glass and surface, evaporation, sun, lamp, heater."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.bowl.air_water import LATENT_HEAT_KJ_KG, vapour_pressure_kpa
from diagnose.bowl.parameters import Array

WATER_KJ_KG_K: Final = 4.18
SECONDS_PER_HOUR: Final = 3600.0
W_PER_KW: Final = 1000.0
# The heater gives all it has half a degree below its setting and nothing half a degree above.
HEATER_BAND_C: Final = 1.0
# A container is taken not to dry out below this share of its full volume: someone tops it up.
LOWEST_FILL: Final = 0.30


@dataclass(frozen=True)
class Warmth:
    """Constants of one run for the heat balance, each one value a member.

    conductance_w_k: glass and open surface together. evaporation_kg_h_kpa: over the whole surface.
    extra_kj_k: heat capacity of glass and sand. heater_w and heater_setpoint_c: 0 W if none.
    full_l: the volume when full.
    """

    conductance_w_k: Array
    evaporation_kg_h_kpa: Array
    extra_kj_k: Array
    heater_w: Array
    heater_setpoint_c: float
    full_l: float


def conductance_w_k(
    glass_w_m2_k: Array, glass_m2: float, surface_w_m2_k: Array, surface_m2: float
) -> Array:
    """Heat passed to the room per degree [W/K], without evaporation; the floor passes none.

    Source of the coefficients: free convection and radiation round a 20 cm cylinder, computed
    with a heat-transfer library (side 6.9 to 8.6, top 8.6 to 11.2 W/m2 K).
    """
    return glass_w_m2_k * glass_m2 + surface_w_m2_k * surface_m2


def time_constant_h(capacity_kj_k: Array, conductance: Array) -> Array:
    """Hours in which a dry difference to the room falls to 1/e: capacity over conductance."""
    return capacity_kj_k * W_PER_KW / conductance / SECONDS_PER_HOUR


def warmth_rates(
    temperature_c: Array,
    volume_l: Array,
    room_c: Array,
    room_vapour_kpa: Array,
    gain_w: Array,
    constants: Warmth,
) -> tuple[Array, Array]:
    """Rates of change of temperature [degC/h] and volume [L/h].

    C dT/dt = UA (room - T) - L e (p(T) - p_room) + sun and lamp + heater;  dV/dt = -e (p - p_room)

    Condensation (a negative difference) is let happen: it warms and fills. Below `LOWEST_FILL` of
    the full volume nothing more is lost.
    """
    vapour_kg_h = constants.evaporation_kg_h_kpa * (
        vapour_pressure_kpa(temperature_c) - room_vapour_kpa
    )
    watts = (
        constants.conductance_w_k * (room_c - temperature_c)
        - vapour_kg_h * (LATENT_HEAT_KJ_KG * W_PER_KW / SECONDS_PER_HOUR)
        + gain_w
    )
    if constants.heater_setpoint_c > 0.0:
        demand = (constants.heater_setpoint_c - temperature_c) / HEATER_BAND_C + 0.5
        watts = watts + constants.heater_w * np.clip(demand, 0.0, 1.0)
    capacity_kj_k = WATER_KJ_KG_K * volume_l + constants.extra_kj_k
    lost = np.where(volume_l > LOWEST_FILL * constants.full_l, vapour_kg_h, 0.0)
    return watts * (SECONDS_PER_HOUR / W_PER_KW) / capacity_kj_k, -lost


def step_warmth(
    temperature_c: Array,
    volume_l: Array,
    step_h: float,
    room_c: Array,
    room_vapour_kpa: Array,
    gain_w: Array,
    constants: Warmth,
) -> tuple[Array, Array]:
    """Temperature and volume one step later, by Heun's method (second order)."""
    heating, filling = warmth_rates(
        temperature_c, volume_l, room_c, room_vapour_kpa, gain_w, constants
    )
    ahead_c, ahead_l = temperature_c + step_h * heating, volume_l + step_h * filling
    heating_ahead, filling_ahead = warmth_rates(
        ahead_c, ahead_l, room_c, room_vapour_kpa, gain_w, constants
    )
    half = 0.5 * step_h
    return (
        temperature_c + half * (heating + heating_ahead),
        volume_l + half * (filling + filling_ahead),
    )
