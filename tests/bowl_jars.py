"""Containers of the pottery studio that several tests of the bowl model share, and an integrator
from outside (scipy) that runs one of them by the model's own rates.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from diagnose.bowl import air_water, animals, chemistry, plants, surroundings, warmth
from diagnose.bowl.description import (
    Bowl,
    Container,
    Event,
    Habits,
    Room,
    Stock,
    TapWater,
    Window,
    cylinder,
)
from diagnose.bowl.parameters import draw_members, load_ranges
from diagnose.bowl.simulate import (
    body_mg,
    first_pools,
    heat_constants,
    heat_gain_w,
    living_constants,
    plants_settled,
)

KNOWLEDGE = Path(__file__).parents[1] / "knowledge"
RANGES = load_ranges(KNOWLEDGE)
SEED = 20260226


def members(count: int = 200, seed: int = SEED) -> dict[str, NDArray[np.float64]]:
    """An ensemble drawn from the rulebook's ranges."""
    return draw_members(RANGES, seed, count)


def jar(
    volume_l: float = 5.0,
    adults: float = 10,
    planting: str = "moderate",
    room: tuple[float, float] = (20.0, 23.0),
    sun_hours: float = 0.0,
    window: Window = "none",
    habits: Habits | None = None,
    tap: TapWater | None = None,
    **container: object,
) -> Bowl:
    """A jar on a shelf of the studio, an upright cylinder, half females and half males."""
    surface_m2, glass_m2 = cylinder(volume_l)
    return Bowl(
        Container(volume_l, surface_m2, glass_m2, planting=planting, **container),  # type: ignore[arg-type]
        room=Room(*room, sun_hours=sun_hours, window=window),
        stock=Stock(females=adults / 2, males=adults / 2),
        habits=habits or Habits(change_share=0.5, change_interval_days=7),
        tap=tap or TapWater(),
    )


TEN_JARS: dict[str, Bowl] = {
    "throwing room, moderate": jar(),
    "glaze room, bare and full": jar(4, 60, "none"),
    "kiln room, hot": jar(3, 11, "sparse", room=(18, 30)),
    "front window, sun": jar(5, 10, "dense", sun_hours=5, window="south"),
    "tea corner, heated": jar(8, 15, heater_setpoint_c=24.0),
    "packing table, new": jar(5, 8, "sparse", biofilm_age_days=5),
    "drying shelf, floating plants": jar(2, 6, "dense", floating_cover=0.8),
    "hall, filter": jar(20, 60, filter_running=True),
    "stairs, crammed": jar(5, 250, "moderate"),
    "attic, sealed": jar(4, 4, "moderate", sealed=True, light_hours=10.0),
}


@dataclass(frozen=True)
class Reference:
    """Hourly states of the outside integrator: temperature, volume, pools (13)."""

    temperature_c: NDArray[np.float64]
    volume_l: NDArray[np.float64]
    pools_mg: NDArray[np.float64]


def feeding_and_loss(bowl: Bowl) -> tuple[Event, ...]:
    """A heavy feed, and one in ten females dead and left lying, at the first hour of a run."""
    return (
        Event(0, "feeding", mg=60.0),
        Event(0, "deaths", stage="females", count=0.1 * bowl.stock.females),
    )


def integrate_outside(
    bowl: Bowl,
    one: dict[str, NDArray[np.float64]],
    hours: int,
    method: str = "LSODA",
    rtol: float = 1e-8,
    atol: float = 1e-9,
) -> Reference:
    """Runs one member of a container through `feeding_and_loss` and `hours` hours, hour by hour."""
    room = surroundings.surroundings(bowl, (), 0, hours, one)
    heat, gain_w = heat_constants(bowl, one), heat_gain_w(bowl, room, one)
    vapour = one["room_humidity"] * air_water.vapour_pressure_kpa(room.room_c)
    living = living_constants(bowl, one)
    loop = chemistry.loop_constants(living)
    masses = body_mg(bowl, one)
    counts = np.array([[0.0], [0.0], [bowl.stock.females], [bowl.stock.males]])
    start_c = room.room_c[:24].mean(axis=0)
    if bowl.container.heater_setpoint_c is not None:
        start_c = np.maximum(start_c, bowl.container.heater_setpoint_c)
    pools = first_pools(bowl, living, counts, start_c, np.ones(1))
    begun_mg_l = chemistry.charge_mg_l(pools, np.array([bowl.container.volume_l]))
    dead = 0.1 * bowl.stock.females
    body_n = dead * masses[2, 0] * animals.BODY_N_MG_PER_MG
    pools[chemistry.FOOD] += animals.feed_n_mg(60.0, 0.40) * one["feed_error"]
    pools[chemistry.BODIES] += body_n
    pools[chemistry.ANIMALS] -= body_n
    counts[2] -= dead
    wet_g = animals.wet_mass_g(counts, masses)
    respiring_g = animals.respiring_mass_g(counts, masses)
    state = np.concatenate([start_c, [bowl.container.volume_l], pools[:, 0]])
    rows = [state]
    lit = plants.light_share(room.light_umol, one["light_half"])
    begun, today = begun_mg_l, living
    for hour in range(hours):
        if hour % 24 == 0:
            shift = chemistry.ph_shift(living, begun, state[2:, None], state[1:2])
            today = replace(living, ph=living.ph + shift)
        day_light = lit[hour - hour % 24 :][:24].mean(axis=0)

        def rates(
            _: float,
            y: NDArray[np.float64],
            hour: int = hour,
            today: chemistry.Living = today,
            day_light: NDArray[np.float64] = day_light,
        ) -> NDArray[np.float64]:
            warming, filling = warmth.warmth_rates(
                y[:1], y[1:2], room.room_c[hour], vapour[hour], gain_w[hour], heat
            )
            c = chemistry.coefficients(
                today,
                y[:1],
                y[1:2],
                room.light_umol[hour],
                wet_g,
                respiring_g,
                plants_settled(bowl, one, hour),
                day_light,
            )
            living_rates = chemistry.rates(y[2:, None], c, loop)
            return np.concatenate([warming, filling, living_rates[:, 0]])

        solved = solve_ivp(rates, (0.0, 1.0), state, method=method, rtol=rtol, atol=atol)
        assert solved.success, solved.message
        state = solved.y[:, -1]
        rows.append(state)
    table = np.stack(rows)
    return Reference(table[:, 0], table[:, 1], table[:, 2:])
