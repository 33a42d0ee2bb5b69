"""Laws that water keeps, and refusals that read well."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnose.water import (
    ammonia,
    carbonate,
    chlorine,
    conductivity,
    copper,
    hardness,
    limits,
    mixing,
    nitrogen,
    oxygen,
)
from diagnose.water.limits import OutOfRange


def law(
    *anything: st.SearchStrategy[object],
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A statement that holds for all such waters; tried on sixty, however slow the machine."""

    def held(statement: Callable[..., None]) -> Callable[..., None]:
        return settings(max_examples=60, deadline=None)(given(*anything)(statement))

    return held


ph_values = st.floats(6.0, 9.0)
temperatures_c = st.floats(0.0, 38.0)
shares = st.floats(0.0, 1.0)
amounts = st.just(0.0) | st.floats(1e-6, 5000.0)
units = st.sampled_from(sorted(hardness.MG_L_CACO3_PER))


# Monotone: more of what harms never reads as less.


@law(ph_values, temperatures_c, st.floats(0.01, 1.0))
def test_higher_ph_and_warmer_water_make_more_of_the_ammonia_poisonous(
    ph: float, temperature_c: float, more: float
) -> None:
    here = ammonia.unionised_fraction(ph, temperature_c)
    assert 0.0 < here < ammonia.unionised_fraction(ph + more, temperature_c) < 1.0
    assert here < ammonia.unionised_fraction(ph, temperature_c + more)


@law(st.floats(6.5, 8.9), st.floats(0.0, 29.0), st.floats(0.0, 0.1), st.floats(0.0, 1.0))
def test_the_ammonia_limits_fall_with_ph_and_warmth(
    ph: float, temperature_c: float, ph_more: float, warmer: float
) -> None:
    for limit in (ammonia.acute_criterion_tan_mg_l, ammonia.chronic_criterion_tan_mg_l):
        here = limit(ph, temperature_c)
        assert limit(ph + ph_more, temperature_c) <= here * (1 + 1e-12)
        assert limit(ph, temperature_c + warmer) <= here * (1 + 1e-12)
        assert ammonia.chronic_criterion_tan_mg_l(ph, temperature_c) < limit(ph, temperature_c) * 2


@law(st.floats(6.5, 9.0), st.floats(0.0, 30.0))
def test_a_lasting_dose_is_allowed_to_be_smaller_than_a_short_one(
    ph: float, temperature_c: float
) -> None:
    chronic = ammonia.chronic_criterion_tan_mg_l(ph, temperature_c)
    for salmonids in (True, False):
        assert chronic < ammonia.acute_criterion_tan_mg_l(ph, temperature_c, salmonids)


@law(temperatures_c, st.floats(460.0, 800.0), st.floats(0.1, 2.0))
def test_warm_water_and_thin_air_hold_less_oxygen(
    temperature_c: float, pressure_mmhg: float, more: float
) -> None:
    here = oxygen.saturation_mg_l(temperature_c, pressure_mmhg)
    assert oxygen.saturation_mg_l(temperature_c + more, pressure_mmhg) < here
    assert oxygen.saturation_mg_l(temperature_c, pressure_mmhg + more) > here


@law(st.floats(0.0, 3900.0), st.floats(1.0, 100.0))
def test_air_thins_with_height(altitude_m: float, higher_m: float) -> None:
    assert oxygen.pressure_mmhg_at(altitude_m + higher_m) < oxygen.pressure_mmhg_at(altitude_m)


@law(temperatures_c, st.floats(0.01, 2.0), st.floats(0.0, 9.0))
def test_warmth_and_wind_speed_up_gas_exchange(
    temperature_c: float, more: float, wind_m_s: float
) -> None:
    here = oxygen.transfer_velocity_m_d(temperature_c, wind_m_s)
    assert oxygen.transfer_velocity_m_d(temperature_c + more, wind_m_s) > here
    assert oxygen.transfer_velocity_m_d(temperature_c, wind_m_s + more / 2) > here


@law(st.floats(0.5, 20.0), st.floats(5.5, 8.4), temperatures_c, st.floats(0.01, 0.5))
def test_free_co2_rises_with_alkalinity_and_falls_with_ph(
    dkh: float, ph: float, temperature_c: float, more: float
) -> None:
    here = carbonate.free_co2_mg_l(dkh, ph, temperature_c)
    assert carbonate.free_co2_mg_l(dkh + more, ph, temperature_c) > here
    assert carbonate.free_co2_mg_l(dkh, ph + more, temperature_c) < here


