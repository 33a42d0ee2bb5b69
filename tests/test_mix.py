"""The arithmetic of waters obeys the balance of mass."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.mix.recipes import blend, change_for_target, free_ammonia, minerals, thinning
from diagnose.water.limits import OutOfRange

values = st.floats(0, 1000)
shares = st.floats(0, 1)


@given(first=values, second=values, way=shares, litres=st.floats(0.1, 100))
def test_a_blend_holds_what_went_into_it(
    first: float, second: float, way: float, litres: float
) -> None:
    assume(abs(first - second) > 1e-3)
    target = first + way * (second - first)
    assume(min(first, second) <= target <= max(first, second))
    found = blend(first, second, target, litres)
    assert found.first_l + found.second_l == pytest.approx(litres)
    held = found.first_l * first + found.second_l * second
    assert held == pytest.approx(target * litres, rel=1e-6, abs=1e-6)


def test_no_blend_reaches_beyond_its_two_waters() -> None:
    with pytest.raises(OutOfRange):
        blend(4, 8, 9, 6)


@given(spilt=st.floats(1, 1e4), litres=st.floats(1, 50), share=st.floats(0.1, 0.9))
def test_after_the_changes_a_spill_is_below_the_limit_and_not_before(
    spilt: float, litres: float, share: float
) -> None:
    limit = 0.05 * spilt / litres
    found = thinning(spilt, litres, limit, share)
    assert found.left_mg_l <= limit * (1 + 1e-6)
    assert found.spilt_mg_l * (1 - share) ** (found.changes - 1) > limit * (1 - 1e-6)


def test_a_degree_of_hardness_is_a_tenth_of_a_gram_of_lime_in_ten_litres() -> None:
    """By definition 1 dGH is 10 mg/L of CaO, so 0.1783 mmol/L: 30.7 mg/L of gypsum."""
    assert minerals(0, 1, 1).gypsum_g == pytest.approx(0.0307, rel=1e-3)
    assert minerals(2, 8, 6, label_g=1, label_l=10, label_dgh=2).by_label_g == pytest.approx(1.8)


def test_the_share_of_a_change_is_told_in_litres() -> None:
    found = change_for_target(80, 0, 20, volume_l=6)
    assert (found.share, found.litres, found.changes) == (0.75, 4.5, 1)


@pytest.mark.parametrize(("ph", "percent"), [(6.5, 0.13), (7.5, 1.24), (8.0, 3.81), (9.0, 28.4)])
def test_the_free_share_of_ammonia_at_20_degrees(ph: float, percent: float) -> None:
    """From Emerson et al. 1975, J. Fish. Res. Board Can. 32:2379 (from memory); as rounded."""
    assert 100 * free_ammonia(1.0, ph, 20).free_share == pytest.approx(
        percent, rel=0.005, abs=0.0051
    )


@given(total=st.floats(0, 10), ph=st.floats(6, 8.5), more=st.floats(0.1, 0.9))
def test_raising_the_ph_never_makes_ammonia_less_free(total: float, ph: float, more: float) -> None:
    low, high = free_ammonia(total, ph, 24), free_ammonia(total, ph + more, 24)
    assert high.free_n_mg_l >= low.free_n_mg_l
    assert high.free_nh3_mg_l >= high.free_n_mg_l
