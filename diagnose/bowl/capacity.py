"""How many grown animals a container carries, what sets the limit, and what would narrow it.

By balances of the model's own rates over a usual day, not by runs: each limit then moves only one
way with surface, air and food, and the answer comes at once. The container is empty but for what
its keeper does in it, so that the number does not depend on who lives there now.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.bowl import air_water, animals, chemistry, microbes, plants
from diagnose.bowl.bands import Band, band
from diagnose.bowl.description import Bowl, Planting, Room, Stock
from diagnose.bowl.parameters import Array, Members
from diagnose.bowl.simulate import (
    TRACE_N_MG_L_H,
    body_mg,
    living_constants,
    oxidisers_of,
    plants_settled,
    usual_day,
)
from diagnose.water.ammonia import nh3_as_n
from diagnose.water.nitrogen import NO2_PER_N, NO3_PER_N

Flags = NDArray[np.bool_]
Limit = Literal[
    "oxygen before dawn", "ammonia", "nitrite", "nitrate", "grazing", "keepers' measure"
]

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
# A careful keeper's ration, share of body mass a day (common practice, no source): whoever adds
# animals feeds them at least that.
RATION_SHARE_DAY: Final = 0.02

#: Limits past which a colony does not grow; the trade's measures of nitrite, nitrate and numbers do
#: not stop it (from memory).
STOPS_GROWTH: Final[tuple[Limit, ...]] = ("oxygen before dawn", "ammonia", "grazing")

MOST_PER_L: Final = 200.0
HOURS_PER_DAY: Final = 24
HALVINGS: Final = 40
#: A limit found within this ratio from the safe side to the best needs no narrowing.
NARROW_ENOUGH: Final = 3.0
#: A film of this age is as grown in as it will be (common practice, no source).
MATURE_DAYS: Final = 120.0
PLANTING_UP: Final[Mapping[Planting, Planting]] = {
    "none": "sparse",
    "sparse": "moderate",
    "moderate": "dense",
    "dense": "dense",
}


@dataclass(frozen=True, slots=True)
class Kept:
    """The trade's measure: grown animals that keepers have in such a container, once it is mature,
    and the share of it that suits its present age (0 to 1).
    """

    mature: float
    share_now: float = 1.0


@dataclass(frozen=True)
class Capacity:
    """Grown animals a container carries: in 90 % of the members (low), the middle, and 10 % (high).

    adults: now, at the age of its film; mature: once that has grown in. limiting: the limit whose
    own band begins lowest. by_limit: by each limit alone, now. kept: the trade's measure, where it
    was given. sustained: in the middle, where the colony stops growing; clean water by the trade's
    measure asks for fewer. narrows: the estimate that, once measured, would narrow the band most (a
    name of `measured_by.NARROWED_BY`); None where the band is narrow or nothing would.
    """

    adults: Band
    mature: Band
    sustained: float
    limiting: Limit
    by_limit: dict[Limit, Band]
    kept: float | None
    narrows: str | None


def capacity(bowl: Bowl, members: Members, kept: Kept | None = None) -> Capacity:
    """How many grown animals the container carries under its keeper's habits.

    The food told goes on being given, and more animals get at least a careful ration; unfed, they
    live on what grows. members: drawn for this case. kept: the trade's measure, a limit among the
    others (its range is `kept_factor`).
    """
    day = _Day.of(bowl, members)
    now = _limits(day, bowl.container.biofilm_age_days, kept, kept.share_now if kept else 1.0)
    later = _limits(day, max(bowl.container.biofilm_age_days, MATURE_DAYS), kept, 1.0)
    names = list(now)
    least = np.min([now[name] for name in names], axis=0)
    by_band = {name: band(now[name]) for name in names}
    adults = band(least)
    return Capacity(
        adults=adults,
        mature=band(np.min(list(later.values()), axis=0)),
        sustained=band(np.min([later[n] for n in STOPS_GROWTH if n in later], axis=0))[1],
        limiting=min(names, key=lambda name: by_band[name]),
        by_limit=by_band,
        kept=kept.mature if kept is not None else None,
        narrows=_narrows(day, least, adults),
    )


@dataclass(frozen=True)
class _Day:
    """The last day of an unpeopled container under its habits; hourly arrays (24, members).

    own: coefficients (24, 27, members). per_animal: oxygen one grown animal breathes [mg/h].
    grown_mg: wet mass of one. food_mg_d: all that is given now, and ration_mg_d what one animal
    gets at least [mg/d]. dawn: oxygen without animals [mg/L]; answer: by how much a steady use of 1
    mg/h lowers it [mg/L].
    """

    bowl: Bowl
    members: Members
    living: chemistry.Living
    temperature_c: Array
    light: Array
    own: Array
    per_animal: Array
    grown_mg: Array
    food_mg_d: Array
    ration_mg_d: Array
    oxygen: Array
    answer: Array

    @staticmethod
    def of(bowl: Bowl, members: Members) -> _Day:
        bare = replace(bowl, stock=Stock(masses_mg=bowl.stock.masses_mg))
        temperature_c, light_umol = usual_day(bare, members)
        living = living_constants(bare, members)
        count = temperature_c.shape[1]
        nothing = np.zeros((1, count))
        full_l = np.full_like(temperature_c, bowl.container.volume_l)
        lit = plants.light_share(light_umol, members["light_half"])
        own = chemistry.coefficients(
            living, temperature_c, full_l, light_umol, nothing, nothing,
            plants_settled(bare, members, 0), lit.mean(axis=0),
        )  # fmt: skip
        masses = body_mg(bare, members)
        grown = 0.5 * (masses[2] + masses[3])
        one = animals.respiring_mass_g(np.ones((1, count)), grown[None])
        breathing = animals.respiration_mg_h(
            one, temperature_c, members["respiration_24c"], members["respiration_q10"]
        )
        habits = bowl.habits
        days_fed = min(habits.feeds_per_week / 7.0, 1.0)
        if habits.feed_mg_per_day is None:
            given, ration = np.zeros(count), members["feed_share_day"] * grown * days_fed
        else:
            given = habits.feed_mg_per_day * members["feed_error"]
            ration = np.where(given > 0.0, RATION_SHARE_DAY * grown, 0.0)
        still, pull = _over_a_day(own, bowl.container.volume_l)
        return _Day(
            bowl, members, living, temperature_c, lit, own, breathing, grown, given, ration, still,
            pull,
        )  # fmt: skip

    def food_n_mg_d(self, number: Array) -> Array:
        """Nitrogen given a day to that many animals [mg]."""
        given = np.maximum(self.food_mg_d, number * self.ration_mg_d)
        protein = self.bowl.habits.feed_protein_share
        return np.asarray(given * animals.feed_n_mg(1.0, protein))

    def supply_mg_h(self, number: Array) -> Array:
        """Nitrogen that comes free as ammonia [mg/h]: in the end all that is fed or grazed."""
        volume = self.bowl.container.volume_l
        return self.food_n_mg_d(number) / HOURS_PER_DAY + TRACE_N_MG_L_H * volume


def _over_a_day(own: Array, volume_l: float) -> tuple[Array, Array]:
    """Oxygen [mg/L] by hour on a day like every other, and by how much a steady use of 1 mg/h
    lowers it.

    Hour by hour y' = in - out y has an exact solution; the day is gone through until it repeats.
    """
    stays = np.exp(-own[:, chemistry.C_GAS_OUT])
    flows = (1.0 - stays) / own[:, chemistry.C_GAS_OUT]
    net = own[:, chemistry.C_OXYGEN_IN] - own[:, chemistry.C_RESPIRATION]
    hours = len(own)
    kept, came, drawn = np.ones_like(net[0]), np.zeros_like(net[0]), np.zeros_like(net[0])
    for hour in range(hours):
        kept = kept * stays[hour]
        came = came * stays[hour] + net[hour] * flows[hour]
        drawn = drawn * stays[hour] + flows[hour]
    at, pull = came / (1.0 - kept), drawn / (1.0 - kept)
    oxygen, answer = np.empty_like(net), np.empty_like(net)
    for hour in range(hours):
        oxygen[hour], answer[hour] = at / volume_l, pull / volume_l
        at = at * stays[hour] + net[hour] * flows[hour]
        pull = pull * stays[hour] + flows[hour]
    return oxygen, answer


def _limits(day: _Day, age_days: float, kept: Kept | None, kept_share: float) -> dict[Limit, Array]:
    """Grown animals by each limit and member, at an age of the film."""
    bowl, p = day.bowl, day.members
    most = MOST_PER_L * bowl.container.volume_l
    volume = bowl.container.volume_l
    mean_c = day.temperature_c.mean(axis=0)
    first, second = oxidisers_of(day.living, mean_c)
    film = microbes.aged_film(age_days, day.living.seed, p["film_ageing_d"])
    uptake_mg_h = _uptake_mg_h(day)
    freshening_h = _freshening_h(bowl)
    unionised = air_water.unionised_share(
        chemistry.water_ph(day.living, day.light), day.temperature_c
    )
    most_tan = MOST_NH3_N_MG_L / unionised.max(axis=0)
    taken = (
        _oxidised(first, film, most_tan)
        + uptake_mg_h * most_tan / (p["uptake_half_mg_l"] + most_tan)
        + most_tan * freshening_h * volume
    )
    nitrite = np.full_like(most_tan, MOST_NITRITE_N_MG_L)
    passed_on = _oxidised(second, film, nitrite) + nitrite * freshening_h * volume
    rise = MOST_NITRATE_RISE_N_MG_L
    cleared = (
        rise * freshening_h * volume
        + uptake_mg_h * rise / (p["uptake_half_mg_l"] + rise)
        + day.own[0, chemistry.C_NITRATE_OUT] * volume * rise
    )
    out: dict[Limit, Array] = {
        "oxygen before dawn": _most(
            lambda n: _lowest_oxygen(day, n) >= LEAST_OXYGEN_MG_L, day, most
        ),
        "ammonia": _most(lambda n: _with_meal(day, n, volume, most_tan) <= taken, day, most),
        "nitrite": _most(lambda n: day.supply_mg_h(n) - uptake_mg_h <= passed_on, day, most),
        "nitrate": _most(lambda n: day.supply_mg_h(n) <= cleared, day, most),
    }
    unfed = bowl.habits.feeds_per_week <= 0.0 or bowl.habits.feed_mg_per_day == 0.0
    if unfed:
        out["grazing"] = np.minimum(_grazing(day), most)
    if kept is not None:
        out["keepers' measure"] = kept.mature * kept_share * p["kept_factor"]
    return out


def _lowest_oxygen(day: _Day, number: Array) -> Array:
    """Oxygen of the lowest hour [mg/L] with that many animals, their waste and its nitrification.

    What is fed is used up in the end, eaten or not; animals breathe their share of it themselves,
    so only what they leave, and what they cannot eat, draws on the water besides.
    """
    p = day.members
    fed = day.food_n_mg_d(number) / HOURS_PER_DAY
    can_eat = (
        p["largest_meal_share_day"] * number * day.grown_mg * animals.feed_n_mg(1.0, 0.40)
    ) / HOURS_PER_DAY
    eaten = np.minimum(fed, can_eat)
    rotting = (fed - eaten) + animals.EATEN_TO_WASTE * eaten
    nitrified = (microbes.OXYGEN_PER_AMMONIA_N + microbes.OXYGEN_PER_NITRITE_N) * fed
    steady = p["decay_oxygen_per_n"] * rotting + nitrified
    used = number * day.per_animal + steady
    return np.asarray((day.oxygen - day.answer * used).min(axis=0))


def _with_meal(day: _Day, number: Array, volume_l: float, most_tan: Array) -> Array:
    """Supply of ammonia [mg/h], raised by the share of the room that one meal's waste fills."""
    feeds = max(day.bowl.habits.feeds_per_week, 1.0)
    meal = day.food_n_mg_d(number) * 7.0 / feeds * animals.EATEN_TO_AMMONIA / volume_l
    left = np.maximum(1.0 - 0.5 * meal / most_tan, 1e-6)
    return np.asarray(day.supply_mg_h(number) / left)


