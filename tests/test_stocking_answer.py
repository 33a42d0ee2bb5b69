"""What a keeper reads before adding stock: what to do and when, never a plan for a day not come."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from diagnose.findings.observed_case import observed_case
from diagnose.intake.case import Event, Reading
from diagnose.intake.moments import read_moment
from diagnose.report.pages import Page, page_markdown
from diagnose.report.stocking_answer import StockingAnswer, stocking_page
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.stocking import stocking_case, told_newcomers
from tests.stocking_jars import CLEAN, NOW, jar, may_come

CASES = bundled("cases") / "stocking"
FILES = sorted(CASES.glob("*.yaml"))


def answer(
    rulebook: Rulebook, name: str, *, add: str | None = None, with_outlook: bool = False
) -> StockingAnswer:
    seen = observed_case(CASES / f"{name}.yaml", rulebook, now=NOW)
    newcomers = told_newcomers(seen.case, rulebook, add=add)
    return stocking_case(rulebook, seen, newcomers, now=NOW, with_outlook=with_outlook)


def headings(page: Page) -> list[str]:
    return [part.heading for part in page.sections if part.lines]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_only_who_may_come_is_told_the_way_in(rulebook: Rulebook, file: Path) -> None:
    found = answer(rulebook, file.stem)
    page = stocking_page(found)
    comes = found.verdict == "add now"
    assert ("How to bring them in" in headings(page)) == comes
    assert (found.acclimation is not None) == comes
    assert bool(found.to_do) != comes or not any(reason.shut for reason in found.reasons)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_who_must_wait_is_told_what_to_do_and_a_day(rulebook: Rulebook, file: Path) -> None:
    found = answer(rulebook, file.stem)
    if found.verdict != "wait":
        return
    day = date.fromisoformat(found.ask_again)
    assert day >= NOW.date() or found.asked_at < f"{NOW:%Y-%m-%d}"
    text = page_markdown(stocking_page(found))
    assert "## What to do until then" in text and found.ask_again in text


def test_ammonia_without_nitrite_is_not_praised(rulebook: Rulebook) -> None:
    """Common practice, no source: the first step of a cycle makes nitrite; none means none yet."""
    found = answer(rulebook, "ammonia-and-nothing-else-yet")
    assert not any("nitrite" in reason.title.lower() for reason in found.for_)
    text = " ".join(found.to_do)
    assert "nitrite rise" in text and "change no water" in text
    assert "what rots" not in text and "half of the water" not in text
    assert "crumb of food" not in text


@pytest.mark.parametrize(
    ("ammonia", "nitrite", "nitrate", "stage"),
    [
        (4.0, 0.0, None, "not_begun"),
        (4.0, None, None, "untested"),
        (1.0, 1.0, None, "first_step"),
        (0.5, 0.0, 40.0, "first_step"),
        (0.0, 1.0, 20.0, "second_step"),
        (0.0, 0.0, 20.0, "none"),
    ],
)
def test_a_cycle_without_animals_shows_its_stage(
    rulebook: Rulebook,
    ammonia: float,
    nitrite: float | None,
    nitrate: float | None,
    stage: str,
) -> None:
    told = {"ammonia": ammonia, "nitrite": nitrite, "nitrate": nitrate}
    readings = {name: value for name, value in told.items() if value is not None}
    warm = {"temperature": 22.0, "gh": 8.0}
    case = jar(age_days=40, readings=readings | warm)
    found = may_come(rulebook, case, 4)
    assert found.place.known["empty_cycle"].value == stage
    lived_in = jar(age_days=40, readings=readings | warm, stock={"adults": 5})
    assert may_come(rulebook, lived_in, 4).place.known["empty_cycle"].value == "none"


def test_rot_in_an_empty_container_is_no_cycle(rulebook: Rulebook) -> None:
    case = jar(age_days=40, readings=CLEAN | {"ammonia": 1.0}, case={"seen": ("foul_smell",)})
    assert may_come(rulebook, case, 4).place.known["empty_cycle"].value == "none"


def test_waiting_alone_clears_no_ammonia_where_animals_live(rulebook: Rulebook) -> None:
    warm = {"temperature": 22.0, "gh": 8.0, "ammonia": 1.0, "nitrite": 0.0}
    empty = may_come(rulebook, jar(age_days=60, readings=warm), 4)
    lived_in = may_come(rulebook, jar(age_days=60, readings=warm, stock={"adults": 5}), 4)
    assert empty.earliest is not None and lived_in.earliest is None


@pytest.mark.parametrize(
    "name", ["half-died-this-week", "ammonia-where-nine-live", "snails-climbing-the-rim"]
)
def test_a_container_in_trouble_is_sent_to_triage_and_told_no_size_of_change(
    rulebook: Rulebook, name: str
) -> None:
    found = answer(rulebook, name)
    assert found.triage_first
    assert len(found.to_do) == 1 and "bowlside triage" in found.to_do[0]
    text = page_markdown(stocking_page(found))
    assert "half of the water" not in text.lower()


def test_the_newcomers_name_the_kind_where_nobody_lives_there(rulebook: Rulebook) -> None:
    found = answer(rulebook, "bees-as-the-first-ones")
    assert found.species == rulebook.species["soft-water-dwarf"].title
    assert not any("Nobody said which" in text for text in found.assumptions)


def test_an_unnamed_colony_is_still_said_to_be_unnamed(rulebook: Rulebook) -> None:
    seen = observed_case(CASES / "bees-as-the-first-ones.yaml", rulebook, now=NOW)
    stock = seen.case.stock.model_copy(update={"adults": 3})
    told = type(seen)(seen.case.model_copy(update={"stock": stock}), seen.observations, (), ())
    newcomers = told_newcomers(told.case, rulebook)
    found = stocking_case(rulebook, told, newcomers, now=NOW, with_outlook=False)
    assert any("which shrimp live there" in text for text in found.assumptions)


def test_beyond_two_a_litre_it_says_what_to_measure(rulebook: Rulebook) -> None:
    """One to two grown animals a litre without a filter: common practice, no source."""
    found = answer(rulebook, "ten-for-the-packing-table")
    assert found.verdict == "add now"
    assert found.number_within_measure == 8 < found.number_now
    assert "measure oxygen before light" in page_markdown(stocking_page(found))
    few = answer(rulebook, "ten-for-the-packing-table", add="5 adults")
    assert not any(r.limit == "capacity" and "one to two" in r.title for r in few.reasons)


def test_dawn_oxygen_that_was_measured_opens_the_way_to_more(rulebook: Rulebook) -> None:
    box = {"volume_l": 10.0, "planting": "dense", "filter": "running", "age_days": 700.0}
    case = jar(**box)
    dawn = Reading(what="oxygen", value=6.5, at=read_moment("2026-04-18 06:00"))
    measured = case.model_copy(update={"readings": (*case.readings, dawn)})
    assert may_come(rulebook, case, 34).judgement.verdict == "wait"
    assert may_come(rulebook, measured, 34).judgement.verdict == "add now"


def test_the_number_that_leaves_room_never_grows_with_those_that_live_there(
    rulebook: Rulebook,
) -> None:
    found = answer(rulebook, "eight-for-the-front-window", with_outlook=True)
    assert found.number_with_room is not None and found.number_with_room < found.number_now
    assert found.outlook is not None
    text = page_markdown(stocking_page(found))
    assert "young must go out in time" in text
    assert f"about {found.outlook.young_out[1]:.0f} young" in text


def test_a_window_of_which_nobody_told_the_sun_is_asked_about(rulebook: Rulebook) -> None:
    seen = observed_case(CASES / "ten-for-the-packing-table.yaml", rulebook, now=NOW)
    box = seen.case.container
    for told, asked in (
        ({"window": "south"}, True),
        ({"window": "north"}, False),
        ({"window": "south", "room_max_c": 25.0}, False),
    ):
        moved = seen.case.model_copy(update={"container": box.model_copy(update=told)})
        case = type(seen)(moved, seen.observations, (), ())
        newcomers = told_newcomers(moved, rulebook)
        found = stocking_case(rulebook, case, newcomers, now=NOW, with_outlook=False)
        assert any(item.fact == "sun" for item in found.measure) == asked


@pytest.mark.parametrize("days", [0, 5, 13, 30, 60])
def test_a_death_of_a_companion_holds_for_three_weeks(rulebook: Rulebook, days: int) -> None:
    """Three to four weeks without a loss: common practice, no source."""
    dead = Event(what="death-unnoticed", at=read_moment(f"{days} days ago"), count=2)
    case = jar(stock={"adults": 3}, case={"events": (dead,), "seen": ("survivors_normal",)})
    found = may_come(rulebook, case, 3)
    assert (found.judgement.verdict == "wait") == (days < 21)
    if days < 21:
        assert found.limit == "losses"
        assert found.earliest is not None
        assert found.earliest >= NOW.date() + timedelta(days=21 - days)


@pytest.mark.parametrize(
    ("box", "verdict"),
    [
        ({"sun": "long", "room_max_c": 35.0}, "do not add"),
        ({"room_max_c": 33.0}, "wait"),
        ({"room_max_c": 25.0, "sun": "none"}, "add now"),
        ({"room_temperature_c": 21.0, "sun": "short"}, "add now"),
        ({"room_min_c": 9.0}, "wait"),
        ({"room_min_c": 9.0, "heater": "working"}, "add now"),
    ],
)
def test_heat_and_cold_to_come_are_gates(
    rulebook: Rulebook, box: dict[str, object], verdict: str
) -> None:
    found = may_come(rulebook, jar(**box), 6)
    assert found.judgement.verdict == verdict
    if verdict != "add now":
        assert found.limit == "temperature"
