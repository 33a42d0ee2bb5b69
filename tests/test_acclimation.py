"""The way in: dripping obeys its laws, and the plan follows what was measured."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.acclimation.drip import after_filling, after_flowing_over, halvings_for
from diagnose.acclimation.plan import Water, acclimation_plan
from diagnose.rulebook.terms import Rulebook

values = st.floats(0, 2000)
litres = st.floats(0.05, 20)


@given(old=values, new=values, start=litres, dripped=litres)
def test_a_filling_vessel_keeps_what_is_dissolved(
    old: float, new: float, start: float, dripped: float
) -> None:
    mass = old * start + new * dripped
    value = after_filling(old, new, start, dripped)
    assert value * (start + dripped) == pytest.approx(mass, rel=1e-9, abs=1e-6)


@given(old=values, new=values, volume=litres, dripped=litres)
def test_many_small_swaps_come_to_the_exponential_law(
    old: float, new: float, volume: float, dripped: float
) -> None:
    """Dripping through is the limit of pouring off a little and filling up again, many times."""
    swaps = 20_000
    kept = (1.0 - 1.0 / (1.0 + swaps * volume / dripped)) ** swaps
    step_by_step = new + (old - new) * kept
    smooth = after_flowing_over(old, new, volume, dripped)
    # The two differ by half of q^2/(V^2 n) of the gap at most, at so many swaps.
    tolerance = abs(old - new) * (dripped / volume) ** 2 / swaps + 1e-6
    assert smooth == pytest.approx(step_by_step, abs=tolerance)


@given(volume=litres)
def test_one_volume_through_leaves_one_over_e(volume: float) -> None:
    assert after_flowing_over(1.0, 0.0, volume, volume) == pytest.approx(1.0 / math.e)


@given(gap=st.floats(0, 5000), left=st.floats(0.1, 100))
def test_the_doublings_are_as_few_as_will_do(gap: float, left: float) -> None:
    times = halvings_for(gap, left)
    assert gap * 0.5**times <= left * (1 + 1e-6)
    assert times == 0 or gap * 0.5 ** (times - 1) > left * (1 - 1e-6)


def test_the_stages_end_within_what_may_be_left(rulebook: Rulebook) -> None:
    there = Water(temperature_c=22, solids_mg_l=200, gh_dgh=8)
    plan = acclimation_plan(Water(20, 450, 16), there, rulebook.numbers, bag_volume_l=0.5)
    last = plan.stages[-1].water
    assert last.solids_mg_l is not None and abs(last.solids_mg_l - 200) <= 0.1 * 200
    assert last.gh_dgh is not None and abs(last.gh_dgh - 8) <= 1.0
    for stage in plan.stages:
        assert stage.end_l == pytest.approx(stage.start_l + stage.drip_l)
        drops = stage.drops_per_second * stage.hours * 3600 / 20 / 1000
        assert drops == pytest.approx(stage.drip_l)
        assert stage.drops_per_second <= 3.0 + 1e-9
    assert plan.stages[-1].pour_off_l == 0.0


@given(gap=st.floats(1, 900), more=st.floats(0, 900))
def test_a_larger_gap_never_takes_less_time(rulebook: Rulebook, gap: float, more: float) -> None:
    there = Water(temperature_c=22, solids_mg_l=100)
    near = acclimation_plan(Water(22, 100 + gap), there, rulebook.numbers)
    far = acclimation_plan(Water(22, 100 + gap + more), there, rulebook.numbers)
    assert far.total_h >= near.total_h - 1e-9
    assert len(far.stages) >= len(near.stages)


def test_an_unmeasured_bag_is_taken_for_a_large_gap(rulebook: Rulebook) -> None:
    there = Water(temperature_c=22, solids_mg_l=200, gh_dgh=8)
    unknown = acclimation_plan(Water(), there, rulebook.numbers)
    alike = acclimation_plan(Water(22, 205, 8), there, rulebook.numbers)
    assert unknown.total_h > alike.total_h
    assert "solids_mg_l" in unknown.not_measured and not alike.stale


def test_a_stale_bag_is_left_at_once(rulebook: Rulebook) -> None:
    """4 mg/L of ammonia at pH 6.4 harms little; at the pH of 8 outside it does."""
    there = Water(temperature_c=23, ph=8.0)
    stale = acclimation_plan(Water(22, ph=6.4, tan_mg_l=4.0), there, rulebook.numbers)
    fresh = acclimation_plan(Water(22, ph=6.4, tan_mg_l=0.1), there, rulebook.numbers)
    assert stale.method == "out of the bag first" and stale.most_nh3_mg_l is not None
    assert fresh.method == "drip"
    long_way = acclimation_plan(Water(22), there, rulebook.numbers, travel_hours=40)
    assert long_way.method == "out of the bag first"


def test_waters_far_apart_take_two_days(rulebook: Rulebook) -> None:
    there = Water(temperature_c=22, solids_mg_l=100)
    plan = acclimation_plan(Water(22, 500), there, rulebook.numbers)
    assert plan.method == "drip over two days"