@law(st.floats(25.0, 380.0), st.floats(0.0, 20.0))
def test_harder_water_tolerates_more_copper(hardness_mg_l: float, more: float) -> None:
    for limit in (
        copper.epa_acute_ug_l,
        copper.epa_chronic_ug_l,
        copper.bc_maximum_ug_l,
        copper.bc_mean_ug_l,
        copper.ccme_ug_l,
    ):
        assert limit(hardness_mg_l + more) >= limit(hardness_mg_l)


@law(st.floats(0.0, 900.0), st.floats(0.0, 100.0))
def test_more_chloride_never_lowers_the_nitrite_limit(chloride_mg_l: float, more: float) -> None:
    here = nitrogen.bc_nitrite_maximum_mg_l(chloride_mg_l)
    assert nitrogen.bc_nitrite_maximum_mg_l(chloride_mg_l + more) >= here
    assert nitrogen.bc_nitrite_mean_mg_l(chloride_mg_l) < here


@law(st.floats(30.0, 5000.0), st.floats(1.0, 700.0))
def test_a_longer_exposure_kills_at_less_chloramine(minutes: float, more: float) -> None:
    longer = chlorine.monochloramine_lc50_ug_l(minutes + more)
    assert longer < chlorine.monochloramine_lc50_ug_l(minutes)


# There and back again.


@law(st.floats(0.0, 100.0), units, units)
def test_hardness_survives_a_round_trip_through_any_unit(
    value: float, one: hardness.HardnessUnit, other: hardness.HardnessUnit
) -> None:
    assume(value * hardness.MG_L_CACO3_PER[one] < hardness.HARDEST_MG_L * 0.999)
    there = hardness.convert(value, one, other)
    assert hardness.convert(there, other, one) == pytest.approx(value, rel=1e-12, abs=1e-300)


@law(st.floats(1e-6, 900.0))
def test_nitrogen_survives_a_round_trip_through_the_mass_of_its_ions(mg_l: float) -> None:
    pairs = (
        (ammonia.nh3_as_n, ammonia.nh3_from_n_mg_l),
        (ammonia.tan_from_nh4_mg_l, ammonia.nh4_from_tan_mg_l),
        (nitrogen.nitrite_as_n, nitrogen.nitrite_from_n_mg_l),
        (nitrogen.nitrate_as_n, nitrogen.nitrate_from_n_mg_l),
    )
    for to_n, from_n in pairs:
        assert to_n(mg_l) < mg_l
        assert from_n(to_n(mg_l)) == pytest.approx(mg_l, rel=1e-12)


@law(st.floats(1.0, 10_000.0), st.floats(0.5, 0.95))
def test_dissolved_solids_survive_a_round_trip(us_cm: float, factor: float) -> None:
    mg_l = conductivity.dissolved_solids_mg_l(us_cm, factor)
    assert conductivity.us_cm_25_from_dissolved_solids(mg_l, factor) == pytest.approx(us_cm)


@law(st.floats(10.0, 10_000.0), st.floats(5.0, 35.0))
def test_conductivity_at_25_degrees_is_between_the_readings_of_colder_and_warmer_water(
    us_cm: float, temperature_c: float
) -> None:
    at_25_c = conductivity.to_25_c(us_cm, temperature_c)
    assert (at_25_c - us_cm) * (25.0 - temperature_c) >= 0.0


@law(st.floats(0.5, 20.0), st.floats(5.2, 8.8), temperatures_c)
def test_ph_and_free_co2_say_the_same_both_ways(
    dkh: float, ph: float, temperature_c: float
) -> None:
    co2_mg_l = carbonate.free_co2_mg_l(dkh, ph, temperature_c)
    assert carbonate.ph_at_co2(dkh, co2_mg_l, temperature_c) == pytest.approx(ph, abs=1e-6)
    carbon = carbonate.inorganic_carbon_mmol_l(dkh, ph, temperature_c)
    again = carbonate.ph_from_inorganic_carbon(dkh, carbon, temperature_c)
    assert again == pytest.approx(ph, abs=1e-6)


@law(st.floats(7.0, 4000.0))
def test_time_and_dose_of_chloramine_say_the_same_both_ways(ug_l: float) -> None:
    assume(ug_l < chlorine.monochloramine_lc50_ug_l(30.0))
    minutes = chlorine.monochloramine_minutes_to_half_dead(ug_l)
    assert chlorine.monochloramine_lc50_ug_l(minutes) == pytest.approx(ug_l)


# Mixing.


