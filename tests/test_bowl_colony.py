"""The colony: growth, warmth, crowding, and taking young out."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.bowl import colony
from diagnose.bowl.colony import LifeHistory, Vital, colony_outlook, projection_matrix
from diagnose.bowl.description import Event, Stock
from diagnose.bowl.life_table import growth_rate
from diagnose.bowl.parameters import middle_members
from tests.bowl_jars import RANGES, members

PLAIN = Vital(np.array([36.0]), np.array([0.5]), np.array([1.0]))
TEN = Stock(females=5, males=5)


def dominant(matrix: np.ndarray) -> float:
    """Daily growth factor: the largest eigenvalue, by a numerical library."""
    return float(max(abs(np.linalg.eigvals(matrix))))


@pytest.mark.parametrize("temperature_c", [18.0, 22.0, 24.0, 27.0, 30.0])
def test_the_colony_grows_at_the_dominant_eigenvalue_of_its_matrix(temperature_c: float) -> None:
    life = LifeHistory()
    classes = colony.first_classes(TEN, life, 1)
    for _ in range(3000):
        before = classes.sum()
        classes = colony.next_day(classes, np.array([temperature_c]), life, PLAIN)
        classes /= before
    grown = colony.next_day(classes, np.array([temperature_c]), life, PLAIN)
    factor = dominant(projection_matrix(life, temperature_c, PLAIN))
    assert grown.sum() / classes.sum() == pytest.approx(factor, rel=1e-9)


@pytest.mark.parametrize("temperature_c", [20.0, 24.0, 27.0])
def test_the_eigenvalue_is_the_root_of_euler_and_lotka(temperature_c: float) -> None:
    """Follow one hatchling and count its grandchildren-to-be, day by day: l(x) m(x)."""
    life = LifeHistory()
    matrix = projection_matrix(life, temperature_c, PLAIN)
    newborn, last_egg = colony.HATCHLINGS.start, colony.EGGS.stop - 1
    hatching = matrix[newborn, last_egg]
    closed = matrix.copy()
    closed[newborn, last_egg] = 0.0
    one = np.zeros(colony.CLASSES)
    one[newborn] = 1.0
    ages, births = [], []
    for day in range(1, 4000):
        births.append(hatching * one[last_egg])
        ages.append(float(day))
        one = closed @ one
    r = growth_rate(ages, [1.0] * len(ages), births)
    assert r == pytest.approx(math.log(dominant(matrix)), rel=1e-6)


def test_every_stage_takes_its_time_on_average() -> None:
    life = dataclasses.replace(LifeHistory(), adult_monthly_survival=1.0)
    sure = Vital(np.array([0.0]), np.array([1.0 - 1e-12]), np.array([1.0]))
    matrix = projection_matrix(life, 24.0, sure)
    one = np.zeros(colony.CLASSES)
    one[colony.HATCHLINGS.start] = 1.0
    days = 0.0
    young = slice(colony.HATCHLINGS.start, colony.JUVENILES.stop)
    for _ in range(2000):
        days += one[young].sum()
        one = matrix @ one
    expected = float(colony.days_at(life.days_to_maturity, np.array([24.0]))[0])
    assert days == pytest.approx(expected, rel=1e-3)


def test_at_32_degrees_no_young_come_and_the_adults_live_on() -> None:
    drawn = members(20)
    hot = colony_outlook(TEN, LifeHistory(), drawn, np.full(20, 32.0), 12)
    warm = colony_outlook(TEN, LifeHistory(), drawn, np.full(20, 26.0), 12)
    assert all(week[0] == (0.0, 0.0, 0.0) for week in hot.by_stage)
    assert hot.total[-1][1] > 6.0
    assert warm.by_stage[-1][0][1] > 10.0


def test_larvae_that_need_the_sea_never_become_young() -> None:
    life = dataclasses.replace(LifeHistory(), breeds_in_fresh_water=False)
    out = colony_outlook(TEN, life, members(10), np.full(10, 24.0), 20)
    assert out.by_stage[-1][0][2] == 0.0


def test_a_colony_without_a_limit_doubles_in_the_published_weeks() -> None:
    """Sets worked out from published broods and times double in 21 to 40 days once under way."""
    out = colony_outlook(TEN, LifeHistory(), middle_members(RANGES, 1), np.full(1, 24.0), 80)
    late, earlier = out.total[-1][1], out.total[-9][1]
    doubling_days = 56.0 * math.log(2.0) / math.log(late / earlier)
    assert 21.0 <= doubling_days <= 40.0


def test_what_the_container_carries_slows_the_colony() -> None:
    drawn, warmth = members(30), np.full(30, 24.0)
    free = colony_outlook(TEN, LifeHistory(), drawn, warmth, 52)
    full = colony_outlook(TEN, LifeHistory(), drawn, warmth, 52, capacity_animals=40)
    assert full.total[-1][1] < 0.3 * free.total[-1][1]
    low, middle, high = full.full_in_weeks
    assert low is not None and middle is not None
    assert low <= middle <= (high if high is not None else 53)
    assert free.full_in_weeks == (None, None, None)


def test_taking_young_out_holds_the_number() -> None:
    drawn, warmth = members(30), np.full(30, 24.0)
    out = colony_outlook(TEN, LifeHistory(), drawn, warmth, 26, hold_at=25)
    grown_and_half_grown = sum(stage[1] for stage in out.by_stage[-1][1:])
    assert grown_and_half_grown <= 25.0 + 0.5
    assert len(out.young_to_remove) == 26
    assert out.young_to_remove[-1][1] > 0.0
    assert out.young_to_remove[0] == (0.0, 0.0, 0.0)


def test_events_to_come_are_counted() -> None:
    drawn, warmth = members(5), np.full(5, 24.0)
    taken = Event(24 * 3, "animals_removed", stage="females", count=5)
    out = colony_outlook(TEN, LifeHistory(), drawn, warmth, 2, events=(taken,))
    assert out.by_stage[-1][2][2] == 0.0


@settings(max_examples=30, deadline=None)
@given(
    temperature_c=st.floats(5.0, 36.0),
    females=st.floats(0, 50),
    young=st.floats(0, 80),
    load=st.floats(0.0, 5.0),
)
def test_numbers_never_fall_below_zero_and_crowding_never_helps(
    temperature_c: float, females: float, young: float, load: float
) -> None:
    life = LifeHistory()
    stock = Stock(females=females, juveniles=young, hatchlings=young, berried=0.3 * females)
    classes = colony.first_classes(stock, life, 1)
    warmth = np.array([temperature_c])
    free = colony.next_day(classes, warmth, life, PLAIN, np.array([0.0]))
    crowded = colony.next_day(classes, warmth, life, PLAIN, np.array([load]))
    assert crowded.min() >= 0.0
    assert crowded.sum() <= free.sum() + 1e-9
