"""Facts every keeper of bowls goes by, each in both directions: kept to, it is not to blame;
broken, it is named.

All of them are common practice, no source. The well-run bowl below is told in their words: one to
two US gallons without heater or filter, low 20s C, half the water a week, tiny feeds soon eaten,
five to ten grown shrimp.
"""

from __future__ import annotations

import copy
from datetime import datetime
from typing import Any

import pytest
import yaml

from diagnose.advice.diagnosis import Diagnosis, diagnose
from diagnose.belief.belief import Beliefs
from diagnose.findings.observed_case import observed_text
from diagnose.rulebook.terms import Rulebook

ASKED = datetime(2026, 3, 12, 18, 0)
#: What is not to blame may be believed no more than this.
NOT_TO_BLAME = 0.10

#: Common practice, no source: the bowl of the trade, with one death of an old animal.
WELL_RUN: dict[str, Any] = {
    "case": "well-run-bowl",
    "asked_at": "2026-03-12 18:00",
    "container": {
        "kind": "bowl",
        "volume": "1.5 gal",
        "age": "14 months",
        "filter": "none",
        "heater": "none",
        "planting": "moderate",
        "sun": "none",
        "water_source": "tap",
        "conditioner": "always",
        "change": {"share": "50 %", "every": "7 days"},
    },
    "stock": {
        "species": "cherry shrimp",
        "adults": 8,
        "kept": "14 months",
        "feeding": {"per_feed": "one small pellet", "times": "5 a day", "eaten_within": "2.5 h"},
    },
    "events": [
        {
            "what": "water-change",
            "at": "4 days before the first death",
            "share": "50 %",
            "temperature": "23 C",
            "conditioner": "full",
        }
    ],
    "readings": [
        {"what": "temperature", "value": "23.5 C", "at": "2026-03-11 15:00"},
        {"what": "temperature", "value": "22.5 C", "at": "2026-03-12 07:00"},
    ],
    "deaths": {"first": "today morning", "dead": 1, "of": 8},
    "seen": ["survivors_normal"],
    "told": {"died_sizes": "large_first"},
}
#: Common practice, no source: losses as they look when something is wrong, in place of the one.
LOSING_SOME: dict[str, Any] = {
    "deaths": {"first": "6 days ago", "last": "today", "dead": 3, "of": 8},
    "seen": [],
    "told": {},
}
LOSING_MANY_TODAY: dict[str, Any] = {
    "deaths": {"first": "2026-03-12 08:00", "last": "2026-03-12 16:00", "dead": 6, "of": 8},
    "seen": [],
    "told": {},
}


def but(*differences: dict[str, Any]) -> dict[str, Any]:
    """The well-run bowl with some things otherwise. A section is laid over, a list replaced."""
    case = copy.deepcopy(WELL_RUN)
    for difference in differences:
        for key, value in difference.items():
            if isinstance(value, dict) and value and key in ("container", "stock"):
                case[key] = {**case[key], **value}
            else:
                case[key] = value
    return case


def diagnosis(rulebook: Rulebook, case: dict[str, Any]) -> Diagnosis:
    written = yaml.safe_dump(case).encode()
    observed = observed_text(written, "bowl.yaml", rulebook, now=ASKED)
    return diagnose(rulebook, observed.observations)


def beliefs(rulebook: Rulebook, *differences: dict[str, Any]) -> Beliefs:
    return diagnosis(rulebook, but(*differences)).beliefs


def change(**told: Any) -> dict[str, Any]:
    """The last water change, otherwise as in the well-run bowl."""
    return {"events": [{**WELL_RUN["events"][0], **told}]}


def temperatures(*night_and_day_c: tuple[float, float]) -> dict[str, Any]:
    """Readings at six and at three o'clock of the last days."""
    days = range(12 - len(night_and_day_c), 12)
    return {
        "readings": [
            {"what": "temperature", "value": f"{value} C", "at": f"2026-03-{day:02} {clock}"}
            for day, pair in zip(days, night_and_day_c, strict=True)
            for value, clock in zip(pair, ("06:00", "15:00"), strict=True)
        ]
    }


