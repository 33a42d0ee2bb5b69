"""What a container carries moves one way with what is put into it, and not with who lives there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.bowl.account import number_to_hold
from diagnose.bowl.capacity import Capacity, Kept, capacity
from diagnose.bowl.description import Bowl, Habits, Stock
from tests.bowl_jars import jar, members

DRAWN = members(24)
PLANTINGS = ("none", "sparse", "moderate", "dense")
#: The trade's measure a litre by planting (0.030, 0.065, 0.105 and 0.120 g of animals of 40 mg).
KEPT_PER_L = {"none": 0.75, "sparse": 1.6, "moderate": 2.6, "dense": 3.0}


@st.composite
def bowls(draw: st.DrawFn) -> Bowl:
    """Any jar of the studio."""
    low = draw(st.floats(14.0, 26.0))
    food = draw(st.one_of(st.none(), st.floats(1.0, 60.0)))
    sun = draw(st.sampled_from([0.0, 3.0]))
    return jar(
        draw(st.floats(1.0, 40.0)),
        draw(st.integers(0, 60)),
        draw(st.sampled_from(PLANTINGS)),
        room=(low, low + draw(st.floats(0.0, 4.0))),
        sun_hours=sun,
        window="south" if sun else "none",
        habits=Habits(
            feed_mg_per_day=food,
            feeds_per_week=draw(st.sampled_from([3.0, 7.0, 35.0])),
            change_share=draw(st.sampled_from([0.0, 0.3, 0.5])),
        ),
        floating_cover=draw(st.sampled_from([0.0, 0.5])),
        biofilm_age_days=draw(st.floats(0.0, 400.0)),
        lid_share=draw(st.sampled_from([0.0, 0.8])),
    )


def carried(bowl: Bowl) -> Capacity:
    """By the model, with the trade's measure of its planting."""
    moved = bowl.container.surface_moved or bowl.container.filter_running
    each = KEPT_PER_L[bowl.container.planting] * (1.3 if moved else 1.0)
    return capacity(bowl, DRAWN, Kept(each * bowl.container.volume_l))


def no_less(after: Capacity, before: Capacity) -> bool:
    return all(b >= a - 1e-6 * (1.0 + a) for a, b in zip(before.adults, after.adults, strict=True))


@settings(max_examples=25, deadline=None)
@given(bowls(), st.integers(0, 200))
def test_it_does_not_hang_on_who_lives_there(bowl: Bowl, adults: int) -> None:
    other = replace(bowl, stock=Stock(females=adults / 2, males=adults / 2))
    assert carried(other).adults == carried(bowl).adults


@settings(max_examples=25, deadline=None)
@given(bowls(), st.floats(1.01, 20.0))
def test_more_food_never_raises_it(bowl: Bowl, times: float) -> None:
    food = bowl.habits.feed_mg_per_day or 5.0
    before = replace(bowl, habits=replace(bowl.habits, feed_mg_per_day=food))
    after = replace(bowl, habits=replace(bowl.habits, feed_mg_per_day=times * food))
    assert no_less(carried(before), carried(after))


@settings(max_examples=25, deadline=None)
@given(bowls(), st.floats(1.01, 3.0))
def test_more_surface_never_lowers_it_in_a_room_without_sun(bowl: Bowl, times: float) -> None:
    """A wider surface lets more air in; in the sun it lets more warmth in as well."""
    dark = replace(bowl, room=replace(bowl.room, sun_hours=0.0, window="none"))
    box = dark.container
    wider = replace(dark, container=replace(box, surface_m2=times * box.surface_m2))
    before, after = carried(dark), carried(wider)
    assert all(
        after.by_limit["oxygen before dawn"][edge]
        >= before.by_limit["oxygen before dawn"][edge] * (1.0 - 1e-6)
        for edge in range(3)
    )


@settings(max_examples=25, deadline=None)
@given(bowls())
def test_moving_the_water_never_lowers_it(bowl: Bowl) -> None:
    moved = replace(bowl, container=replace(bowl.container, surface_moved=True))
    assert no_less(carried(moved), carried(bowl))


@settings(max_examples=25, deadline=None)
@given(bowls(), st.floats(1.0, 300.0))
def test_age_never_lowers_it(bowl: Bowl, days: float) -> None:
    box = bowl.container
    older = replace(bowl, container=replace(box, biofilm_age_days=box.biofilm_age_days + days))
    assert no_less(carried(older), carried(bowl))


@pytest.mark.parametrize("volume_l", [3.0, 5.7, 10.0, 20.0])
@pytest.mark.parametrize("cover", [0.0, 0.3])
def test_more_plants_never_lower_it_where_the_surface_is_open(
    volume_l: float, cover: float
) -> None:
    """At the trade's densities, a steady room in the low twenties (common practice, no source)."""
    fed = Habits(feed_mg_per_day=1.5 * volume_l, feeds_per_week=35.0, change_share=0.5)
    middles = [
        carried(
            jar(volume_l, 8, planting, room=(21.0, 24.0), habits=fed, floating_cover=cover)
        ).adults[1]
        for planting in PLANTINGS
    ]
    assert middles == sorted(middles), middles


def test_a_closed_container_carries_fewer_and_asks_for_oxygen_to_be_measured() -> None:
    sealed = carried(jar(4.0, 4, sealed=True))
    assert sealed.adults[1] < carried(jar(4.0, 4)).adults[1]
    assert sealed.limiting == "oxygen before dawn"
    assert sealed.narrows == "oxygen_dawn_mg_l"


def test_the_number_to_hold_is_never_below_what_is_safe_nor_below_those_that_fit() -> None:
    found = carried(jar(5.7, 8))
    low, middle, _ = found.adults
    for adults in np.arange(0, 40, 3):
        held = number_to_hold(found, Stock(females=adults / 2, males=adults / 2))
        assert held >= round(low)
        if adults <= middle:
            assert held >= adults - 1e-9 or held >= round(low)
        assert held <= max(round(middle), 1)
