"""Runs the model of a container over a span of hours, for every member of an ensemble at once.

First the warmth and the volume, which depend on nothing alive; then the colony, which depends on
the warmth; then oxygen and nitrogen, day by day. Events happen at the beginning of their hour.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from diagnose.bowl import air_water, animals, chemistry, colony, microbes, plants, warmth
from diagnose.bowl import surroundings as around
from diagnose.bowl.description import STAGES, Bowl, BowlError, Event, Planting, Quantity
from diagnose.bowl.parameters import Array, Members, spread_errors
from diagnose.water.oxygen import pressure_mmhg_at, saturation_mg_l

# Steps an hour, at least and at most; between them so many that what breathes could use up no more
# than this much of its own half-saturation in a step (see `steps_needed`).
FEWEST_STEPS_PER_HOUR: Final = 2
HEATED_STEPS_PER_HOUR: Final = 4
MOST_STEPS_PER_HOUR: Final = 8
BREATHS_PER_STEP: Final = 0.5
AFTER_EVENT_STEPS_PER_HOUR: Final = 10
LONGEST_RUN_H: Final = 400 * 24
HOURS_PER_DAY: Final = 24
# A lid stops this much of the evaporation it stands over (from memory).
LID_STOPS: Final = 0.9
# Days after which the water of any container follows its room (computed: ten time constants of
# 5 L, three of 40 L).
USUAL_DAYS: Final = 4
# What a sealed lid leaves of the exchange of gases: the air under it is soon in balance.
SEALED_EXCHANGE: Final = 0.05
# New water has been poured, so it comes with its air (common practice, no source).
POURED_SATURATION: Final = 0.95
# Leaf area that light reaches well, as a share of all (from memory).
LIT_LEAVES: Final = 0.5
LIT_GLASS: Final = 0.7
# The day's rise of pH against that of moderate planting (common practice, no source).
PH_RISE_BY_PLANTING: Final[Mapping[Planting, float]] = {
    "none": 0.25,
    "sparse": 0.5,
    "moderate": 1.0,
    "dense": 1.5,
}
# Nitrogen that comes free in any lived-in water, unfed: dead leaves and film (from memory).
TRACE_N_MG_L_H: Final = 0.05 / 24.0
# A milliequivalent of bicarbonate a litre in degrees of carbonate hardness; water is never quite
# without (from memory).
DKH_PER_MEQ: Final = 2.804
LEAST_KH: Final = 0.3
MOST_SEED: Final = 0.95
TINY_MG: Final = 1e-300
#: Readings that the members follow, by their pool.
READ_ROWS: Final[Mapping[Quantity, int]] = {
    "tan_mg_l": chemistry.AMMONIA,
    "nitrite_mg_l": chemistry.NITRITE,
    "nitrate_n_mg_l": chemistry.NITRATE,
}
CHANGE_KINDS: Final = ("water_change", "top_up")
LIVING_KINDS: Final = ("animals_added", "animals_removed", "deaths")


@dataclass(frozen=True)
class Run:
    """What happened, hour by hour: row i is the state at `first_hour + i`, before that hour's
    events (the last row ends the run). Arrays are (hours + 1, ..., members).

    pools_mg: (hours + 1, 13, members) in the rows of `chemistry`. counts: animals by stage at the
    beginning of each hour. added_n_mg, removed_n_mg: nitrogen put in and taken out so far.
    light: share of full photosynthesis by hour.
    """

    bowl: Bowl
    first_hour: int
    temperature_c: Array
    volume_l: Array
    pools_mg: Array
    solids_mg_l: Array
    gh_dgh: Array
    counts: Array
    room_c: Array
    light: Array
    ph: Array
    added_n_mg: Array
    removed_n_mg: Array

    @property
    def hours(self) -> Array:
        """Hours of the rows, relative to the time of asking."""
        return self.first_hour + np.arange(len(self.volume_l), dtype=np.float64)

    @property
    def oxygen_mg_l(self) -> Array:
        """Dissolved oxygen [mg/L]."""
        return np.asarray(self.pools_mg[:, chemistry.OXYGEN] / self.volume_l)

    @property
    def tan_mg_l(self) -> Array:
        """Total ammonia as N [mg/L]."""
        return np.asarray(self.pools_mg[:, chemistry.AMMONIA] / self.volume_l)

    @property
    def nitrite_mg_l(self) -> Array:
        """Nitrite as N [mg/L]."""
        return np.asarray(self.pools_mg[:, chemistry.NITRITE] / self.volume_l)

    @property
    def nitrate_n_mg_l(self) -> Array:
        """Nitrate as N [mg/L]."""
        return np.asarray(self.pools_mg[:, chemistry.NITRATE] / self.volume_l)

    @property
    def nh3_mg_l(self) -> Array:
        """Un-ionised ammonia as N [mg/L]."""
        return self.tan_mg_l * air_water.unionised_share(self.ph, self.temperature_c)

    @property
    def nitrogen_mg(self) -> Array:
        """Nitrogen of all pools and accounts [mg], (hours + 1, members)."""
        return np.asarray(self.pools_mg[:, list(chemistry.NITROGEN_ROWS)].sum(axis=1))


def simulate(
    bowl: Bowl,
    events: Iterable[Event],
    first_hour: int,
    last_hour: int,
    members: Members,
    life: colony.LifeHistory | None = None,
    stock_factor: Array | None = None,
    colony_from_hour: int = 0,
    capacity_animals: float | None = None,
    steps_per_hour: int | None = None,
) -> Run:
    """Runs a container from `first_hour` to `last_hour` (relative to asking).

    events: all of them, the routine included (`routine.with_habits`). life: if given, the colony
    breeds and dies from `colony_from_hour` on; otherwise numbers change by events alone.
    stock_factor: one multiplier a member on the animals and their usual food, to try many stocks
    in one run. steps_per_hour: None takes `steps_needed`. Raises BowlError for a span that is
    empty or longer than 400 days. The order of the events given does not matter.
    """
    hours = last_hour - first_hour
    if not 0 < hours <= LONGEST_RUN_H:
        raise BowlError(f"A run of {hours} hours is not possible; it takes 1 to {LONGEST_RUN_H}.")
    if steps_per_hour is None:
        steps_per_hour = steps_needed(bowl, members)
    if steps_per_hour < 1:
        raise BowlError("A run needs at least one step an hour.")
    told = tuple(events)
    by_hour = _by_hour(told, first_hour, hours)
    room = around.surroundings(bowl, told, first_hour, hours, members)
    heat = _warm(bowl, by_hour, room, members, steps_per_hour)
    first, counts, moved = _populate(
        bowl, by_hour, heat, members, life, stock_factor, colony_from_hour - first_hour,
        capacity_animals,
    )  # fmt: skip
    return _live(
        bowl, by_hour, room, heat, first, counts, moved, members, stock_factor, first_hour,
        steps_per_hour,
    )  # fmt: skip


def steps_needed(bowl: Bowl, members: Members) -> int:
    """Steps an hour that a container needs: more, the faster its oxygen can be used up.

    Oxygen near nothing changes with the rate of all breathing over its half-saturation; a step must
    be short against that. A keeper's bowl takes two, one crammed with animals more.
    """
    living = living_constants(bowl, members)
    counts = np.array([[bowl.stock.hatchlings], [bowl.stock.juveniles],
                       [bowl.stock.females], [bowl.stock.males]])  # fmt: skip
    animals_g = animals.respiring_mass_g(counts, body_mg(bowl, members))
    breathing_mg_h = (
        animals_g * members["respiration_24c"] + living.plants_g * members["plant_respiration_24c"]
    )
    rate_h = np.median(breathing_mg_h) / (chemistry.BREATHING_HALF_MG_L * bowl.container.volume_l)
    wanted = int(np.ceil(rate_h / BREATHS_PER_STEP))
    heated = bowl.container.heater_setpoint_c is not None
    fewest = HEATED_STEPS_PER_HOUR if heated else FEWEST_STEPS_PER_HOUR
    return min(max(wanted, fewest), MOST_STEPS_PER_HOUR)


def _by_hour(events: Iterable[Event], first_hour: int, hours: int) -> dict[int, list[Event]]:
    found: dict[int, list[Event]] = {}
    for event in events:
        at = round(event.hour) - first_hour
        if 0 <= at < hours:
            found.setdefault(at, []).append(event)
    for together in found.values():
        together.sort(
            key=lambda event: (event.kind, event.stage, event.share, event.mg, event.count)
        )
    return found


@dataclass(frozen=True)
class _Heat:
    """Temperature and volume on the step grid (hours, steps + 1, members), and at hour ends before
    events (hours + 1, members). swaps: (share let out, litres let in) by hour and place in its
    list of events.
    """

    grid_c: Array
    grid_l: Array
    before_c: Array
    before_l: Array
    swaps: dict[tuple[int, int], tuple[float, Array]]


def heat_constants(bowl: Bowl, members: Members) -> warmth.Warmth:
    """Constants of the heat balance of a container for every member."""
    container = bowl.container
    area = container.surface_m2
    uncovered = 0.0 if container.sealed else 1.0 - LID_STOPS * container.lid_share
    heater = container.heater_setpoint_c
    return warmth.Warmth(
        conductance_w_k=warmth.conductance_w_k(
            members["glass_heat_w_m2_k"], container.glass_m2, members["surface_heat_w_m2_k"], area
        ),
        evaporation_kg_h_kpa=air_water.evaporation_kg_m2_h_kpa(members["evaporation_activity"])
        * (area * uncovered),
        extra_kj_k=members["extra_heat_capacity"] * (warmth.WATER_KJ_KG_K * container.volume_l),
        heater_w=members["heater_w_l"] * (container.volume_l if heater is not None else 0.0),
        heater_setpoint_c=heater if heater is not None else 0.0,
        full_l=container.volume_l,
    )


def heat_gain_w(bowl: Bowl, room: around.Surroundings, members: Members) -> Array:
    """Warmth from sun and lamp [W] (hours, members).

    The sun meets the face the container shows to the window, its width times its depth, and comes
    down through the open surface as well: per area the tangent of its height as much as on an
    upright pane.
    """
    container = bowl.container
    face_m2 = container.glass_m2 / np.pi
    open_m2 = container.surface_m2 * (1.0 - container.lid_share)
    sunny = (
        around.sun_behind_glass(members)
        * members["absorbed_sun_share"]
        * (face_m2 + members["sun_height_tangent"] * open_m2)
    )
    lamp = members["lamp_heat_w_l"] * container.volume_l
    return np.asarray(room.sun_w_m2[:, None] * sunny + room.lamp_on[:, None] * lamp)


def _warm(
    bowl: Bowl,
    by_hour: dict[int, list[Event]],
    room: around.Surroundings,
    members: Members,
    steps: int,
) -> _Heat:
    constants = heat_constants(bowl, members)
    gain_w = heat_gain_w(bowl, room, members)
    vapour_kpa = members["room_humidity"] * air_water.vapour_pressure_kpa(room.room_c)
    hours, count = room.room_c.shape
    grid_c = np.empty((hours, steps + 1, count))
    grid_l = np.empty((hours, steps + 1, count))
    before_c, before_l = np.empty((hours + 1, count)), np.empty((hours + 1, count))
    swaps: dict[tuple[int, int], tuple[float, Array]] = {}
    full = bowl.container.volume_l
    now_c = room.room_c[:HOURS_PER_DAY].mean(axis=0)
    if constants.heater_setpoint_c > 0.0:
        now_c = np.maximum(now_c, constants.heater_setpoint_c)
    if bowl.start.temperature_c is not None:
        now_c = np.full(count, bowl.start.temperature_c)
    now_l = np.full(count, full)
    for hour in range(hours):
        before_c[hour], before_l[hour] = now_c, now_l
        for place, event in enumerate(by_hour.get(hour, ())):
            if event.kind not in CHANGE_KINDS:
                continue
            out = event.share if event.kind == "water_change" else 0.0
            kept_l = now_l * (1.0 - out)
            into_l = np.maximum(full - kept_l, 0.0)
            new_c = _new_water_c(bowl, event, room.room_c[hour])
            now_c = (kept_l * now_c + into_l * new_c) / (kept_l + into_l)
            now_l = kept_l + into_l
            swaps[hour, place] = (out, into_l)
        grid_c[hour, 0], grid_l[hour, 0] = now_c, now_l
        for at in range(steps):
            now_c, now_l = warmth.step_warmth(
                now_c, now_l, 1.0 / steps, room.room_c[hour], vapour_kpa[hour], gain_w[hour],
                constants,
            )  # fmt: skip
            grid_c[hour, at + 1], grid_l[hour, at + 1] = now_c, now_l
    before_c[hours], before_l[hours] = now_c, now_l
    return _Heat(grid_c, grid_l, before_c, before_l, swaps)


def _new_water_c(bowl: Bowl, event: Event, room_c: Array) -> Array:
    if event.temperature_c is not None:
        return np.full_like(room_c, event.temperature_c)
    if bowl.tap.temperature_c is not None and event.kind == "water_change":
        return np.full_like(room_c, bowl.tap.temperature_c)
    return room_c


def _populate(
    bowl: Bowl,
    by_hour: dict[int, list[Event]],
    heat: _Heat,
    members: Members,
    life: colony.LifeHistory | None,
    stock_factor: Array | None,
    breeding_from: int,
    capacity_animals: float | None,
) -> tuple[Array, Array, dict[tuple[int, int], Array]]:
    """Animals by stage at the start (4, members) and within each hour (hours, 4, members), and how
    many each living event moved.
    """
    hours, count = heat.grid_c.shape[0], heat.grid_c.shape[2]
    shape = life if life is not None else colony.LifeHistory()
    factor = stock_factor if stock_factor is not None else np.ones(count)
    classes = colony.first_classes(bowl.stock, shape, count) * factor
    rates = colony.vital(shape, members)
    masses = np.array(bowl.stock.masses_mg)
    adult_mg = 0.5 * (masses[2] + masses[3])
    counts = np.empty((hours, len(STAGES), count))
    moved: dict[tuple[int, int], Array] = {}
    first = now = colony.stage_counts(classes)
    for hour in range(hours):
        for place, event in enumerate(by_hour.get(hour, ())):
            if event.kind in LIVING_KINDS:
                classes = colony.apply_event(classes, event)
                after = colony.stage_counts(classes)
                moved[hour, place] = after - now
                now = after
        counts[hour] = now
        if life is not None and hour >= breeding_from and (hour + 1) % HOURS_PER_DAY == 0:
            load = None
            if capacity_animals is not None:
                load = masses @ now / (max(capacity_animals, 0.5) * adult_mg)
            day_c = heat.grid_c[hour + 1 - HOURS_PER_DAY : hour + 1, 0].mean(axis=0)
            classes = colony.next_day(classes, day_c, life, rates, load)
            now = colony.stage_counts(classes)
    return first, counts, moved


def living_constants(bowl: Bowl, members: Members) -> chemistry.Living:
    """Constants of the living part of a container for every member."""
    container = bowl.container
    footprint = container.volume_l / 1000.0 / _depth_m(bowl)
    wet_g = (
        np.zeros_like(members["plant_dry_share"])
        if container.planting == "none"
        else members[f"plants_wet_g_l_{container.planting}"] * container.volume_l
    )
    dry_g = wet_g * members["plant_dry_share"]
    leaves_m2 = dry_g * members["plant_area_m2_g"]
    sand = container.substrate != "none"
    area = container.glass_m2 + footprint + leaves_m2
    if sand:
        area = area + footprint * members["substrate_area_factor"]
    if container.filter_running:
        area = area + members["filter_area_m2_l"] * container.volume_l
    moved = container.filter_running or container.surface_moved
    factor = members["moved_exchange"] if moved else members["still_exchange"]
    if container.sealed:
        factor = factor * SEALED_EXCHANGE
    pressure_share = saturation_mg_l(20.0, pressure_mmhg_at(container.altitude_m)) / (
        saturation_mg_l(20.0)
    )
    ph = members["ph_unknown"] if bowl.ph is None else bowl.ph + members["ph_error"]
    hardness = members["kh_unknown"] if bowl.kh_dkh is None else np.full_like(ph, bowl.kh_dkh)
    return chemistry.Living(
        members=members,
        plants_g=dry_g,
        photosynthesis=members["photosynthesis_25c"]
        * plants.shared_light(wet_g / container.volume_l, members["plants_share"]),
        area_m2=area,
        transfer_m_d=members["moved_transfer_m_d" if moved else "still_transfer_m_d"],
        lit_m2=LIT_GLASS * container.glass_m2 + footprint + LIT_LEAVES * leaves_m2,
        exchange_m2=container.surface_m2
        * (1.0 - container.floating_cover * members["cover_hindrance"]),
        exchange_factor=factor,
        open_m2=0.0 if container.sealed else container.surface_m2,
        pressure_share=pressure_share,
        ph=ph,
        ph_rise=members["ph_day_rise"] * PH_RISE_BY_PLANTING[container.planting],
        seed=np.minimum(
            members["nitrifier_seed"] + members["leaf_seed"] * leaves_m2 / area, MOST_SEED
        ),
        alkali_meq_l=np.maximum(hardness, LEAST_KH) / DKH_PER_MEQ,
        buffered=container.substrate == "limestone",
        sand_m2=footprint if sand else 0.0,
    )


def plants_settled(bowl: Bowl, members: Members, hour: int) -> Array:
    """How far the plants have rooted on the day of a run's hour: they are as old as the film."""
    age_days = bowl.container.biofilm_age_days + hour // HOURS_PER_DAY
    return plants.settled_share(
        age_days, members["planting_first_share"], members["planting_settles_d"]
    )