@pytest.mark.parametrize("gallons", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("adults", [5, 8, 10])
def test_a_well_run_bowl_that_lost_an_old_shrimp_is_told_so(
    rulebook: Rulebook, gallons: float, adults: int
) -> None:
    """Common practice, no source: all of the facts at once."""
    found = beliefs(
        rulebook,
        {"container": {"volume": f"{gallons} gal"}, "stock": {"adults": adults}},
        {"deaths": {"first": "today morning", "dead": 1, "of": adults}},
    )
    assert found.first.cause in {"old-age", "natural-loss"}
    for cause in (
        "overfeeding",
        "overcrowding",
        "chilling",
        "overheating",
        "temperature-swings",
        "chlorine-in-tap",
        "old-water",
        "mismatched-change-water",
        "immature-container",
        "still-night-oxygen",
    ):
        assert found.of(cause).belief <= NOT_TO_BLAME, cause


def test_a_worried_keeper_of_a_well_run_bowl_hears_that_nothing_is_wrong(
    rulebook: Rulebook,
) -> None:
    """Common practice, no source: the same bowl, and nobody has died."""
    found = beliefs(
        rulebook,
        {"deaths": {"dead": 0}, "told": {}, "events": []},
        {"seen": ["survivors_normal", "young_thrive"]},
    )
    assert found.first.cause == "nothing-wrong"


@pytest.mark.parametrize("fahrenheit", [72, 74, 76])
def test_the_mid_seventies_are_neither_hot_nor_cold(rulebook: Rulebook, fahrenheit: int) -> None:
    """Common practice, no source: fine at a steady mid-70s F or low 20s C, without a heater."""
    reading = {"what": "temperature", "value": f"{fahrenheit} F", "at": "today"}
    found = beliefs(rulebook, {"readings": [reading]}, LOSING_SOME)
    assert found.of("overheating").belief <= NOT_TO_BLAME
    assert found.of("chilling").belief <= NOT_TO_BLAME


def test_a_bowl_at_ninety_fahrenheit_is_too_hot(rulebook: Rulebook) -> None:
    """Common practice, no source: the other direction of the mid-70s."""
    hot = {
        "readings": [{"what": "temperature", "value": "93 F", "at": "2026-03-12 07:30"}],
        "events": [{"what": "heat-wave", "at": "1 day before the first death"}],
    }
    assert beliefs(rulebook, hot, LOSING_MANY_TODAY).first.cause == "overheating"


def test_a_bowl_at_forty_five_fahrenheit_is_too_cold(rulebook: Rulebook) -> None:
    """Common practice, no source: the other direction of the mid-70s."""
    cold = {
        "readings": [{"what": "temperature", "value": "45 F", "at": "2026-03-12 07:30"}],
        "events": [{"what": "cold-spell", "at": "20 h before the first death"}],
    }
    assert beliefs(rulebook, cold, LOSING_SOME).first.cause == "chilling"


def test_a_bowl_on_a_sunny_sill_swings(rulebook: Rulebook) -> None:
    """Common practice, no source: not on a sunny sill."""
    sill = {"container": {"sun": "long", "window": "south"}}
    swings = temperatures((17, 28), (18, 29), (17, 28))
    found = beliefs(rulebook, sill, swings, LOSING_SOME)
    assert found.first.cause in {"temperature-swings", "overheating"}
    shade = beliefs(rulebook, temperatures((22, 23), (22, 23.5), (22, 23)), LOSING_SOME)
    assert shade.of("temperature-swings").belief <= NOT_TO_BLAME


def test_the_sunny_sill_alone_makes_swings_likelier(rulebook: Rulebook) -> None:
    """Common practice, no source: nobody measured, but the sun stands on the glass."""
    sill = beliefs(
        rulebook, {"container": {"sun": "long"}, "readings": [], "events": []}, LOSING_SOME
    )
    shade = beliefs(rulebook, {"readings": [], "events": []}, LOSING_SOME)
    assert sill.of("temperature-swings").belief > 2.0 * shade.of("temperature-swings").belief


def test_small_volumes_swing_faster_than_large_ones(rulebook: Rulebook) -> None:
    """Common practice, no source."""
    unmeasured: dict[str, Any] = {"readings": [], "events": []}

    def swings(volume: str) -> float:
        sill = {"container": {"volume": volume, "sun": "long"}, "stock": {"adults": 8}}
        found = beliefs(rulebook, sill, unmeasured, LOSING_SOME)
        return found.of("temperature-swings").score

    assert swings("2 L") > swings("8 L") > swings("40 L")


def test_treated_water_as_warm_as_the_old_is_not_to_blame(rulebook: Rulebook) -> None:
    """Common practice, no source: half the water a week, dechlorinated, of the same temperature."""
    yesterday = change(at="10 h before the first death")
    found = beliefs(rulebook, yesterday, LOSING_SOME)
    assert found.of("chlorine-in-tap").belief <= NOT_TO_BLAME
    assert found.of("mismatched-change-water").belief <= NOT_TO_BLAME
    assert found.of("old-water").belief <= NOT_TO_BLAME


def test_untreated_tap_water_at_the_weekly_change_is_named(rulebook: Rulebook) -> None:
    """Common practice, no source: the weekly half, but nobody treated it."""
    untreated = change(at="5 h before the first death", conditioner="none")
    assert beliefs(rulebook, untreated, LOSING_MANY_TODAY).first.cause == "chlorine-in-tap"


@pytest.mark.parametrize("new_water", ["8 C", "37 C"])
def test_change_water_far_colder_or_warmer_is_named(rulebook: Rulebook, new_water: str) -> None:
    """Common practice, no source: of the same temperature."""
    mismatched = change(at="2 h before the first death", temperature=new_water)
    assert beliefs(rulebook, mismatched, LOSING_MANY_TODAY).first.cause == "mismatched-change-water"


def test_water_left_unchanged_for_months_is_named(rulebook: Rulebook) -> None:
    """Common practice, no source: about half is changed every week."""
    neglected = {
        "container": {"change": {"share": "50 %", "every": "150 days"}},
        "events": [{"what": "water-change", "at": "2025-10-10", "share": "50 %"}],
        "readings": [{"what": "nitrate", "value": "160 mg/L", "at": "today"}],
        "deaths": {"first": "6 weeks ago", "last": "today", "dead": 4, "of": 8},
        "seen": [],
        "told": {},
    }
    assert beliefs(rulebook, neglected).first.cause == "old-water"


@pytest.mark.parametrize("pellets", ["one small pellet", "two small pellets"])
@pytest.mark.parametrize("times", ["5 a day", "6 a day"])
def test_one_or_two_pellets_eaten_within_three_hours_are_no_overfeeding(
    rulebook: Rulebook, pellets: str, times: str
) -> None:
    """Common practice, no source: one or two small pellets, five or six times a day, eaten within
    two to three hours.
    """
    for hours in ("2 h", "3 h"):
        feeding = {"per_feed": pellets, "times": times, "eaten_within": hours}
        found = beliefs(rulebook, {"stock": {"feeding": feeding}}, LOSING_SOME)
        assert found.of("overfeeding").belief <= NOT_TO_BLAME


def test_food_left_after_three_hours_of_large_feeds_is_overfeeding(rulebook: Rulebook) -> None:
    """Common practice, no source: what is left rots."""
    feeding = {"per_feed": "a large pinch", "times": "5 a day", "eaten_within": "6 h"}
    found = beliefs(
        rulebook, {"stock": {"feeding": feeding}}, LOSING_SOME, {"seen": ["cloudy_water"]}
    )
    assert found.first.cause == "overfeeding"
    assert found.first.mechanism == "ammonia-poisoning"


@pytest.mark.parametrize("adults", [5, 10])
def test_five_to_ten_grown_shrimp_are_not_too_many(rulebook: Rulebook, adults: int) -> None:
    """Common practice, no source: five to ten are a safe stock of a bowl of one to two gallons."""
    few = {"stock": {"adults": adults}, "container": {"volume": "1 gal"}}
    found = beliefs(rulebook, few, LOSING_SOME)
    assert found.of("overcrowding").belief <= NOT_TO_BLAME


@pytest.mark.parametrize("adults", [200, 250, 300])
def test_two_or_three_hundred_are_too_many(rulebook: Rulebook, adults: int) -> None:
    """Common practice, no source: two or three hundred would die continually."""
    dying = {
        "deaths": {"first": "20 days ago", "last": "today", "dead": 30, "of": adults},
        "seen": [],
        "told": {},
    }
    found = beliefs(rulebook, {"stock": {"adults": adults}}, dying)
    assert found.first.cause == "overcrowding"


def test_the_well_run_bowl_is_overcrowded_with_250_animals_and_nothing_else_changed(
    rulebook: Rulebook,
) -> None:
    """Common practice, no source: only the number is another, down to the one old body."""
    one = {"first": "today morning", "dead": 1, "of": 250}
    found = beliefs(rulebook, {"stock": {"adults": 250}, "deaths": one})
    assert found.first.cause == "overcrowding"


def test_a_female_raises_thirty_to_fifty_young_every_four_to_six_weeks(rulebook: Rulebook) -> None:
    """Common practice, no source: the profile of the hardy kind must allow for it."""
    hardy = rulebook.species["hardy-dwarf"]
    low, high = hardy.ranges["brood_size"]
    assert low <= 30 and high >= 50
    shortest, longest = hardy.ranges["brood_interval_days"]
    assert 4 * 7 <= shortest <= 6 * 7 <= longest


def test_many_young_are_no_sign_of_trouble(rulebook: Rulebook) -> None:
    """Common practice, no source: forty young of one brood do not crowd a bowl of eight."""
    brood = {"stock": {"hatchlings": 40}, "deaths": {"first": "today morning", "dead": 1, "of": 48}}
    found = beliefs(rulebook, brood, {"seen": ["survivors_normal", "young_thrive"]})
    assert found.first.cause in {"old-age", "natural-loss"}
    assert found.of("overcrowding").belief <= NOT_TO_BLAME


AT_DAWN: dict[str, Any] = {
    "deaths": {"first": "2026-03-12 05:30", "last": "2026-03-12 07:00", "dead": 5, "of": 8},
    "seen": ["at_surface"],
    "told": {"death_time": "dawn"},
}


def test_in_still_water_the_night_takes_the_oxygen(rulebook: Rulebook) -> None:
    """Common practice, no source: without surface movement plants in light keep oxygen up, so the
    dark hours of a bowl full of plants are the ones to fear.
    """
    full = {"container": {"planting": "dense", "floating_cover": "full"}}
    assert beliefs(rulebook, full, AT_DAWN).first.cause == "still-night-oxygen"


def test_in_the_light_plants_keep_the_oxygen_up(rulebook: Rulebook) -> None:
    """Common practice, no source: deaths late in the lit hours are not for want of oxygen."""
    in_the_light = {
        "deaths": {"first": "2026-03-11 16:00", "last": "2026-03-11 19:00", "dead": 5, "of": 8},
        "seen": [],
        "told": {"death_time": "late_light"},
    }
    found = beliefs(rulebook, {"container": {"planting": "dense"}}, in_the_light)
    assert found.of("still-night-oxygen").belief <= NOT_TO_BLAME


def test_a_moved_surface_clears_the_night(rulebook: Rulebook) -> None:
    """Common practice, no source: surface movement keeps oxygen up in the dark as well."""
    moved = {"container": {"filter": "running", "surface_moved": True, "planting": "dense"}}
    still = {"container": {"planting": "dense"}}
    rippled = beliefs(rulebook, moved, AT_DAWN).of("still-night-oxygen")
    unmoved = beliefs(rulebook, still, AT_DAWN).of("still-night-oxygen")
    assert rippled.belief < unmoved.belief
    assert rippled.evidence_decibans <= unmoved.evidence_decibans - 10.0 + 1e-9


def test_glass_and_leaves_carry_fewer_animals_than_a_filter(rulebook: Rulebook) -> None:
    """Common practice, no source: the bacteria on glass, leaves and gravel are far fewer than in a
    filter.
    """
    many = {"stock": {"adults": 60}, "deaths": {**LOSING_SOME["deaths"], "of": 60}}
    bare = beliefs(rulebook, LOSING_SOME, many)
    filtered = beliefs(rulebook, LOSING_SOME, many, {"container": {"filter": "running"}})
    assert bare.first.cause == "overcrowding"
    assert filtered.of("overcrowding").score < bare.of("overcrowding").score


@pytest.mark.parametrize(
    ("difference", "cause"),
    [
        ({"container": {"age": "12 days"}, "stock": {"kept": "8 days"}}, "immature-container"),
        (
            {"events": [{"what": "scrubbed", "at": "3 days before the first death"}]},
            "lost-biofilter",
        ),
    ],
)
def test_the_few_bacteria_of_a_bowl_are_soon_missed(
    rulebook: Rulebook, difference: dict[str, Any], cause: str
) -> None:
    """Common practice, no source: they have not settled in a new bowl, and scrubbing takes them."""
    ammonia = {
        "readings": [
            {"what": "ammonia", "value": "2 mg/L", "at": "today"},
            {"what": "temperature", "value": "23 C", "at": "today"},
            {"what": "ph", "value": 7.6, "at": "today"},
        ]
    }
    assert beliefs(rulebook, LOSING_SOME, ammonia, difference).first.cause == cause


def test_a_settled_bowl_without_ammonia_has_its_bacteria(rulebook: Rulebook) -> None:
    """Common practice, no source: the other direction."""
    clean = {
        "readings": [
            {"what": "ammonia", "value": "0 mg/L", "at": "today"},
            {"what": "nitrite", "value": "0 mg/L", "at": "today"},
        ]
    }
    found = beliefs(rulebook, LOSING_SOME, clean)
    assert found.of("immature-container").belief <= NOT_TO_BLAME
    assert found.of("lost-biofilter").belief <= NOT_TO_BLAME
