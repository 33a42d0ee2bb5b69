"""The week of care: rations, changes, what evaporates, and a calendar that calendars can read."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from diagnose.care.calendar import calendar
from diagnose.care.feeding import in_pellets, ration
from diagnose.care.water_change import change, share_to_hold
from diagnose.care.week import Week
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.care import care_of_case
from tests.stocking_jars import CLEAN, NOW, jar, observed

TAP = ("gh", "solids")


def plan_of(rulebook: Rulebook, tap: dict[str, float] | None = None, **box: object) -> Week:
    case = jar(stock={"adults": 8}, readings=CLEAN | {"solids": 200.0}, water_source="tap", **box)
    more = tuple(
        case.readings[0].model_copy(update={"what": what, "value": value, "where": "tap"})
        for what, value in (tap or {}).items()
    )
    case = case.model_copy(update={"readings": case.readings + more})
    return care_of_case(rulebook, observed(rulebook, case), now=NOW, with_outlook=False)


def said(plan: Week, topic: str) -> str:
    return " ".join(task.what for task in plan.tasks if task.topic == topic)


@given(cool=st.floats(10, 30), warmer=st.floats(0, 20), mass=st.floats(0.01, 20))
def test_warmer_animals_never_get_less(
    rulebook: Rulebook, cool: float, warmer: float, mass: float
) -> None:
    less = ration(mass, cool, rulebook.numbers)
    more = ration(mass, min(30.0, cool + warmer), rulebook.numbers)
    assert more.mg_a_day >= less.mg_a_day


def test_ten_degrees_double_the_ration(rulebook: Rulebook) -> None:
    """Q10 of 2.10, Liu Kai et al. 2010 (Exopalaemon modestus)."""
    assert ration(1, 28, rulebook.numbers).mg_a_day == pytest.approx(
        2.1 * ration(1, 18, rulebook.numbers).mg_a_day
    )


def test_pellets_are_said_as_they_can_be_broken() -> None:
    assert in_pellets(0.05) == "a crumb of a small pellet"
    assert in_pellets(0.5) == "half a small pellet"
    assert in_pellets(3.2) == "3 small pellets"


@given(rise=st.floats(0.1, 15), new=st.floats(0, 10), wanted=st.floats(30, 80))
def test_the_share_holds_nitrate_where_it_is_wanted(rise: float, new: float, wanted: float) -> None:
    """Played through week by week."""
    share = share_to_hold(rise, new, wanted)
    value = wanted
    for _ in range(400):
        value = value + share * (new - value) + rise
    assert value == pytest.approx(wanted, rel=1e-3)


def test_a_container_fed_far_too_much_gets_no_larger_change_but_less_food(
    rulebook: Rulebook,
) -> None:
    """No routine changes more than half at once (common practice, no source)."""
    routine = change(
        volume_l=5,
        still=True,
        food_mg_a_day=40,
        nitrate_in_new_water_mg_l=5,
        solids_gap_mg_l=None,
        solids_mg_l=None,
        gh_gap_dgh=None,
        numbers=rulebook.numbers,
    )
    assert routine.nitrate_share > 0.5
    assert (routine.share, routine.every_days, routine.falls_short) == (0.5, 3.5, True)
    assert routine.nitrate_settles_at_mg_l > rulebook.numbers["nitrate_wanted_mg_l"].value


def test_new_water_that_differs_goes_in_in_smaller_parts(rulebook: Rulebook) -> None:
    """18 degrees crept up in the container; no prepared water suits both: so go gently."""
    case = jar(stock={"adults": 8}, readings=CLEAN | {"gh": 18.0, "solids": 500.0})
    tap = case.readings[0].model_copy(update={"what": "gh", "value": 8.0, "where": "tap"})
    case = case.model_copy(update={"readings": (*case.readings, tap)})
    plan = care_of_case(rulebook, observed(rulebook, case), now=NOW, with_outlook=False)
    assert plan.change.gentle and plan.change.share * 10.0 <= 1.0 + 1e-9
    weekly = plan.change.share * 7 / plan.change.every_days
    assert weekly == pytest.approx(0.5)


def test_hard_tap_water_is_thinned_to_what_the_container_has(rulebook: Rulebook) -> None:
    plan = plan_of(rulebook, {"gh": 16.0, "solids": 400.0})
    assert "Mix 1.5 L of it with 1.5 L of mineral-free water" in said(plan, "its hardness")
    assert not plan.change.gentle
    assert "for 1.5 L of tap water" in said(plan, "conditioner")


def test_soft_tap_water_is_raised_by_salts(rulebook: Rulebook) -> None:
    assert "gypsum" in said(plan_of(rulebook, {"gh": 3.0}), "its hardness")


def test_conditioner_must_cover_the_chlorine_that_was_measured(rulebook: Rulebook) -> None:
    """2 mg/L in 3 L is 6 mg of chlorine; thiosulfate crystals take 7.0 times as much (Hach)."""
    text = said(plan_of(rulebook, {"chlorine": 2.0}), "conditioner")
    assert "6.0 mg of chlorine" in text and "42 mg" in text


def test_water_that_is_topped_up_from_the_tap_thickens(rulebook: Rulebook) -> None:
    lost = plan_of(rulebook, {"gh": 8.0, "solids": 200.0}).evaporation
    assert lost.settles_with_tap_mg_l is not None and lost.settles_with_pure_mg_l is not None
    assert lost.settles_with_tap_mg_l > lost.settles_with_pure_mg_l == pytest.approx(200.0)


def test_a_closed_lid_keeps_the_water_in(rulebook: Rulebook) -> None:
    wide, shut = plan_of(rulebook, lid="open"), plan_of(rulebook, lid="sealed")
    assert wide.evaporation.litres_a_week > 0.0 == shut.evaporation.litres_a_week
    assert not said(shut, "top-up")


def test_evaporation_is_that_of_a_still_pool(rulebook: Rulebook) -> None:
    """Carrier's pool rate is 4.1 mm a day at 22 degC and half humidity; still pools 0.74 of it
    (Smith, Lof and Jones 1998): 3.1 mm."""
    assert rulebook.numbers["evaporation_mm_day_open"].value == pytest.approx(0.74 * 4.1, rel=0.1)


def test_every_line_of_the_plan_says_why(rulebook: Rulebook) -> None:
    plan = plan_of(rulebook)
    assert all(len(task.why) > 20 or task.topic == "measure" for task in plan.tasks)
    assert all(task.why for task in plan.tasks)
    topics = {task.topic for task in plan.tasks}
    assert {
        "feeding",
        "leftovers",
        "water change",
        "its temperature",
        "conditioner",
        "top-up",
        "light",
        "look",
        "count",
        "measure",
    } <= topics
    rhythms = {task.rhythm for task in plan.tasks}
    assert {"daily", "weekly", "monthly"} <= rhythms


def test_a_reading_long_ago_is_due_and_a_fresh_one_is_not(rulebook: Rulebook) -> None:
    text = said(plan_of(rulebook), "measure")
    assert "Nitrate: due now (never measured)" in text
    assert "Ammonia and nitrite: due on 2026-05-18" in text


def test_a_calendar_reads_back_as_the_plan(rulebook: Rulebook) -> None:
    plan = plan_of(rulebook)
    data = calendar(plan, "Jar, by the window; north", now=NOW)
    found = Calendar.from_ical(data)
    entries = found.walk("VEVENT")
    dated = [task for task in plan.tasks if task.first is not None]
    assert len(entries) == len(dated) >= 5
    assert len({str(entry["uid"]) for entry in entries}) == len(entries)
    changes = next(e for e in entries if str(e["summary"]).endswith("water change"))
    assert changes["dtstart"].dt == NOW.date() + timedelta(days=1)
    assert changes["rrule"]["interval"] == [7]
    assert str(changes["summary"]).startswith("Jar, by the window; north")
    assert all(isinstance(entry["dtstart"].dt, date) for entry in entries)
    assert calendar(plan, "Jar, by the window; north", now=NOW) == data
    # RFC 5545 section 3.1: lines of at most 75 octets, ended by CR LF.
    assert all(len(line) <= 75 for line in data.split(b"\r\n")) and data.endswith(b"\r\n")
