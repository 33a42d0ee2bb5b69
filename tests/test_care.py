"""The week of care: rations, changes, what evaporates, and a calendar that calendars can read."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from diagnose.care.calendar import calendar
from diagnose.care.feeding import in_pellets, ration
from diagnose.care.water_change import change, share_to_hold
from diagnose.care.week import Week
from diagnose.intake.case import Case, Deaths, Reading
from diagnose.intake.moments import read_moment
from diagnose.report.care_answer import care_answer, care_page
from diagnose.report.mix_pages import slowly
from diagnose.report.pages import page_markdown
from diagnose.rulebook.rates import rates
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
    data = calendar([("Jar, by the window; north", plan)], now=NOW)
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
    assert calendar([("Jar, by the window; north", plan)], now=NOW) == data
    # RFC 5545 section 3.6.6: an alarm that shows has an action, a trigger and a description.
    for entry in entries:
        alarms = entry.walk("VALARM")
        assert len(alarms) == (0 if entry["rrule"]["interval"] == [1] else 1)
        for alarm in alarms:
            assert alarm["action"] == "DISPLAY" and alarm["description"] == entry["summary"]
            assert alarm["trigger"].dt == timedelta(hours=9)
    summaries = {str(entry["summary"]).rpartition(": ")[2] for entry in entries}
    assert {"measure nitrate", "measure pH", "look at the animals"} <= summaries
    assert not {"look", "measure"} & summaries
    # RFC 5545 section 3.1: lines of at most 75 octets, ended by CR LF.
    assert all(len(line) <= 75 for line in data.split(b"\r\n")) and data.endswith(b"\r\n")


def test_many_containers_share_a_calendar_and_no_entry_is_lost(rulebook: Rulebook) -> None:
    plan = plan_of(rulebook)
    both = Calendar.from_ical(calendar([("Left", plan), ("Right", plan)], now=NOW)).walk("VEVENT")
    one = Calendar.from_ical(calendar([("Left", plan)], now=NOW)).walk("VEVENT")
    assert len(both) == 2 * len(one) == len({str(entry["uid"]) for entry in both})


def week_of(rulebook: Rulebook, case: Case) -> Week:
    return care_of_case(rulebook, observed(rulebook, case), now=NOW, with_outlook=False)


def deaths(*, last: str, dead: int, first: str = "6 days ago") -> dict[str, object]:
    told = Deaths(first=read_moment(first), last=read_moment(last), dead=dead, of=20)
    return {"deaths": told}


@pytest.mark.parametrize(
    ("readings", "case"),
    [
        (CLEAN, deaths(last="today", dead=11)),
        (CLEAN, deaths(last="today", dead=4, first="10 days ago")),
        (CLEAN, {"seen": ("twitching",)}),
        (CLEAN, {"seen": ("at_surface",)}),
        (CLEAN | {"ammonia": 2.0}, {}),
        (CLEAN | {"nitrite": 1.0}, {}),
        (CLEAN | {"ammonia": 0.9, "ph": 8.4}, {}),
        (CLEAN | {"chlorine": 0.5}, {}),
        (CLEAN | {"copper": 0.1}, {}),
    ],
)
def test_animals_in_trouble_get_triage_and_no_week(
    rulebook: Rulebook, readings: dict[str, float], case: dict[str, object]
) -> None:
    bowl = jar(stock={"species": "cherry shrimp", "adults": 20}, readings=readings, case=case)
    plan = week_of(rulebook, bowl)
    assert plan.triage_first
    assert [task.topic for task in plan.tasks] == ["triage first"]
    answer = care_answer(rulebook, plan, case="jar")
    assert answer.triage_first and answer.change_share is None and answer.food_mg_a_day is None
    text = page_markdown(care_page(answer))
    assert "Triage first" in text and "Feeding" not in text


@pytest.mark.parametrize(
    ("readings", "case", "stock"),
    [
        (CLEAN, {}, {"adults": 8}),
        (CLEAN, deaths(last="40 days ago", first="42 days ago", dead=5), {"adults": 20}),
        (CLEAN, deaths(last="8 days ago", first="8 days ago", dead=1), {"adults": 20}),
        (CLEAN | {"ammonia": 4.0}, {}, {"adults": 0}),
    ],
)
def test_the_calm_get_their_week(
    rulebook: Rulebook,
    readings: dict[str, float],
    case: dict[str, object],
    stock: dict[str, object],
) -> None:
    """Ammonia in a young container without animals is its cycle; nobody is harmed by it."""
    plan = week_of(rulebook, jar(age_days=60, stock=stock, readings=readings, case=case))
    assert not plan.triage_first and len(plan.tasks) > 5


@given(
    adults=st.integers(0, 300),
    litres=st.floats(1, 60),
    nitrate=st.floats(0, 80),
    gh=st.floats(0, 30),
    tap=st.floats(0, 30),
    running=st.booleans(),
)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_routine_changes_more_than_half_nor_moves_hardness_faster_than_the_table(
    rulebook: Rulebook,
    adults: int,
    litres: float,
    nitrate: float,
    gh: float,
    tap: float,
    running: bool,
) -> None:
    case = jar(
        stock={"species": "cherry shrimp", "adults": adults},
        readings=CLEAN | {"gh": gh},
        volume_l=litres,
        filter="running" if running else "none",
    )
    more = (
        Reading(what="nitrate", value=nitrate, where="tap"),
        Reading(what="gh", value=tap, where="tap"),
    )
    plan = week_of(rulebook, case.model_copy(update={"readings": (*case.readings, *more)}))
    routine = plan.change
    assert 0.0 < routine.share <= 0.5 and 1.0 <= routine.every_days <= 7.0
    wanted = min(max(tap, 6.0), 15.0) if not 6.0 <= gh <= 15.0 else gh
    moved = routine.share * abs(wanted - gh)
    # A twentieth is the least change there is.
    assert moved <= max(1.0, 0.05 * abs(wanted - gh)) + 1e-9
    assert "100 %" not in said(plan, "water change")


def test_new_water_aims_at_the_middle_of_the_day(rulebook: Rulebook) -> None:
    """A sill that swings from 19 to 29.5 C, last read when it was warmest."""
    warm = ((19.0, "2026-04-18 07:00"), (29.5, "2026-04-18 15:30"))
    case = jar(stock={"adults": 8})
    kept = tuple(reading for reading in case.readings if reading.what != "temperature")
    log = tuple(Reading(what="temperature", value=c, at=read_moment(at)) for c, at in warm)
    plan = week_of(rulebook, case.model_copy(update={"readings": (*kept, *log)}))
    text = said(plan, "its temperature")
    assert text.startswith("New water: 22 to 26 C") and "19 C to 29.5 C" in text


def test_a_crowd_is_told_so_first_and_fed_what_the_container_clears(rulebook: Rulebook) -> None:
    crowd = week_of(rulebook, jar(stock={"species": "cherry shrimp", "adults": 250}, volume_l=7))
    full = week_of(rulebook, jar(stock={"species": "cherry shrimp", "adults": 18}, volume_l=7))
    assert crowd.tasks[0].topic == "more than it carries" and "250" in crowd.tasks[0].what
    assert full.tasks[0].topic == "feeding"
    assert crowd.ration.mg_a_day <= 1.05 * full.ration.mg_a_day


def test_one_table_of_rates_for_care_and_mix(rulebook: Rulebook) -> None:
    """Hardness, solids and warmth move at one pace whichever command says so."""
    pace = rates(rulebook)
    hardness = f"{pace.gh_dgh_a_day:g} d"
    solids = f"{pace.solids_percent_a_day:g} %"
    case = jar(stock={"adults": 8}, readings=CLEAN | {"gh": 18.0, "solids": 500.0})
    tap = Reading(what="gh", value=8.0, where="tap")
    plan = week_of(rulebook, case.model_copy(update={"readings": (*case.readings, tap)}))
    why = " ".join(task.why for task in plan.tasks if task.topic == "water change")
    assert hardness in why and solids in why
    assert hardness in slowly(pace) and solids in slowly(pace)
    caution = rulebook.cautions["minerals-slowly"].text
    assert f"{pace.gh_dgh_a_day:g} degree" in caution and solids in caution
    gate = rulebook.stocking["too-soft-for-them"].do
    assert pace.gh_dgh_a_day == 1.0 and "one degree a day" in gate
    assert rulebook.numbers["gh_gap_left_dgh"].value <= pace.gh_dgh_a_day
    assert rulebook.numbers["slow_c_per_12_h"].value == pace.temperature_c_in_12_h