def _depth_m(bowl: Bowl) -> float:
    """Water depth of the upright cylinder that has this volume and this much glass."""
    container = bowl.container
    # V = pi r^2 h and G = 2 pi r h give h = G^2 / (4 pi V).
    return container.glass_m2**2 / (4.0 * np.pi * container.volume_l / 1000.0)


def usual_feed_n_mg(bowl: Bowl, counts: Array, members: Members, stock_factor: Array) -> Array:
    """Nitrogen in one usual feeding [mg], for the animals (4, members) that are there."""
    habits = bowl.habits
    if habits.feeds_per_week <= 0.0:
        return np.zeros_like(members["feed_error"])
    if habits.feed_mg_per_day is not None:
        mg_day = habits.feed_mg_per_day * members["feed_error"] * stock_factor
    else:
        wet_mg = (body_mg(bowl, members) * counts).sum(axis=0)
        # A share of body mass on each day of feeding.
        mg_day = members["feed_share_day"] * wet_mg * min(habits.feeds_per_week / 7.0, 1.0)
    per_feed = mg_day * 7.0 / habits.feeds_per_week
    return np.asarray(per_feed * animals.feed_n_mg(1.0, habits.feed_protein_share))


def first_pools(
    bowl: Bowl, living: chemistry.Living, counts: Array, heat_c: Array, stock_factor: Array
) -> Array:
    """Pools at the beginning of a run [mg] (13, members): a container under its usual care.

    stock_factor: one multiplier a member on food told as an amount (see `simulate`).
    """
    p = living.members
    volume = bowl.container.volume_l
    count = len(p["plant_dry_share"])
    pools = np.zeros((chemistry.ROWS, count))
    film = microbes.aged_film(bowl.container.biofilm_age_days, living.seed, p["film_ageing_d"])
    per_day = usual_feed_n_mg(bowl, counts, p, stock_factor) * bowl.habits.feeds_per_week / 7.0
    (tan, ammonia_film), (nitrite, nitrite_film) = _settled_water(bowl, living, per_day, heat_c)
    lived = film >= ammonia_film
    lived_in = np.minimum(bowl.container.biofilm_age_days, p["start_waste_days"])
    pools[chemistry.OXYGEN] = (
        0.9 * volume * air_water.oxygen_saturation_mg_l(heat_c, living.pressure_share)
    )
    pools[chemistry.WASTE] = per_day * animals.EATEN_TO_WASTE * lived_in
    pools[chemistry.AMMONIA] = (
        np.where(lived, tan, bowl.tap.tan_mg_l + p["start_tan_mg_l"]) * volume
    )
    pools[chemistry.NITRITE] = (
        np.where(lived, nitrite, bowl.tap.nitrite_mg_l + 0.3 * p["start_tan_mg_l"]) * volume
    )
    pools[chemistry.NITRATE] = (bowl.tap.nitrate_n_mg_l + p["start_nitrate_mg_l"] * film) * volume
    pools[chemistry.FILM] = living.film_full_mg * (0.05 + 0.45 * film)
    pools[chemistry.AMMONIA_OXIDISERS] = np.minimum(film, ammonia_film)
    pools[chemistry.NITRITE_OXIDISERS] = np.minimum(film, nitrite_film)
    pools[chemistry.PLANTS] = living.plants_g * p["plant_tissue_n"]
    pools[chemistry.ANIMALS] = _body_n(bowl, p, counts)
    start = bowl.start
    for row, measured in (
        (chemistry.OXYGEN, start.oxygen_mg_l),
        (chemistry.AMMONIA, start.tan_mg_l),
        (chemistry.NITRITE, start.nitrite_mg_l),
        (chemistry.NITRATE, start.nitrate_n_mg_l),
    ):
        if measured is not None:
            pools[row] = measured * volume
    return pools


