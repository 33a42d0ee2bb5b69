"""What the bowl model must bring out of a container's life: films that fit their load, plants that
root, sun from above, animals of all sizes.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.bowl import animals, microbes, plants, simulate, surroundings
from diagnose.bowl.bands import band
from diagnose.bowl.description import Bowl, Event, Habits
from diagnose.bowl.routine import with_habits
from tests.bowl_jars import jar, members

DAY = 24
FOUR_WEEKS = 28 * DAY


def oxidisers(count: int = 5, layer_mg_l: float = 4.0) -> microbes.Oxidisers:
    """Ammonia oxidisers of a jar, the layer of still water over them included."""
    one = np.ones(count)
    return microbes.Oxidisers(
        fastest_mg_h=4.0 * one,
        half_mg_l=1.4 * one,
        layer_mg_l=layer_mg_l * one,
        growth_h=0.55 / 24 * one,
        growth_half_mg_l=0.3 * one,
        fading_h=0.03 / 24 * one,
    )


def test_a_film_in_balance_takes_what_is_supplied_and_neither_grows_nor_fades() -> None:
    film = oxidisers()
    supply = np.array([0.01, 0.05, 0.1, 0.3, 0.6])
    rivals, half = np.full(5, 0.02), np.full(5, 0.1)
    mg_l, share = microbes.balance(film, supply, rivals, half)
    taken = microbes.oxidised_mg_h(film, share, mg_l) + rivals * mg_l / (half + mg_l)
    held = share > microbes.LEAST_FILM
    assert taken[held] == pytest.approx(supply[held], rel=1e-3)
    growth = film.growth_h * mg_l / (film.growth_half_mg_l + mg_l) * (1.0 - share)
    assert growth[held] == pytest.approx(film.fading_h[held], rel=1e-9)
    assert held.sum() >= 4


def test_more_supply_feeds_a_larger_film_and_leaves_more_in_the_water() -> None:
    film = oxidisers(40)
    mg_l, share = microbes.balance(film, np.linspace(0.02, 2.0, 40), np.zeros(40), np.full(40, 0.1))
    assert (np.diff(mg_l) > 0.0).all()
    assert (np.diff(share) >= 0.0).all()
    assert (share < 1.0).all()


def test_a_layer_of_still_water_never_speeds_a_film() -> None:
    mg_l = np.array([0.01, 0.1, 1.0, 10.0, 100.0])
    thin = microbes.oxidised_mg_h(oxidisers(layer_mg_l=0.0), np.full(5, 0.8), mg_l)
    thick = microbes.oxidised_mg_h(oxidisers(layer_mg_l=8.0), np.full(5, 0.8), mg_l)
    assert (thick < thin).all()
    # In little-fed water the layer holds a busy film down; in rich water it hardly counts.
    assert thick[0] / thin[0] < 0.3 < 0.9 < thick[-1] / thin[-1]


def test_a_long_kept_container_begins_where_it_would_have_come_to() -> None:
    """A run from the first day at the usual food ends near where an old container's run begins."""
    fed = Habits(feed_mg_per_day=20.0, feeds_per_week=7.0, change_share=0.0)
    young = jar(8.0, 10, "none", habits=fed, biofilm_age_days=0.0)
    last = 150 * DAY
    lived = simulate.simulate(young, with_habits(young, (), 0, last), 0, last, members(30))
    old = jar(8.0, 10, "none", habits=fed, biofilm_age_days=1000.0)
    begun = simulate.simulate(old, with_habits(old, (), 0, DAY), 0, DAY, members(30))
    ends = lived.tan_mg_l[-7 * DAY :].mean(axis=0)
    ratio = np.median(begun.tan_mg_l[0] / ends)
    assert 0.5 < ratio < 2.0


def tan_peak(bowl: Bowl, *events: Event) -> np.ndarray:
    told = with_habits(bowl, events, -FOUR_WEEKS, 2 * DAY)
    run = simulate.simulate(bowl, told, -FOUR_WEEKS, 2 * DAY, members(40))
    return run.tan_mg_l[FOUR_WEEKS:].max(axis=0)


def test_a_container_always_fed_little_is_worse_prepared_for_a_feast() -> None:
    """Bacteria fit what they are fed (common practice, no source)."""
    feast = Event(0, "feeding", mg=150.0)

    def fed(mg_day: float) -> Bowl:
        return jar(planting="none", habits=Habits(mg_day, 7.0, change_share=0.3))

    sparing = tan_peak(fed(4.0), feast) - tan_peak(fed(4.0))
    used_to = tan_peak(fed(40.0), feast) - tan_peak(fed(40.0))
    assert np.mean(sparing > used_to) >= 0.9


def test_plants_take_less_until_they_have_rooted() -> None:
    first, settles = np.array([0.3]), np.array([20.0])
    ages = [0.0, 5.0, 10.0, 20.0, 300.0]
    shares = [float(plants.settled_share(age, first, settles)[0]) for age in ages]
    assert shares == pytest.approx([0.3, 0.475, 0.65, 1.0, 1.0])


def test_the_sun_comes_down_through_the_surface_as_well_and_a_lid_keeps_that_out() -> None:
    open_jar = jar(sun_hours=5, window="south")
    few = members(20)

    def warmed(bowl: Bowl) -> float:
        room = surroundings.surroundings(bowl, (), 0, DAY, few)
        return float(simulate.heat_gain_w(bowl, room, few).sum())

    lidded = replace(open_jar, container=replace(open_jar.container, lid_share=1.0))
    wider = replace(open_jar, container=replace(open_jar.container, surface_m2=0.06))
    assert warmed(lidded) < warmed(open_jar) < warmed(wider)


def test_twice_the_body_gives_twice_the_mass_and_breathes_by_the_published_power() -> None:
    """R = 0.3114 W^-0.2414 per gram: twice the body uses 2^(1 - 0.2414) as much oxygen (Liu Kai and
    others 2010, Exopalaemon modestus).
    """
    sizes = animals.masses_mg((0.3, 13.0, 44.0, 30.5), np.array([1.0, 2.0]))
    counts = np.array([[0.0], [3.0], [5.0], [5.0]])
    one, two = animals.wet_mass_g(counts, sizes)
    assert two == pytest.approx(2.0 * one)
    one, two = animals.respiring_mass_g(counts, sizes)
    assert two / one == pytest.approx(2.0 ** (1.0 - 0.2414), rel=1e-9)


def test_a_room_shift_whose_size_nobody_told_is_drawn_and_a_told_one_is_not() -> None:
    bowl, few = jar(), members(30)

    def warmest(guessed: bool) -> np.ndarray:
        hot = Event(0, "room_shift", shift_c=5.0, hours=48, guessed=guessed)
        return surroundings.surroundings(bowl, (hot,), 0, 48, few).room_c.max(axis=0)

    plain = surroundings.surroundings(bowl, (), 0, 48, few).room_c.max(axis=0)
    assert warmest(guessed=False) - plain == pytest.approx(5.0)
    low, _, high = band(warmest(guessed=True) - plain)
    assert low < 4.0 < 6.0 < high


def test_what_a_stopped_filter_loses_is_drawn() -> None:
    bowl = jar(20, 40, filter_running=True)
    stood = Event(0, "biofilm_lost", guessed=True)
    run = simulate.simulate(bowl, (stood,), 0, 2, members(50))
    left = run.pools_mg[1, 8] / run.pools_mg[0, 8]
    assert 0.0 < left.min() < 0.2 < 0.5 < left.max() < 0.75
