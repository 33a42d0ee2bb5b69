"""What a keeper might change from now on, as people say it."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.bowl.description import Bowl
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import Run, simulate
from diagnose.bowl.what_if import WAYS, WhatIf, future_events, read_what_if
from tests.bowl_jars import jar, members

FOUR_WEEKS_H = 28 * 24


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("feed half", WhatIf(food=0.5)),
        ("feed a third as much", WhatIf(food=1 / 3)),
        ("feed nothing", WhatIf(food=0.0)),
        ("feed 150 %", WhatIf(food=1.5)),
        ("feed 2 times", WhatIf(food=2.0)),
        ("feed twice a week", WhatIf(feeds_per_week=2.0)),
        ("feed every 2 days", WhatIf(feeds_per_week=3.5)),
        ("feed daily", WhatIf(feeds_per_week=7.0)),
        ("move off the sill", WhatIf(shaded=True)),
        ("Move out of the sun.", WhatIf(shaded=True)),
        ("change 30 % twice a week", WhatIf(change_share=0.3, change_days=3.5)),
        ("change 30% every 3 days", WhatIf(change_share=0.3, change_days=3.0)),
        ("change half weekly", WhatIf(change_share=0.5, change_days=7.0)),
        ("change 20 %", WhatIf(change_share=0.2)),
        ("change nothing", WhatIf(change_share=0.0)),
        ("remove 40 young", WhatIf(removed=(("young", 40),))),
        ("remove ten adults", WhatIf(removed=(("adults", 10),))),
        ("add 6 adults", WhatIf(added=(("adults", 6),))),
        ("add 12 juveniles", WhatIf(added=(("young", 12),))),
    ],
)
def test_a_change_is_read_as_it_is_said(said: str, meant: WhatIf) -> None:
    assert read_what_if([said]) == meant


@pytest.mark.parametrize("way", WAYS)
def test_every_way_that_an_error_suggests_is_understood(way: str) -> None:
    assert read_what_if([way]) != WhatIf()


@pytest.mark.parametrize(
    "said",
    [
        "",
        "feed",
        "feed them well",
        "sing to them",
        "change",
        "change 30 litres",
        "change 30 % sometimes",
        "add adults",
        "add 6",
        "add six hundred adults",
        "remove 3 snails",
        "feed every 0 days",
        "feed zero times a week",
        "move",
    ],
)
def test_what_is_not_understood_is_answered_with_ways_to_say_it(said: str) -> None:
    with pytest.raises(ValueError, match=r"is not understood\. Say it as") as refused:
        read_what_if([said])
    assert f"`{said}`" in str(refused.value)


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("change 130 % weekly", "0 to 100 %"),
        ("add 0 adults", "1 to 5000"),
        ("remove 9000 young", "1 to 5000"),
        ("feed 90 times", "20 times the usual"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(said: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        read_what_if([said])


def test_changes_said_together_all_hold_and_of_two_on_one_thing_the_later() -> None:
    found = read_what_if(["feed half", "add 6 adults", "add 2 young", "feed a quarter"])
    assert found == WhatIf(food=0.25, added=(("adults", 6), ("young", 2)))


def test_without_a_change_the_coming_weeks_are_the_routine() -> None:
    bowl = jar()
    assert set(future_events(bowl, FOUR_WEEKS_H, WhatIf())) == set(
        with_habits(bowl, (), 0, FOUR_WEEKS_H)
    )


def test_half_the_food_is_half_of_every_feeding_and_all_else_stays() -> None:
    bowl = jar()
    usual = future_events(bowl, FOUR_WEEKS_H, WhatIf())
    halved = future_events(bowl, FOUR_WEEKS_H, WhatIf(food=0.5))
    feeds = [e for e in halved if e.kind == "feeding"]
    assert len(feeds) == len([e for e in usual if e.kind == "feeding"])
    assert all(e.share == 0.5 for e in feeds)
    assert [e for e in halved if e.kind != "feeding"] == [e for e in usual if e.kind != "feeding"]


def test_half_as_much_food_again_is_a_whole_feeding_and_a_half() -> None:
    portions = [
        e.share or 1.0
        for e in future_events(jar(), FOUR_WEEKS_H, WhatIf(food=1.5))
        if e.kind == "feeding"
    ]
    usual = [e for e in future_events(jar(), FOUR_WEEKS_H, WhatIf()) if e.kind == "feeding"]
    assert sum(portions) == pytest.approx(1.5 * len(usual))


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("run an air stone", WhatIf(stirred=True)),
        ("light six hours a day", WhatIf(lamp_hours=6.0)),
        ("light 7.5 h", WhatIf(lamp_hours=7.5)),
        ("top up with distilled water", WhatIf(topup="mineral_free")),
        ("top up with nothing", WhatIf(topup="nothing")),
    ],
)
def test_what_is_changed_about_the_container_is_read(said: str, meant: WhatIf) -> None:
    assert read_what_if([said]) == meant


def future(bowl: Bowl, what_if: WhatIf) -> Run:
    events = future_events(bowl, FOUR_WEEKS_H, what_if)
    return simulate(bowl, events, 0, FOUR_WEEKS_H, members(20))


def test_a_moving_surface_lifts_the_oxygen_of_the_night_from_the_hour_it_moves() -> None:
    crowded = jar(5.0, 120)
    still, moved = future(crowded, WhatIf()), future(crowded, WhatIf(stirred=True))
    assert np.array_equal(still.oxygen_mg_l[:2], moved.oxygen_mg_l[:2])
    night = slice(FOUR_WEEKS_H - 24, None)
    lowest = np.median(moved.oxygen_mg_l[night].min(axis=0))
    assert lowest > np.median(still.oxygen_mg_l[night].min(axis=0)) + 1.0


def test_a_shorter_lamp_makes_less_light_and_no_other_hour_changes() -> None:
    usual, short = future(jar(), WhatIf()), future(jar(), WhatIf(lamp_hours=3.0))
    assert short.light.sum() < 0.8 * usual.light.sum()
    assert np.array_equal(usual.temperature_c[0], short.temperature_c[0])


def test_minerals_stop_creeping_when_topped_up_without_them() -> None:
    tap, soft = future(jar(), WhatIf()), future(jar(), WhatIf(topup="mineral_free"))
    assert (soft.solids_mg_l[-1] < tap.solids_mg_l[-1]).all()


def test_nitrogen_holds_when_the_surface_is_stirred_and_the_lamp_is_set() -> None:
    run = future(jar(), WhatIf(stirred=True, lamp_hours=4.0, topup="mineral_free"))
    balance = run.nitrogen_mg[-1] - run.nitrogen_mg[0] - run.added_n_mg[-1] + run.removed_n_mg[-1]
    assert np.abs(balance / run.nitrogen_mg[-1]).max() < 1e-9


def test_no_food_leaves_no_feeding() -> None:
    events = future_events(jar(), FOUR_WEEKS_H, WhatIf(food=0.0))
    assert not [e for e in events if e.kind == "feeding"]


def test_thirty_percent_twice_a_week_is_eight_changes_in_four_weeks() -> None:
    events = future_events(jar(), FOUR_WEEKS_H, WhatIf(change_share=0.3, change_days=3.5))
    changes = [e for e in events if e.kind == "water_change"]
    assert len(changes) == 8
    assert {e.share for e in changes} == {0.3}