def _settled_water(
    bowl: Bowl, living: chemistry.Living, food_n_mg_day: Array, heat_c: Array
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Ammonia and nitrite [mg/L], each with its share of a full film, where the container has long
    lived with its usual food: all its nitrogen comes free in the end but for what animals keep.
    """
    p = living.members
    volume = bowl.container.volume_l
    supply = food_n_mg_day / HOURS_PER_DAY + TRACE_N_MG_L_H * volume
    day = np.full_like(supply, bowl.container.light_hours / HOURS_PER_DAY)
    light = day * plants.light_share(p["lamp_par"], p["light_half"])
    wanted = living.plants_g * plants.uptake_mg_g_h(
        light, p["plant_n_uptake"], p["plant_dark_uptake"]
    )
    first, second = oxidisers_of(living, heat_c)
    ammonia = microbes.balance(first, supply, wanted, p["uptake_half_mg_l"])
    passed_on = microbes.oxidised_mg_h(first, ammonia[1], ammonia[0])
    nothing = np.zeros_like(supply)
    return ammonia, microbes.balance(second, passed_on, nothing, p["uptake_half_mg_l"])


def oxidisers_of(
    living: chemistry.Living, temperature_c: Array
) -> tuple[microbes.Oxidisers, microbes.Oxidisers]:
    """Both steps of nitrification on the surfaces of a container at a temperature."""
    p = living.members
    acid = microbes.acid_share(living.ph, p["acid_slowing"])
    fastest = chemistry.fastest_mg_h(
        living, microbes.nitrification_temperature_share(temperature_c) * acid
    )
    growing = microbes.growth_temperature_share(temperature_c) * acid / HOURS_PER_DAY
    fading = p["nitrifier_decay_d"] / HOURS_PER_DAY
    first = microbes.Oxidisers(
        fastest,
        p["tan_half_mg_l"],
        fastest / chemistry.transfer_l_h(living),
        p["ammonia_oxidiser_growth"] * growing,
        p["ammonia_growth_half"],
        fading,
    )
    second = microbes.Oxidisers(
        fastest,
        p["nitrite_half_mg_l"],
        np.zeros_like(fastest),
        p["nitrite_oxidiser_growth"] * growing,
        p["nitrite_half_mg_l"],
        fading,
    )
    return first, second


def usual_day(bowl: Bowl, members: Members) -> tuple[Array, Array]:
    """Water temperature [degC] and light among the plants [umol/m2/s], hour by hour (24, members),
    once a container has stood for some days as it is; water that evaporates is made good.
    """
    hours = USUAL_DAYS * HOURS_PER_DAY
    room = around.surroundings(bowl, (), 0, hours, members)
    full = {hour: [Event(hour, "top_up")] for hour in range(0, hours, HOURS_PER_DAY)}
    steps = HEATED_STEPS_PER_HOUR if bowl.container.heater_setpoint_c else 1
    heat = _warm(bowl, full, room, members, steps)
    last = slice(-HOURS_PER_DAY, None)
    return heat.grid_c[last, 0], room.light_umol[last]


def body_mg(bowl: Bowl, members: Members) -> Array:
    """Wet mass of one animal by stage and member [mg]."""
    return animals.masses_mg(bowl.stock.masses_mg, members["body_size_factor"])


def _body_n(bowl: Bowl, members: Members, counts: Array) -> Array:
    return np.asarray(animals.BODY_N_MG_PER_MG * (body_mg(bowl, members) * counts).sum(axis=0))


def _live(
    bowl: Bowl,
    by_hour: dict[int, list[Event]],
    room: around.Surroundings,
    heat: _Heat,
    first: Array,
    counts: Array,
    moved: dict[tuple[int, int], Array],
    members: Members,
    stock_factor: Array | None,
    first_hour: int,
    steps: int,
) -> Run:
    living = living_constants(bowl, members)
    loop = chemistry.loop_constants(living)
    hours, count = room.room_c.shape
    factor = stock_factor if stock_factor is not None else np.ones(count)
    masses = body_mg(bowl, members)
    wet_g = animals.wet_mass_g(counts, masses)
    respiring_g = animals.respiring_mass_g(counts, masses)
    state = first_pools(bowl, living, first, heat.before_c[0], factor)
    pools = np.empty((hours + 1, chemistry.ROWS, count))
    added, removed = np.zeros((hours + 1, count)), np.zeros((hours + 1, count))
    salts = np.empty((hours + 1, 2, count))
    tap_salts = np.array([bowl.tap.solids_mg_l, bowl.tap.gh_dgh])
    # Dissolved solids [mg] and hardness [dGH L]: both move with the water alone.
    salt = tap_salts[:, None] * members["start_solids_rise"] * bowl.container.volume_l
    put_in, taken_out = np.zeros(count), np.zeros(count)
    step_h = 1.0 / steps
    after_event = math.ceil(AFTER_EVENT_STEPS_PER_HOUR / steps)
    block, day_from = np.empty(0), 0
    share_lit = plants.light_share(room.light_umol, members["light_half"])
    a_day = share_lit if hours >= HOURS_PER_DAY else _lit_day(bowl, first_hour, members)
    begun = chemistry.charge_mg_l(state, heat.before_l[0])
    shifts = np.zeros((hours + 1, count))
    for hour in range(hours):
        pools[hour], added[hour], removed[hour] = state, put_in, taken_out
        salts[hour] = salt / heat.before_l[hour]
        happening = by_hour.get(hour, ())
        if any(event.kind == "stirred" for event in happening):
            moved_too = replace(bowl.container, surface_moved=True)
            living = living_constants(replace(bowl, container=moved_too), members)
            day_from = hour
        for place, event in enumerate(happening):
            if event.kind == "read":
                moved_n = _follow(event, state, heat.before_l[hour])
                put_in = put_in + np.maximum(moved_n, 0.0)
                taken_out = taken_out + np.maximum(-moved_n, 0.0)
                continue
            gain, loss, salt = _happen(
                event, state, salt, heat.swaps.get((hour, place)), moved.get((hour, place)),
                bowl, living, counts[hour], factor, room.room_c[hour],
            )  # fmt: skip
            put_in, taken_out = put_in + gain, taken_out + loss
        if hour % HOURS_PER_DAY == 0:
            day_from = hour
        if hour == day_from:
            day = slice(hour, min(hour - hour % HOURS_PER_DAY + HOURS_PER_DAY, hours))
            shift = chemistry.ph_shift(living, begun, state, heat.before_l[hour])
            shifts[hour:] = shift
            whole = slice(max(day.stop - HOURS_PER_DAY, 0), max(day.stop, HOURS_PER_DAY))
            block = chemistry.coefficients(
                replace(living, ph=living.ph + shift),
                heat.grid_c[day],
                heat.grid_l[day],
                room.light_umol[day, None],
                wet_g[day, None],
                respiring_g[day, None],
                plants_settled(bowl, members, hour),
                a_day[whole].mean(axis=0),
            )
        now = block[hour - day_from]
        # What has just been put in moves fast at first: shorter steps for two hours.
        parts = after_event if _just_happened(by_hour, hour) else 1
        for at in range(steps):
            state = _steps(state, now[at], now[at + 1], step_h, parts, loop)
    pools[hours], added[hours], removed[hours] = state, put_in, taken_out
    salts[hours] = salt / heat.before_l[hours]
    ends = np.concatenate([share_lit, share_lit[-1:]])
    return Run(
        bowl=bowl,
        first_hour=first_hour,
        temperature_c=heat.before_c,
        volume_l=heat.before_l,
        pools_mg=pools,
        solids_mg_l=salts[:, 0],
        gh_dgh=salts[:, 1],
        counts=counts,
        room_c=room.room_c,
        light=share_lit,
        ph=chemistry.water_ph(living, ends) + shifts,
        added_n_mg=added,
        removed_n_mg=removed,
    )


def _follow(event: Event, state: Array, volume_l: Array) -> Array:
    """Draws the members towards a reading, in place, and returns the nitrogen that moved [mg].

    Each goes the share of the way that the spread of all has of that spread and the reading's
    error (the gain of an ensemble Kalman filter), towards the reading as its own kit might have
    shown it.
    """
    row = READ_ROWS.get(event.quantity or "ph")
    if row is None:
        return np.zeros_like(volume_l)
    there = state[row] / volume_l
    spread = float(np.var(there))
    # A reading far outside the members says that they are too sure of themselves.
    surprise = float(np.mean(there)) - event.value
    spread = max(spread, surprise**2 - event.sd**2)
    gain = spread / (spread + event.sd**2)
    read = event.value + event.sd * spread_errors(len(there))
    after = np.maximum(there + gain * (read - there), 0.0) * volume_l
    moved = after - state[row]
    state[row] = after
    return np.asarray(moved)


def water_c(
    bowl: Bowl, events: Iterable[Event], first_hour: int, last_hour: int, members: Members
) -> Array:
    """Water temperature alone [degC] (hours + 1, members), at a fraction of the cost of a run."""
    told = tuple(events)
    hours = last_hour - first_hour
    room = around.surroundings(bowl, told, first_hour, hours, members)
    steps = HEATED_STEPS_PER_HOUR if bowl.container.heater_setpoint_c else 1
    return _warm(bowl, _by_hour(told, first_hour, hours), room, members, steps).before_c


def _lit_day(bowl: Bowl, first_hour: int, members: Members) -> Array:
    """Share of full light over a whole day from the first hour on, for a run that is shorter."""
    room = around.surroundings(bowl, (), first_hour, HOURS_PER_DAY, members)
    return plants.light_share(room.light_umol, members["light_half"])


def _just_happened(by_hour: dict[int, list[Event]], hour: int) -> bool:
    return hour == 0 or hour in by_hour or hour - 1 in by_hour


def _steps(
    state: Array, begin: Array, end: Array, step_h: float, parts: int, loop: chemistry.Loop
) -> Array:
    """Takes a step in equal parts, coefficients on a straight line between its ends."""
    if parts == 1:
        return chemistry.step(state, begin, end, step_h, loop)
    first = begin
    for part in range(1, parts + 1):
        # Weighted, not summed up: a coefficient that ends at nothing must not round below it.
        way = part / parts
        last = (1.0 - way) * begin + way * end
        state = chemistry.step(state, first, last, step_h / parts, loop)
        first = last
    return state


def _happen(
    event: Event,
    state: Array,
    salt: Array,
    swap: tuple[float, Array] | None,
    moved: Array | None,
    bowl: Bowl,
    living: chemistry.Living,
    counts: Array,
    factor: Array,
    room_c: Array,
) -> tuple[Array, Array, Array]:
    """Changes `state` in place; returns nitrogen put in, nitrogen taken out [mg] and the salts."""
    p = living.members
    gain, loss = np.zeros_like(factor), np.zeros_like(factor)
    if swap is not None:
        share, into_l = swap
        gain, loss, salt = _change_water(event, state, salt, share, into_l, bowl, living, room_c)
    elif event.kind == "feeding":
        if event.mg > 0.0:
            gain = animals.feed_n_mg(event.mg, event.protein_share) * p["feed_error"]
        else:
            gain = usual_feed_n_mg(bowl, counts, p, factor) * (event.share or 1.0)
        state[chemistry.FOOD] += gain
    elif event.kind == "dosed":
        gain = np.full_like(factor, event.mg)
        state[chemistry.AMMONIA] += gain
    elif event.kind == "bodies_removed":
        loss = state[chemistry.BODIES] * event.share
        state[chemistry.BODIES] -= loss
    elif event.kind == "biofilm_lost":
        left = 1.0 - (p["stopped_filter_film"] if event.guessed else event.share)
        state[chemistry.AMMONIA_OXIDISERS] *= left
        state[chemistry.NITRITE_OXIDISERS] *= left
    elif moved is not None:
        if event.kind == "animals_added":
            change = _body_n(bowl, p, moved)
        else:
            # What leaves takes its share of all bodies, lean or fat.
            left, gone = _body_n(bowl, p, counts), -_body_n(bowl, p, moved)
            change = -state[chemistry.ANIMALS] * gone / np.maximum(left + gone, TINY_MG)
        state[chemistry.ANIMALS] += change
        if event.kind == "deaths":
            state[chemistry.BODIES] -= change
        elif event.kind == "animals_added":
            gain = change
        else:
            loss = -change
    return gain, loss, salt


def _change_water(
    event: Event,
    state: Array,
    salt: Array,
    share: float,
    into_l: Array,
    bowl: Bowl,
    living: chemistry.Living,
    room_c: Array,
) -> tuple[Array, Array, Array]:
    """Lets a share of the water out, with what is dissolved in it, and the new water in."""
    tap = bowl.tap
    loss = np.zeros_like(into_l)
    gain = np.zeros_like(into_l)
    given = (tap.tan_mg_l, tap.nitrite_mg_l, tap.nitrate_n_mg_l)
    dissolved = (chemistry.AMMONIA, chemistry.NITRITE, chemistry.NITRATE)
    for row, tap_mg_l in zip(dissolved, given, strict=True):
        out, into = state[row] * share, 0.0 if event.pure else tap_mg_l * into_l
        state[row] += into - out
        loss, gain = loss + out, gain + into
    siphoned = state[chemistry.WASTE] * np.minimum(share * living.members["siphoned_waste"], 1.0)
    state[chemistry.WASTE] -= siphoned
    loss = loss + siphoned
    new_c = _new_water_c(bowl, event, room_c)
    fresh = POURED_SATURATION * air_water.oxygen_saturation_mg_l(new_c, living.pressure_share)
    state[chemistry.OXYGEN] += into_l * fresh - share * state[chemistry.OXYGEN]
    solids = event.solids_mg_l if event.solids_mg_l is not None else tap.solids_mg_l
    hardness = event.gh_dgh if event.gh_dgh is not None else tap.gh_dgh
    new_salts = np.zeros(2) if event.pure else np.array([solids, hardness])
    return gain, loss, salt * (1.0 - share) + new_salts[:, None] * into_l
