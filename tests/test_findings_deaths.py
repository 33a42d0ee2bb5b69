"""The shape of the losses, read off what was counted and when."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.rulebook.terms import Rulebook
from tests.observed import lines, observed, values


def value(rulebook: Rulebook, name: str, **sections: Any) -> Any:
    """One value of a case with these sections; None where it says nothing of it."""
    return values(rulebook, lines(**sections)).get(name)


@pytest.mark.parametrize(
    ("deaths", "shape"),
    [
        ({"dead": 0}, "none"),
        ({"dead": 1, "of": 10}, "single"),
        ({"dead": 6, "of": 10, "over": "20 h"}, "all_at_once"),
        ({"dead": 5, "of": 10, "first": "2026-03-13 22:00", "last": "2026-03-14 09:00"}, None),
        ({"dead": 4, "of": 10, "over": "20 h"}, "burst"),
        ({"dead": 8, "of": 10, "over": "60 h"}, "burst"),
        ({"dead": 3, "first": "2 days ago"}, "burst"),
        ({"dead": 4, "of": 10, "over": "3 weeks"}, "trickle"),
        ({"dead": 2, "first": "10 days ago", "last": "today"}, "trickle"),
        ({"first": "2026-03-14 06:00", "dead": 6, "of": 10}, "all_at_once"),
    ],
)
def test_the_shape_of_the_losses(
    rulebook: Rulebook, deaths: dict[str, Any], shape: str | None
) -> None:
    found = value(rulebook, "death_shape", deaths=deaths)
    assert found == (shape or "all_at_once")


@pytest.mark.parametrize(
    "deaths",
    [
        {"first": "2 days ago"},
        {"dead": 5, "of": 20},
        {"dead": 3, "of": 12, "first": "5 days ago", "last": "today"},
    ],
)
def test_a_shape_that_the_numbers_do_not_show_stays_unknown(
    rulebook: Rulebook, deaths: dict[str, Any]
) -> None:
    assert value(rulebook, "death_shape", deaths=deaths) is None


def test_animals_gone_without_a_body_are_missing(rulebook: Rulebook) -> None:
    gone = {"dead": 4, "of": 12}
    told = {"bodies": "none_found"}
    assert value(rulebook, "death_shape", deaths=gone, told=told) == "missing"


def test_a_burst_with_a_straggler_is_a_burst(rulebook: Rulebook) -> None:
    counts = [
        {"at": "2026-03-01 09:00", "dead": 4},
        {"at": "2026-03-02 09:00", "dead": 3},
        {"at": "2026-03-12 09:00", "dead": 1},
    ]
    assert value(rulebook, "death_shape", deaths={"counts": counts, "of": 30}) == "burst"


def test_one_now_and_then_is_a_trickle(rulebook: Rulebook) -> None:
    counts = [{"at": f"2026-03-{day:02}", "dead": 1} for day in (1, 4, 8, 11)]
    found = observed(rulebook, lines(deaths={"counts": counts, "of": 12}))
    assert found["death_shape"].value == "trickle"
    assert found["deaths_span_hours"].value == 240.0
    assert found["deaths_share"].value == pytest.approx(100.0 * 4 / 12)


def test_the_share_needs_to_know_how_many_there_were(rulebook: Rulebook) -> None:
    assert value(rulebook, "deaths_share", deaths={"dead": 4}) is None
    assert value(rulebook, "deaths_share", deaths={"dead": 4}, stock={"adults": 16}) == 25.0
    mixed = {"adults": 6, "juveniles": 10}
    assert value(rulebook, "deaths_share", deaths={"dead": 4}, stock=mixed) == 25.0


def test_a_body_of_today_after_older_ones_means_that_it_goes_on(rulebook: Rulebook) -> None:
    going = {"first": "5 days ago", "last": "2026-03-14 09:00", "dead": 4}
    assert value(rulebook, "deaths_go_on", deaths=going) == "present"


def test_no_body_written_down_for_a_week_is_not_yet_an_end(rulebook: Rulebook) -> None:
    over = {"first": "20 days ago", "last": "9 days ago", "dead": 4}
    assert value(rulebook, "deaths_go_on", deaths=over) is None


@pytest.mark.parametrize(
    ("first", "last", "time"),
    [
        ("2026-03-14 05:00", "2026-03-14 07:00", "dawn"),
        ("2026-03-14 08:00", "2026-03-14 09:30", "found_in_morning"),
        ("2026-03-14 11:00", "2026-03-14 15:00", "daytime"),
        ("2026-03-12 06:00", "2026-03-13 20:00", None),
        ("2026-03-12", "2026-03-13", None),
    ],
)
def test_the_hour_of_death_comes_from_clock_times_only(
    rulebook: Rulebook, first: str, last: str, time: str | None
) -> None:
    deaths = {"first": first, "last": last, "dead": 4}
    assert value(rulebook, "death_time", deaths=deaths) == time


def test_one_body_found_early_is_no_death_at_dawn(rulebook: Rulebook) -> None:
    found = value(rulebook, "death_time", deaths={"first": "2026-03-14 06:30", "dead": 1})
    assert found == "found_in_morning"


def test_what_the_keeper_says_of_the_shape_wins_over_what_the_dates_show(
    rulebook: Rulebook,
) -> None:
    deaths = {"dead": 4, "of": 10, "over": "20 h"}
    assert value(rulebook, "death_shape", deaths=deaths, told={"death_shape": "trickle"}) == (
        "trickle"
    )


def test_who_died_is_told_and_never_guessed(rulebook: Rulebook) -> None:
    arrivals = [{"what": "new-animals", "at": "2026-03-01", "count": 5}]
    deaths = {"dead": 5, "of": 15, "first": "2026-03-03"}
    assert value(rulebook, "died_newcomers", events=arrivals, deaths=deaths) is None
    told = {"died_newcomers": "only_new"}
    assert value(rulebook, "died_newcomers", events=arrivals, deaths=deaths, told=told) == (
        "only_new"
    )