@law(st.lists(st.tuples(st.floats(0.001, 100.0), amounts), min_size=1, max_size=6))
def test_a_mixture_lies_between_its_ends_and_loses_nothing(
    portions: list[tuple[float, float]],
) -> None:
    poured = [mixing.Portion(volume_l, value) for volume_l, value in portions]
    mixed = mixing.mix(poured)
    values = [portion.value for portion in poured]
    slack = 1e-9 * (1 + max(values))
    assert min(values) - slack <= mixed <= max(values) + slack
    total_l = math.fsum(portion.volume_l for portion in poured)
    held = math.fsum(portion.volume_l * portion.value for portion in poured)
    assert mixed * total_l == pytest.approx(held, rel=1e-12, abs=1e-12)
    assert mixing.mix(reversed(poured)) == pytest.approx(mixed, rel=1e-12, abs=1e-12)


@law(amounts, amounts, shares)
def test_a_water_change_is_the_mixture_of_old_and_new(
    old: float, new: float, share_new: float
) -> None:
    after = mixing.after_change(old, new, share_new)
    poured = [mixing.Portion(10 * (1 - share_new), old), mixing.Portion(10 * share_new, new)]
    assert after == pytest.approx(mixing.mix(poured), rel=1e-9, abs=1e-9)
    slack = 1e-9 * (1 + max(old, new))
    assert min(old, new) - slack <= after <= max(old, new) + slack


@law(amounts, amounts, shares)
def test_the_share_for_a_target_reaches_it(old: float, new: float, way: float) -> None:
    target = min(max(old + way * (new - old), min(old, new)), max(old, new))
    share_new = mixing.share_for_target(old, new, target)
    assert 0.0 <= share_new <= 1.0
    assert mixing.after_change(old, new, share_new) == pytest.approx(target, rel=1e-6, abs=1e-6)


@law(amounts, amounts, st.floats(0.05, 0.95), st.integers(0, 12))
def test_many_changes_are_one_change_after_another(
    old: float, new: float, share_new: float, times: int
) -> None:
    value = old
    for _ in range(times):
        value = mixing.after_change(value, new, share_new)
    assert mixing.after_changes(old, new, share_new, times) == pytest.approx(
        value, rel=1e-9, abs=1e-9
    )


@law(st.floats(0.05, 0.95), st.floats(0.01, 0.99))
def test_the_number_of_changes_is_enough_and_not_one_too_many(
    share_new: float, reach: float
) -> None:
    target = 100.0 * (1.0 - reach)
    times = mixing.changes_for_target(100.0, 0.0, share_new, target)
    assert mixing.after_changes(100.0, 0.0, share_new, times) <= target * (1 + 1e-6)
    assert mixing.after_changes(100.0, 0.0, share_new, times - 1) > target * (1 - 1e-6)


@law(amounts, st.floats(0.5, 100.0), st.floats(0.1, 1.0))
def test_evaporation_leaves_all_minerals_behind(
    value: float, before_l: float, share_left: float
) -> None:
    after_l = before_l * share_left
    after = mixing.concentrate_by_evaporation(value, before_l, after_l)
    assert after * after_l == pytest.approx(value * before_l, rel=1e-12, abs=1e-12)
    assert after >= value * (1 - 1e-12)


@law(amounts, amounts, st.floats(0.01, 0.5), st.integers(0, 20))
def test_top_ups_are_evaporation_and_refill_one_after_another(
    value: float, top_up_value: float, lost: float, times: int
) -> None:
    litres = 5.0
    by_steps = value
    for _ in range(times):
        thicker = mixing.concentrate_by_evaporation(by_steps, litres, litres * (1 - lost))
        by_steps = mixing.after_change(thicker, top_up_value, lost)
    ours = mixing.after_top_ups(value, top_up_value, lost, times)
    assert ours == pytest.approx(by_steps, rel=1e-9, abs=1e-9)


@law(amounts, amounts, st.floats(0.1, 0.9), st.floats(0.0, 0.5))
def test_a_routine_settles_where_one_more_round_changes_nothing(
    new: float, top_up_value: float, share_new: float, lost: float
) -> None:
    settled = mixing.settled_by_routine(new, share_new, top_up_value, lost)
    crept = mixing.after_top_ups(settled, top_up_value, lost, 1)
    again = mixing.after_change(crept, new, share_new)
    assert again == pytest.approx(settled, rel=1e-9, abs=1e-9)


buffers = st.builds(
    mixing.Buffer,
    alkalinity_dkh=st.floats(0.6, 15.0),
    ph=st.floats(5.8, 8.6),
    temperature_c=st.floats(10.0, 30.0),
)