def _oxidised(oxidisers: microbes.Oxidisers, film: Array, mg_l: Array) -> Array:
    """What the film that this concentration feeds, no older than it is, oxidises [mg/h]."""
    share = np.maximum(microbes.balanced_share(oxidisers, mg_l), microbes.LEAST_FILM)
    return microbes.oxidised_mg_h(oxidisers, np.minimum(share, film), mg_l)


def _uptake_mg_h(day: _Day) -> Array:
    """What the plants would take from rich water on average over the day [mg N/h]."""
    return np.asarray(day.own[:, chemistry.C_UP_PLANTS].mean(axis=0))


def _freshening_h(bowl: Bowl) -> float:
    """Share of the water that changes replace, as a steady rate [1/h]."""
    share, days = bowl.habits.change_share, bowl.habits.change_interval_days
    if share <= 0.0 or days <= 0.0:
        return 0.0
    return -float(np.log1p(-min(share, 0.99))) / (days * HOURS_PER_DAY)


def _grazing(day: _Day) -> Array:
    """Animals that live on what the film grows in the light."""
    grown_mg_d = day.own[:, chemistry.C_UP_FILM].mean(axis=0) * HOURS_PER_DAY
    routine = animals.excretion_mg_h(
        day.grown_mg / 1000.0, day.temperature_c.mean(axis=0), day.members["excretion_24c"]
    )
    need_mg_d = NEEDED_SHARE * routine * HOURS_PER_DAY / animals.EATEN_TO_AMMONIA
    return np.asarray(grown_mg_d / need_mg_d)


