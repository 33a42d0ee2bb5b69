"""Oxygen and the four forms of nitrogen in the water, and the pools they come from and go to.

State (rows of an array with one column a member), all in mg, nitrifiers as a share of a full film:

    oxygen, food N, bodies N, waste N, ammonia N, nitrite N, nitrate N, film N,
    ammonia oxidisers, nitrite oxidisers, and the accounts plants N, animals N, air N.

Every process is a loss of one pool at a rate per hour times that pool. A step freezes these rates
at a mean over the step and then moves every pool along its own exponential, so that nothing goes
below zero at any step length, and what leaves one pool enters another to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from diagnose.bowl import air_water, animals, microbes, plants
from diagnose.bowl.parameters import Array, Members

OXYGEN, FOOD, BODIES, WASTE, AMMONIA, NITRITE, NITRATE, FILM = range(8)
AMMONIA_OXIDISERS, NITRITE_OXIDISERS, PLANTS, ANIMALS, AIR = range(8, 13)
ROWS: Final = 13
#: Rows that hold nitrogen: together they change only by what is put in and taken out.
NITROGEN_ROWS: Final = (FOOD, BODIES, WASTE, AMMONIA, NITRITE, NITRATE, FILM, PLANTS, ANIMALS, AIR)

# Oxygen at which animals, plants and microbes get half of what they would use [mg/L]: a
# moderate-to-poor regulator; from memory.
BREATHING_HALF_MG_L: Final = 0.5
# Share of decay that goes on without oxygen (from memory).
AIRLESS_DECAY: Final = 0.3
# Oxygen used by the decay of bodies, per N [mg/mg]: protein has about 3.2 mg carbon per mg N,
# times 2.67, and fat comes on top (from memory).
BODY_OXYGEN_PER_N: Final = 10.0
# Food and film at which animals eat at half speed, as a share of a day's largest meal and of a
# full film (from memory).
FOOD_HALF_OF_MEAL: Final = 0.10
FILM_HALF_SHARE: Final = 0.10
# A milliequivalent of ammonium, nitrite or nitrate [mg N].
N_MG_PER_MEQ: Final = 14.007
# Alkalinity is followed between these shares of that at the start.
LEAST_ALKALI: Final = 0.03
MOST_ALKALI: Final = 4.0
_TINY: Final = 1e-300

# Places of the coefficients in the array that `coefficients` makes.
(
    C_VOLUME, C_BREATHING, C_NITRIFYING, C_TAN_HALF, C_NO2_HALF, C_TAN_GROW, C_NO2_GROW,
    C_AMMONIA_MAX, C_NITRITE_MAX, C_GROW_A, C_GROW_N, C_GAS_OUT, C_OXYGEN_IN, C_RESPIRATION,
    C_FOOD_DECAY, C_BODY_DECAY, C_WASTE_DECAY, C_MEAL, C_FOOD_HALF, C_GRAZE, C_UP_PLANTS, C_UP_FILM,
    C_UP_HALF, C_NH3_OUT, C_NITRATE_OUT, C_SHED, C_LAYER, C_FASTING,
) = range(28)  # fmt: skip
COEFFICIENTS: Final = 28

# The pool each loss is taken from, in the order of `losses`.
LOSS_OF: Final[NDArray[np.intp]] = np.array(
    [FOOD, FOOD, BODIES, WASTE, AMMONIA, AMMONIA, AMMONIA, NITRITE, NITRATE, NITRATE, FILM, FILM,
     OXYGEN, AMMONIA_OXIDISERS, NITRITE_OXIDISERS, ANIMALS],
    dtype=np.intp,
)  # fmt: skip
(
    L_EATEN, L_FOOD, L_BODIES, L_WASTE, L_NITRIFY, L_TAN_UP, L_NH3, L_NITRITE, L_NO3_UP, L_NO3_OUT,
    L_GRAZED, L_SLOUGHED, L_OXYGEN, L_OXIDISERS_A, L_OXIDISERS_N, L_FASTING,
) = range(16)  # fmt: skip


@dataclass(frozen=True)
class Living:
    """Constants of one run for the living part, each one value a member.

    plants_g: dry mass. photosynthesis: at full light, mg O2/g dry/h at 25 degC. area_m2: surfaces
    that bacteria colonise. lit_m2: those that light reaches. transfer_m_d: how fast what is
    dissolved reaches these surfaces. exchange_m2: open surface, less what floating plants hinder.
    exchange_factor: against a still lake. open_m2: surface that ammonia leaves by. pressure_share:
    of air pressure at sea level, by what oxygen it dissolves. seed: nitrifiers on the first day, as
    a share of a full film. ph and ph_rise: at dawn, and the day's rise. alkali_meq_l: what holds
    the pH, at the start; buffered: limestone makes good what is used up. sand_m2: floor that loses
    nitrate.
    """

    members: Members
    plants_g: Array
    photosynthesis: Array
    area_m2: Array
    lit_m2: Array
    transfer_m_d: Array
    exchange_m2: Array
    exchange_factor: Array
    open_m2: float
    pressure_share: float
    ph: Array
    ph_rise: Array
    seed: Array
    alkali_meq_l: Array
    buffered: bool
    sand_m2: float

    @property
    def film_full_mg(self) -> Array:
        """Nitrogen in a full film [mg]."""
        return self.members["film_full"] * self.lit_m2


def water_ph(living: Living, light: Array) -> Array:
    """pH: that of dawn, and higher by the day's rise in proportion to photosynthesis.

    Common practice, no source: planted water gains a few tenths to a whole unit by evening.
    """
    return living.ph + living.ph_rise * light


def ph_shift(living: Living, begun: Array, state: Array, volume_l: Array) -> Array:
    """By how much the dawn pH has moved since the run began.

    Charges balance: nitrate and nitrite that gather use up as much alkalinity as they carry, and
    ammonium stands for as much; at one pressure of carbon dioxide pH moves with the logarithm of
    alkalinity. Limestone makes good what is used up.
    """
    charge = state[AMMONIA] - state[NITRITE] - state[NITRATE]
    moved_meq_l = (charge / volume_l - begun) / N_MG_PER_MEQ
    left = 1.0 + moved_meq_l / living.alkali_meq_l
    if living.buffered:
        left = np.maximum(left, 1.0)
    return np.asarray(np.log10(np.clip(left, LEAST_ALKALI, MOST_ALKALI)), dtype=np.float64)


def charge_mg_l(state: Array, volume_l: Array) -> Array:
    """Ammonium less nitrite and nitrate [mg N/L], as `ph_shift` takes it at the beginning."""
    return np.asarray((state[AMMONIA] - state[NITRITE] - state[NITRATE]) / volume_l)


def coefficients(
    living: Living,
    temperature_c: Array,
    volume_l: Array,
    light_umol: Array,
    wet_g: Array,
    respiring_g: Array,
    settled: Array,
    day_light: Array,
) -> Array:
    """All coefficients of the rates; axes are those of `temperature_c` with the 28 before the last.

    light_umol, wet_g and respiring_g must broadcast against temperature_c (..., members). settled:
    how far the plants have taken root (`plants.settled_share`). day_light: mean share of full light
    over the whole day (`plants.light_share`), by member. Rates are per hour, in mg/h, or mg
    for half-saturations, which scale with the volume.
    """
    p = living.members
    out = np.empty((*temperature_c.shape[:-1], COEFFICIENTS, temperature_c.shape[-1]))
    light = plants.light_share(light_umol, p["light_half"])
    rot = plants.q10_factor(temperature_c, animals.REFERENCE_C, p["decay_q10"])
    acid = microbes.acid_share(living.ph, p["acid_slowing"])
    nitrifying = microbes.nitrification_temperature_share(temperature_c) * acid
    multiplying = microbes.growth_temperature_share(temperature_c) * acid
    saturation = air_water.oxygen_saturation_mg_l(temperature_c, living.pressure_share)
    # m/d over m2 is m3/d: times 1000 / 24 for L/h.
    gas_l_h = (
        air_water.exchange_velocity_m_d(temperature_c, living.exchange_factor)
        * living.exchange_m2
        * (1000.0 / 24.0)
    )
    growing_g = living.plants_g * settled
    made = growing_g * plants.photosynthesis_mg_g_h(
        temperature_c, light, living.photosynthesis, p["plant_q10"]
    )
    out[..., C_VOLUME, :] = volume_l
    out[..., C_BREATHING, :] = BREATHING_HALF_MG_L * volume_l
    out[..., C_NITRIFYING, :] = p["nitrifier_oxygen_half"] * volume_l
    out[..., C_TAN_HALF, :] = p["tan_half_mg_l"] * volume_l
    out[..., C_NO2_HALF, :] = p["nitrite_half_mg_l"] * volume_l
    out[..., C_TAN_GROW, :] = p["ammonia_growth_half"] * volume_l
    out[..., C_NO2_GROW, :] = p["nitrite_half_mg_l"] * volume_l
    fastest = fastest_mg_h(living, nitrifying)
    out[..., C_AMMONIA_MAX, :] = fastest
    out[..., C_NITRITE_MAX, :] = fastest
    # What a full film takes lowers ammonia at its surface by this much (as mg). Nitrite arises
    # within the film and need not come through the layer.
    out[..., C_LAYER, :] = fastest / transfer_l_h(living) * volume_l
    out[..., C_GROW_A, :] = p["ammonia_oxidiser_growth"] / 24.0 * multiplying
    out[..., C_GROW_N, :] = p["nitrite_oxidiser_growth"] / 24.0 * multiplying
    # Photosynthesis gives no more oxygen to water that is full of bubbles.
    out[..., C_GAS_OUT, :] = (gas_l_h + made / (p["bubble_point"] * saturation)) / volume_l
    out[..., C_OXYGEN_IN, :] = gas_l_h * saturation + made
    out[..., C_RESPIRATION, :] = (
        animals.respiration_mg_h(
            respiring_g, temperature_c, p["respiration_24c"], p["respiration_q10"]
        )
        + living.plants_g
        * np.minimum(
            plants.respiration_mg_g_h(temperature_c, p["plant_respiration_24c"], p["plant_q10"]),
            plants.carried_over_mg_g_h(
                temperature_c,
                day_light,
                living.photosynthesis,
                p["plant_q10"],
                p["respired_share"],
            ),
        )
        + microbes.film_respiration_mg_h(living.area_m2, p["film_respiration"], rot)
    )
    out[..., C_FOOD_DECAY, :] = p["food_decay_d"] / 24.0 * rot
    out[..., C_BODY_DECAY, :] = p["body_decay_d"] / 24.0 * rot
    out[..., C_WASTE_DECAY, :] = p["waste_decay_d"] / 24.0 * rot
    # The largest meal, as N: food with 40 % protein has 64 mg N/g.
    meal_mg_d = p["largest_meal_share_day"] * wet_g * animals.feed_n_mg(1000.0, 0.40)
    out[..., C_MEAL, :] = meal_mg_d / 24.0
    out[..., C_FOOD_HALF, :] = FOOD_HALF_OF_MEAL * meal_mg_d + 1e-6
    out[..., C_GRAZE, :] = (
        animals.excretion_mg_h(wet_g, temperature_c, p["excretion_24c"]) / animals.EATEN_TO_AMMONIA
    )
    out[..., C_UP_PLANTS, :] = growing_g * plants.uptake_mg_g_h(
        light, p["plant_n_uptake"], p["plant_dark_uptake"]
    )
    out[..., C_UP_FILM, :] = p["film_uptake"] * living.lit_m2 * light / 24.0
    out[..., C_UP_HALF, :] = p["uptake_half_mg_l"] * volume_l
    unionised = air_water.unionised_share(water_ph(living, light), temperature_c)
    out[..., C_NH3_OUT, :] = (
        p["ammonia_exchange_m_d"] * living.open_m2 * (1000.0 / 24.0) * unionised / volume_l
    )
    out[..., C_FASTING, :] = animals.fasting_loss_h(temperature_c)
    out[..., C_NITRATE_OUT, :] = (
        p["denitrification_m_d"] * living.sand_m2 * (1000.0 / 24.0) / volume_l
    )
    out[..., C_SHED, :] = (
        living.plants_g * p["plant_tissue_n"] * p["plant_shedding_d"] / settled / 24.0
    ) * np.ones_like(temperature_c)
    return out


def fastest_mg_h(living: Living, warmth_share: Array) -> Array:
    """What a full film nitrifies in rich water [mg/h] at a share of its rate at 25 degC."""
    per_m2_h = living.members["nitrification_25c"] * (1000.0 / 24.0)
    return np.asarray(per_m2_h * living.area_m2 * warmth_share)


def transfer_l_h(living: Living) -> Array:
    """Litres an hour from which the surfaces get what is dissolved."""
    return np.asarray(living.transfer_m_d * living.area_m2 * (1000.0 / 24.0))


@dataclass(frozen=True)
class Loop:
    """Constants of the hot loop: film full [mg], film half [mg], film slough and nitrifier decay
    [1/h], oxygen used per N of food and droppings [mg/mg].
    """

    film_full: Array
    film_half: Array
    slough: Array
    fading: Array
    oxygen_per_n: Array


def loop_constants(living: Living) -> Loop:
    """The constants of the hot loop of one run."""
    p = living.members
    return Loop(
        film_full=living.film_full_mg,
        film_half=FILM_HALF_SHARE * living.film_full_mg,
        slough=p["film_slough_d"] / 24.0,
        fading=p["nitrifier_decay_d"] / 24.0,
        oxygen_per_n=p["decay_oxygen_per_n"],
    )


def losses(state: Array, c: Array, loop: Loop) -> tuple[Array, Array, Array]:
    """Loss rates [1/h] by process (16, members), gains of the nitrifiers [1/h] (2, members), and
    the film's share of what plants and film take up together.

    Nitrification: two steps, each at most `nitrification_25c` times area, temperature and the film
    of nitrifiers, half at `tan_half_mg_l` or `nitrite_half_mg_l` and what the still layer over a
    busy film adds (see `microbes.oxidised_mg_h`), slowed by lack of oxygen.
    Uptake: ammonium first, nitrate for the demand left over (Egeria prefers ammonium).
    """
    oxygen, food, film = state[OXYGEN], state[FOOD], state[FILM]
    tan, nitrate = state[AMMONIA], state[NITRATE]
    both = state[AMMONIA : NITRITE + 1]
    oxidisers = state[AMMONIA_OXIDISERS : NITRITE_OXIDISERS + 1]
    rate = np.empty((16, state.shape[1]))

    per_breath = 1.0 / (c[C_BREATHING] + oxygen)
    aerobic = oxygen * per_breath
    per_nitrifier = 1.0 / (c[C_NITRIFYING] + oxygen)
    airy = oxygen * per_nitrifier
    decay = c[C_FOOD_DECAY : C_WASTE_DECAY + 1]
    rate[L_FOOD : L_WASTE + 1] = decay * (AIRLESS_DECAY + (1.0 - AIRLESS_DECAY) * aerobic)

    per_food = 1.0 / (c[C_FOOD_HALF] + food)
    rate[L_EATEN] = c[C_MEAL] * per_food
    hungry = c[C_FOOD_HALF] * per_food
    rate[L_GRAZED] = c[C_GRAZE] * hungry / (loop.film_half + film)
    rate[L_SLOUGHED] = loop.slough

    capacity = c[C_AMMONIA_MAX : C_NITRITE_MAX + 1] * oxidisers
    half = c[C_TAN_HALF : C_NO2_HALF + 1].copy()
    half[0] += c[C_LAYER] * oxidisers[0]
    nitrify = capacity / (half + both)
    rate[L_NITRIFY] = nitrify[0] * airy
    rate[L_NITRITE] = nitrify[1] * airy
    growing = c[C_GROW_A : C_GROW_N + 1] * airy * both / (c[C_TAN_GROW : C_NO2_GROW + 1] + both)
    rate[L_OXIDISERS_A : L_OXIDISERS_N + 1] = growing * oxidisers + loop.fading
    rate[L_FASTING] = c[C_FASTING]

    film_wants = c[C_UP_FILM] * np.maximum(1.0 - film / loop.film_full, 0.0)
    wanted = c[C_UP_PLANTS] + film_wants
    per_tan = wanted / (c[C_UP_HALF] + tan)
    rate[L_TAN_UP] = per_tan
    rate[L_NO3_UP] = per_tan * c[C_UP_HALF] / (c[C_UP_HALF] + nitrate)
    rate[L_NH3] = c[C_NH3_OUT]
    rate[L_NO3_OUT] = c[C_NITRATE_OUT]

    rotting = state[FOOD : WASTE + 1] * decay
    breathed = c[C_RESPIRATION] + (1.0 - AIRLESS_DECAY) * (
        loop.oxygen_per_n * (rotting[0] + rotting[2]) + BODY_OXYGEN_PER_N * rotting[1]
    )
    oxidised = nitrify * both
    rate[L_OXYGEN] = (
        c[C_GAS_OUT]
        + breathed * per_breath
        + (
            microbes.OXYGEN_PER_AMMONIA_N * oxidised[0]
            + microbes.OXYGEN_PER_NITRITE_N * oxidised[1]
        )
        * per_nitrifier
    )
    return rate, growing * oxidisers, film_wants / (wanted + _TINY)


def rates(state: Array, c: Array, loop: Loop) -> Array:
    """Rates of change [mg/h] (and [1/h] for nitrifiers): what the step below integrates.

    The plain form, for comparison with another integrator.
    """
    rate, growth, film_share = losses(state, c, loop)
    flow = rate * state[LOSS_OF]
    out = np.empty_like(state)
    taken = flow[L_TAN_UP] + flow[L_NO3_UP]
    fed = flow[L_EATEN] + flow[L_GRAZED]
    out[OXYGEN] = c[C_OXYGEN_IN] - flow[L_OXYGEN]
    out[FOOD] = -flow[L_EATEN] - flow[L_FOOD]
    out[BODIES] = -flow[L_BODIES]
    out[WASTE] = animals.EATEN_TO_WASTE * fed + flow[L_SLOUGHED] + c[C_SHED] - flow[L_WASTE]
    out[AMMONIA] = (
        animals.EATEN_TO_AMMONIA * fed
        + flow[L_FOOD] + flow[L_BODIES] + flow[L_WASTE] + flow[L_FASTING]
        - flow[L_NITRIFY] - flow[L_TAN_UP] - flow[L_NH3]
    )  # fmt: skip
    out[NITRITE] = flow[L_NITRIFY] - flow[L_NITRITE]
    out[NITRATE] = flow[L_NITRITE] - flow[L_NO3_UP] - flow[L_NO3_OUT]
    out[FILM] = film_share * taken - flow[L_GRAZED] - flow[L_SLOUGHED]
    out[AMMONIA_OXIDISERS] = growth[0] - flow[L_OXIDISERS_A]
    out[NITRITE_OXIDISERS] = growth[1] - flow[L_OXIDISERS_N]
    out[PLANTS] = (1.0 - film_share) * taken - c[C_SHED]
    out[ANIMALS] = animals.EATEN_KEPT * fed - flow[L_FASTING]
    out[AIR] = flow[L_NH3] + flow[L_NO3_OUT]
    return out


def step(state: Array, begin: Array, end: Array, step_h: float, loop: Loop) -> Array:
    """The state one step later; `begin` and `end` are the coefficients at its two ends.

    Second order: once with the rates at the beginning, then with the mean of those and the rates
    at the end that this led to.
    """
    rate, growth, share = losses(state, begin, loop)
    ahead = _advance(
        state, step_h * rate, step_h * growth, share, step_h * begin[C_OXYGEN_IN],
        step_h * begin[C_SHED],
    )  # fmt: skip
    rate_ahead, growth_ahead, share_ahead = losses(ahead, end, loop)
    half = 0.5 * step_h
    return _advance(
        state,
        half * (rate + rate_ahead),
        half * (growth + growth_ahead),
        0.5 * (share + share_ahead),
        half * (begin[C_OXYGEN_IN] + end[C_OXYGEN_IN]),
        half * (begin[C_SHED] + end[C_SHED]),
    )


def _advance(
    state: Array, k: Array, growth: Array, film_share: Array, oxygen_in: Array, shed: Array
) -> Array:
    """One step with given losses `k` (rate times step): each pool decays exponentially while what
    comes from upstream flows in evenly, y = y0 e^-k + in (1 - e^-k)/k; the rest flows on.

    The chain bites its tail: film feeds on the ammonia and nitrate that come of film grazed and
    sloughed. So each flow downstream of the film is written as a part that does not depend on what
    the film takes up plus a part per mg of that; the film's uptake follows, and then the others.
    """
    out = np.empty_like(state)
    total = np.empty((NITRITE_OXIDISERS + 1, state.shape[1]))
    total[OXYGEN] = k[L_OXYGEN]
    total[FOOD] = k[L_EATEN] + k[L_FOOD]
    total[BODIES : WASTE + 1] = k[L_BODIES : L_WASTE + 1]
    total[AMMONIA] = k[L_NITRIFY] + k[L_TAN_UP] + k[L_NH3]
    total[NITRITE] = k[L_NITRITE]
    total[NITRATE] = k[L_NO3_UP] + k[L_NO3_OUT]
    total[FILM] = k[L_GRAZED] + k[L_SLOUGHED]
    total[AMMONIA_OXIDISERS:] = k[L_OXIDISERS_A : L_OXIDISERS_N + 1]
    total += _TINY
    gone = -np.expm1(-total)
    stays = gone / total
    flows = 1.0 - stays
    leaves = state[: NITRITE_OXIDISERS + 1] * gone
    per_total = 1.0 / total

    eaten = leaves[FOOD] * (k[L_EATEN] * per_total[FOOD])
    grazed_of = k[L_GRAZED] * per_total[FILM]
    nitrify_of = k[L_NITRIFY] * per_total[AMMONIA]
    tan_up_of = k[L_TAN_UP] * per_total[AMMONIA]
    nitrate_up_of = k[L_NO3_UP] * per_total[NITRATE]

    # What flows without the film's uptake.
    grazed = leaves[FILM] * grazed_of
    fed = eaten + grazed
    waste_in = animals.EATEN_TO_WASTE * fed + (leaves[FILM] - grazed) + shed
    waste_out = leaves[WASTE] + waste_in * flows[WASTE]
    # Bodies lose so little in a step that what is kept meanwhile does not matter for it.
    fasting = state[ANIMALS] * -np.expm1(-k[L_FASTING])
    tan_in = (
        animals.EATEN_TO_AMMONIA * fed
        + (leaves[FOOD] - eaten)
        + leaves[BODIES]
        + waste_out
        + fasting
    )
    tan_out = leaves[AMMONIA] + tan_in * flows[AMMONIA]
    nitrite_in = tan_out * nitrify_of
    nitrite_out = leaves[NITRITE] + nitrite_in * flows[NITRITE]
    nitrate_out = leaves[NITRATE] + nitrite_out * flows[NITRATE]
    taken = tan_out * tan_up_of + nitrate_out * nitrate_up_of

    # What flows more for each mg that the film takes up.
    grazed_each = flows[FILM] * grazed_of
    waste_each = animals.EATEN_TO_WASTE * grazed_each + (flows[FILM] - grazed_each)
    tan_each = animals.EATEN_TO_AMMONIA * grazed_each + waste_each * flows[WASTE]
    tan_out_each = tan_each * flows[AMMONIA]
    nitrite_each = tan_out_each * nitrify_of
    nitrite_out_each = nitrite_each * flows[NITRITE]
    nitrate_out_each = nitrite_out_each * flows[NITRATE]
    taken_each = tan_out_each * tan_up_of + nitrate_out_each * nitrate_up_of
    film_in = film_share * taken / (1.0 - film_share * taken_each)

    taken += taken_each * film_in
    tan_out += tan_out_each * film_in
    nitrate_out += nitrate_out_each * film_in
    fed += grazed_each * film_in
    income = np.zeros_like(total)
    income[OXYGEN] = oxygen_in
    income[WASTE] = waste_in + waste_each * film_in
    income[AMMONIA] = tan_in + tan_each * film_in
    income[NITRITE] = nitrite_in + nitrite_each * film_in
    income[NITRATE] = nitrite_out + nitrite_out_each * film_in
    income[FILM] = film_in
    income[AMMONIA_OXIDISERS:] = growth
    out[: NITRITE_OXIDISERS + 1] = state[: NITRITE_OXIDISERS + 1] * (1.0 - gone) + income * stays
    out[PLANTS] = state[PLANTS] + (taken - film_in) - shed
    out[ANIMALS] = state[ANIMALS] + animals.EATEN_KEPT * fed - fasting
    out[AIR] = (
        state[AIR]
        + tan_out * (k[L_NH3] * per_total[AMMONIA])
        + nitrate_out * (k[L_NO3_OUT] * per_total[NITRATE])
    )
    return out
