"""How many animals a container carries, and what sets the limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from diagnose.bowl import animals
from diagnose.bowl.bands import Band, band
from diagnose.bowl.description import Bowl, Planting, Room, Stock
from diagnose.bowl.parameters import Array, Members, Range, draw_members
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import Run, body_mg, living_constants, simulate
from diagnose.water.ammonia import nh3_as_n
from diagnose.water.nitrogen import NO2_PER_N, NO3_PER_N

Limit = Literal["oxygen before dawn", "ammonia", "nitrite", "nitrate", "grazing and food"]

# Half of the crustaceans reviewed show harm, short of death, below this (review statement in a
# paper on caridean shrimp and low oxygen).
LEAST_OXYGEN_MG_L: Final = 3.2
# At most 20 ug/L un-ionised ammonia in test chambers (ASTM E729-80 section 11.4.3).
MOST_NH3_N_MG_L: Final = nh3_as_n(0.020)
# Ornamental trade: nitrite at most 0.2 mg/L, nitrate at most 50 mg/L above the tap (as quoted by a
# third party; taken as the ions, from memory).
MOST_NITRITE_N_MG_L: Final = 0.2 / NO2_PER_N
MOST_NITRATE_RISE_N_MG_L: Final = 50.0 / NO3_PER_N
# Animals stay well on this share of what they would graze (from memory).
NEEDED_SHARE: Final = 0.6

#: Limits past which a colony does not grow; nitrite and nitrate at the trade's measure do not stop
#: it (from memory).
STOPS_GROWTH: Final[tuple[Limit, ...]] = ("oxygen before dawn", "ammonia", "grazing and food")

TRIED_PER_L: Final = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
RUN_DAYS: Final = 28
JUDGED_DAYS: Final = 14
HOURS_PER_DAY: Final = 24
CAPACITY_MEMBERS: Final = 40
PLANTING_UP: Final[Mapping[Planting, Planting]] = {
    "none": "sparse",
    "sparse": "moderate",
    "moderate": "dense",
    "dense": "dense",
}


@dataclass(frozen=True)
class Capacity:
    """Adults a container carries: in 90 % of the members (low), the middle, and 10 % (high).

    limiting: the limit whose own band begins lowest. by_limit: adults by each limit alone; where
    a member met no limit within what was tried, the largest number tried stands. sustained: adults,
    in the middle, at which the colony itself stops growing, for want of air or food or by ammonia;
    clean water by the trade's measure asks for fewer.
    """

    adults: Band
    sustained: float
    limiting: Limit
    by_limit: dict[Limit, Band]
    largest_tried: float


def capacity(
    bowl: Bowl, ranges: Mapping[str, Range], seed: int, members: int = CAPACITY_MEMBERS
) -> Capacity:
    """How many adults the container carries under its keeper's habits.

    Stocks of `TRIED_PER_L` per litre are run for four weeks, all in one run; for each member and
    each limit the number is where the worst hour of the last two weeks meets the limit. Food told
    as an amount is scaled with the animals.
    """
    drawn = draw_members(ranges, seed, members)
    tried = np.array(TRIED_PER_L) * bowl.container.volume_l
    tiled = {name: np.tile(values, len(tried)) for name, values in drawn.items()}
    factor = np.repeat(tried / tried[0], members)
    told = bowl.stock
    base = Stock(females=0.5 * tried[0], males=0.5 * tried[0], masses_mg=told.masses_mg)
    habits = bowl.habits
    if habits.feed_mg_per_day is not None:
        per_animal = habits.feed_mg_per_day / max(told.count, 1.0)
        habits = replace(habits, feed_mg_per_day=per_animal * tried[0])
    probe = replace(bowl, stock=base, habits=habits)
    hours = RUN_DAYS * HOURS_PER_DAY
    run = simulate(probe, with_habits(probe, (), 0, hours), 0, hours, tiled, stock_factor=factor)
    shape = (len(tried), members)
    worst = _worst(run)
    by_limit: dict[Limit, Array] = {
        "oxygen before dawn": _where_met(
            -worst["oxygen"].reshape(shape), -LEAST_OXYGEN_MG_L, tried
        ),
        "ammonia": _where_met(worst["nh3"].reshape(shape), MOST_NH3_N_MG_L, tried),
        "nitrite": _where_met(worst["nitrite"].reshape(shape), MOST_NITRITE_N_MG_L, tried),
        "nitrate": _where_met(worst["nitrate"].reshape(shape), MOST_NITRATE_RISE_N_MG_L, tried),
        "grazing and food": np.minimum(_fed(probe, drawn, run, members, tried[0]), tried[-1]),
    }
    names: list[Limit] = list(by_limit)
    stacked = np.stack([by_limit[name] for name in names])
    by_band = {name: band(by_limit[name]) for name in names}
    return Capacity(
        adults=band(stacked.min(axis=0)),
        sustained=band(np.min([by_limit[name] for name in STOPS_GROWTH], axis=0))[1],
        limiting=min(names, key=lambda name: by_band[name]),
        by_limit=by_band,
        largest_tried=float(tried[-1]),
    )


def _worst(run: Run) -> dict[str, Array]:
    late = slice(-JUDGED_DAYS * HOURS_PER_DAY, None)
    tap = run.bowl.tap.nitrate_n_mg_l
    return {
        "oxygen": run.oxygen_mg_l[late].min(axis=0),
        "nh3": run.nh3_mg_l[late].max(axis=0),
        "nitrite": run.nitrite_mg_l[late].max(axis=0),
        "nitrate": run.nitrate_n_mg_l[late].max(axis=0) - tap,
    }


def _where_met(harm: Array, limit: float, tried: Array) -> Array:
    """Animals at which `harm` (stocks, members) first passes the limit, between the stocks tried.

    Interpolated in the logarithm of the number. Below the smallest stock there is only zero.
    """
    over = harm > limit
    first = np.where(over.any(axis=0), over.argmax(axis=0), len(tried))
    out = np.full(harm.shape[1], tried[-1])
    for member, at in enumerate(first):
        if at == 0:
            out[member] = 0.0
        elif at < len(tried):
            before, after = harm[at - 1, member], harm[at, member]
            way = (limit - before) / (after - before)
            out[member] = tried[at - 1] * (tried[at] / tried[at - 1]) ** way
    return out


def _fed(bowl: Bowl, members: Members, run: Run, count: int, smallest: float) -> Array:
    """Adults whose need is met by what the film can grow in the light and by the usual food."""
    late = slice(-JUDGED_DAYS * HOURS_PER_DAY, None)
    living = living_constants(bowl, members)
    light = run.light[late, :count].mean(axis=0)
    grown_mg_d = members["film_uptake"] * living.lit_m2 * light
    masses = body_mg(bowl, members)
    adult_g = 0.5 * (masses[2] + masses[3]) / 1000.0
    warm = run.temperature_c[late, :count].mean(axis=0)
    routine = animals.excretion_mg_h(adult_g, warm, members["excretion_24c"])
    need_mg_d = NEEDED_SHARE * routine * HOURS_PER_DAY / animals.EATEN_TO_AMMONIA
    if bowl.habits.feed_mg_per_day is not None:
        food_mg_d = bowl.habits.feed_mg_per_day * members["feed_error"] / smallest
    else:
        food_mg_d = (
            members["feed_share_day"]
            * adult_g
            * 1000.0
            * min(bowl.habits.feeds_per_week / 7.0, 1.0)
        )
    given_mg_d = food_mg_d * animals.feed_n_mg(1.0, bowl.habits.feed_protein_share)
    short = need_mg_d - given_mg_d
    return np.where(short > 0.0, grown_mg_d / np.maximum(short, 1e-12), np.inf)


@dataclass(frozen=True)
class Move:
    """One change to a container and what it would then carry."""

    change: str
    capacity: Capacity


def capacity_moves(
    bowl: Bowl, ranges: Mapping[str, Range], seed: int, members: int = CAPACITY_MEMBERS
) -> tuple[Move, ...]:
    """How the capacity moves with planting, warmth, surface and water changes.

    The same members are drawn for each, so that differences are the change's own.
    """
    container, habits = bowl.container, bowl.habits
    changed: list[tuple[str, Bowl]] = []
    more = PLANTING_UP[container.planting]
    if more != container.planting:
        changed.append(("more plants", replace(bowl, container=replace(container, planting=more))))
    changed.append(("a room 3 degC warmer", replace(bowl, room=_warmer(bowl.room, 3.0))))
    if not (container.surface_moved or container.filter_running):
        moving = replace(container, surface_moved=True)
        changed.append(("water kept moving at the surface", replace(bowl, container=moving)))
    wider = replace(container, surface_m2=1.5 * container.surface_m2)
    changed.append(("half as much surface again", replace(bowl, container=wider)))
    if habits.change_share > 0.0 and habits.change_interval_days > 1.0:
        oftener = replace(habits, change_interval_days=0.5 * habits.change_interval_days)
        changed.append(("water changed twice as often", replace(bowl, habits=oftener)))
    return tuple(Move(label, capacity(other, ranges, seed, members)) for label, other in changed)


def _warmer(room: Room, by_c: float) -> Room:
    # An unknown room is taken at the middle of its range (`room_mean_c`, `room_swing_c`).
    low = room.min_c if room.min_c is not None else 20.0
    high = room.max_c if room.max_c is not None else max(22.0, low)
    return replace(room, min_c=low + by_c, max_c=high + by_c)