def _most(fits: Callable[[Array], Flags], day: _Day, most: float) -> Array:
    """The largest number that fits, member by member, where one more never helps."""
    count = len(day.grown_mg)
    low, high = np.zeros(count), np.full(count, most)
    whole = fits(high)
    empty = ~fits(np.full(count, 1e-6))
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        good = fits(middle)
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return np.where(empty, 0.0, np.where(whole, most, low))


def _narrows(day: _Day, least: Array, adults: Band) -> str | None:
    """The estimate that goes most with the number carried, from member to member."""
    if adults[0] > 0.0 and adults[2] <= NARROW_ENOUGH * adults[0]:
        return None
    told = {
        "oxygen_dawn_mg_l": day.oxygen.min(axis=0),
        "temperature_c": day.temperature_c.mean(axis=0),
        "ph": day.living.ph,
        "food": np.maximum(day.food_mg_d, day.ration_mg_d),
        "film": microbes.aged_film(
            day.bowl.container.biofilm_age_days,
            day.living.seed,
            day.members["film_ageing_d"],
        ),
    }
    ranked = _ranks(least)
    best, most = None, 0.3
    for name, values in told.items():
        if np.ptp(values) <= 1e-9:
            continue
        with_it = abs(float(np.corrcoef(_ranks(values), ranked)[0, 1]))
        if with_it > most:
            best, most = name, with_it
    return best


def _ranks(values: Array) -> Array:
    return np.argsort(np.argsort(values, kind="stable"), kind="stable").astype(np.float64)


@dataclass(frozen=True)
class Move:
    """One change to a container and what it would then carry."""

    change: str
    capacity: Capacity


def capacity_moves(
    bowl: Bowl,
    members: Members,
    kept: Callable[[Planting, bool], Kept] | None = None,
) -> tuple[Move, ...]:
    """How the capacity moves with planting, warmth, surface and water changes.

    The same members are taken for each, so that differences are the change's own. kept: the trade's
    measure by planting and whether the water is moved.
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

    def measure(other: Bowl) -> Kept | None:
        box = other.container
        moved = box.filter_running or box.surface_moved
        return kept(box.planting, moved) if kept is not None else None

    return tuple(Move(label, capacity(other, members, measure(other))) for label, other in changed)


def _warmer(room: Room, by_c: float) -> Room:
    # An unknown room is taken at the middle of its range (`room_mean_c`, `room_swing_c`).
    low = room.min_c if room.min_c is not None else 20.0
    high = room.max_c if room.max_c is not None else max(22.0, low)
    return replace(room, min_c=low + by_c, max_c=high + by_c)