@law(buffers, buffers)
def test_a_change_of_nothing_or_of_everything_leaves_one_waters_ph(
    old: mixing.Buffer, new: mixing.Buffer
) -> None:
    assert mixing.mixed_ph(old, new, 0.0) == pytest.approx(old.ph, abs=1e-6)
    assert mixing.mixed_ph(old, new, 1.0) == pytest.approx(new.ph, abs=1e-6)


# Facts that a keeper can check by thinking.


def test_food_left_to_rot_gives_off_more_than_food_that_was_eaten() -> None:
    eaten = nitrogen.feed_tan_mg(50, 0.40)
    nothing_leaves = nitrogen.feed_tan_mg(50, 0.40, nitrogen.AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE)
    assert eaten < nothing_leaves < nitrogen.feed_nitrogen_mg(50, 0.40)


def test_no_chlorine_comes_in_with_no_tap_water() -> None:
    assert chlorine.untreated_share_chlorine_mg_l(4.0, 0.0) == 0.0
    assert chlorine.untreated_share_chlorine_mg_l(4.0, 1.0) == 4.0


def test_water_open_to_outdoor_air_settles_near_ph_eight() -> None:
    """4 dKH at 22 C: about 8.3, as any calculation of open carbonate water gives."""
    ph = carbonate.ph_at_co2(4, carbonate.co2_air_equilibrium_mg_l(22), 22)
    assert 8.1 < ph < 8.4


# Refusals.

Formula = Callable[[], object]
REFUSALS: list[tuple[Formula, str]] = [
    (
        lambda: ammonia.unionised_fraction(15, 22),
        "The pH is 15; this calculation holds only from 3 to 11.",
    ),
    (
        lambda: ammonia.unionised_ammonia_mg_l(0.5, 7.4, 74),
        "The water temperature is 74 °C; this calculation holds only from 0 to 40 °C.",
    ),
    (
        lambda: ammonia.unionised_ammonia_mg_l(-1, 7.4, 22),
        "The total ammonia is -1 mg/L as N; this calculation holds only from 0 to 1000 mg/L as N.",
    ),
    (
        lambda: ammonia.chronic_criterion_tan_mg_l(6.0, 22),
        "The pH is 6; this calculation holds only from 6.5 to 9.",
    ),
    (
        lambda: oxygen.percent_saturation(8, 22, 30),
        "The air pressure is 30 mmHg; this calculation holds only from 450 to 820 mmHg.",
    ),
    (
        lambda: carbonate.free_co2_mg_l(4, 7.2, math.nan),
        "The water temperature is not a finite number °C; "
        "this calculation holds only from 0 to 40 °C.",
    ),
    (
        lambda: mixing.after_change(8, 4, 50),
        "The share of new water is 50; this calculation holds only from 0 to 1.",
    ),
    (
        lambda: mixing.share_for_target(300, 100, 80),
        "The target is 80; this calculation holds only from 100 to 300.",
    ),
    (
        lambda: mixing.mixed_ph(mixing.Buffer(0, 6.2, 24), mixing.Buffer(4, 7.4, 24), 0.5),
        "The alkalinity is 0 dKH; this calculation holds only from 0.5 to 25 dKH.",
    ),
    (
        lambda: copper.epa_acute_ug_l(10),
        "The hardness is 10 mg/L CaCO3; this calculation holds only from 25 to 400 mg/L CaCO3.",
    ),
    (
        lambda: mixing.concentrate_by_evaporation(8, 4, 5),
        "The volume after evaporation is 5 L; this calculation holds only from 1e-06 to 4 L.",
    ),
]


@pytest.mark.parametrize(("formula", "sentence"), REFUSALS, ids=[s for _, s in REFUSALS])
def test_a_refusal_is_one_sentence_a_keeper_can_act_on(formula: Formula, sentence: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        formula()
    assert str(refusal.value) == sentence
    assert isinstance(refusal.value, ValueError)


def test_water_with_almost_no_alkalinity_cannot_have_a_high_ph() -> None:
    with pytest.raises(OutOfRange, match="pH at this alkalinity"):
        carbonate.free_co2_mg_l(0.05, 9.9, 25)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_number_is_never_within_limits(value: float) -> None:
    with pytest.raises(OutOfRange, match="not a finite number"):
        limits.within("pH", value, 0, 14)
    with pytest.raises(OutOfRange):
        mixing.after_change(value, 1.0, 0.5)
    with pytest.raises(OutOfRange):
        mixing.mix([mixing.Portion(1.0, value)])
