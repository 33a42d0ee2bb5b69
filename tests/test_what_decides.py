"""A measured state decides over circumstances, a reading has an age, and a hazard is named.

What each case expects is common practice, no source, where no source is named beside it.
"""

from __future__ import annotations

import pytest

from diagnose.advice.diagnosis import Diagnosis, diagnose
from diagnose.rulebook.terms import Rulebook
from tests.observed import observations, written_case

STOCK = "stock: {species: cherry shrimp, adults: 10}"
HALF_DEAD = "deaths: {dead: 5, of: 10, first: yesterday}"


def diagnosis_of(rulebook: Rulebook, *lines: str) -> Diagnosis:
    return diagnose(rulebook, observations(rulebook, written_case(rulebook, "\n".join(lines))))


def beliefs(rulebook: Rulebook, *lines: str) -> dict[str, float]:
    found = diagnosis_of(rulebook, *lines)
    return {standing.cause: standing.belief for standing in found.beliefs.standings}


CRAMMED = (
    "asked_at: 2026-03-14 09:00",
    "container: {kind: jar, volume: 6 L, planting: dense, floating_cover: full, filter: none, "
    "lid: sealed}",
    "stock: {species: cherry shrimp, adults: 20}",
    "deaths: {dead: 8, of: 20, first: 2026-03-14 06:00}",
    "seen: [at_surface]",
)


def test_air_read_at_the_hour_of_the_deaths_decides_over_plants_and_lid(rulebook: Rulebook) -> None:
    """7.5 mg/L at 22 degC is 86 % of saturation (Benson and Krause 1984): nobody suffocates."""
    told = beliefs(rulebook, *CRAMMED)
    read = beliefs(
        rulebook, *CRAMMED, "readings: [{what: oxygen, value: 7.5, at: 2026-03-14 05:30}]"
    )
    assert max(told, key=lambda cause: told[cause]) == "still-night-oxygen"
    assert read["still-night-oxygen"] < 0.1


def test_a_young_container_in_which_neither_poison_can_be_measured_is_not_to_blame(
    rulebook: Rulebook,
) -> None:
    young = ("container: {kind: jar, volume: 6 L, age: 12 days, filter: none}", STOCK, HALF_DEAD)
    told = beliefs(rulebook, *young)
    read = beliefs(
        rulebook,
        *young,
        "readings: [{what: ammonia, value: 0.1}, {what: nitrite, value: 0}, {what: ph, value: 7}, "
        "{what: temperature, value: 22}]",
    )
    assert max(told, key=lambda cause: told[cause]) == "immature-container"
    assert max(read, key=lambda cause: read[cause]) != "immature-container"
    assert read["immature-container"] < 0.2


@pytest.mark.parametrize(
    ("reading", "cause"),
    [
        ("{what: ph, value: 3.2}", "ph-crash"),
        ("{what: temperature, value: 40 C}", "overheating"),
        ("{what: copper, value: 0.5 mg/L}", "copper-or-metal"),
    ],
)
def test_an_extreme_value_alone_decides(rulebook: Rulebook, reading: str, cause: str) -> None:
    found = beliefs(rulebook, STOCK, HALF_DEAD, f"readings: [{reading}]")
    assert max(found, key=lambda name: found[name]) == cause


def test_water_without_air_suffocates_whatever_took_it(rulebook: Rulebook) -> None:
    found = diagnosis_of(
        rulebook, STOCK, HALF_DEAD, "readings: [{what: oxygen, value: 0.4 mg/L}]"
    ).beliefs.first
    assert found.mechanism == "suffocation"


@pytest.mark.parametrize(
    ("reading", "cause"),
    [
        ("{what: ph, value: 5.0, at: 2 years ago}", "ph-crash"),
        ("{what: temperature, value: 33 C, at: 13 days ago}", "overheating"),
    ],
)
def test_a_reading_too_old_to_matter_says_nothing(
    rulebook: Rulebook, reading: str, cause: str
) -> None:
    without = beliefs(rulebook, STOCK, HALF_DEAD)
    old = beliefs(rulebook, STOCK, HALF_DEAD, f"readings: [{reading}]")
    assert old[cause] == pytest.approx(without[cause], abs=0.02)


@pytest.mark.parametrize(
    ("lines", "cause"),
    [
        (
            (
                "container: {kind: tank, volume: 10 L, filter: running}",
                STOCK,
                "events: [{what: heater-off}]",
                "readings: [{what: temperature, value: 12 C}]",
            ),
            "chilling",
        ),
        (
            (
                "container: {kind: tank, volume: 5 L, planting: none, filter: none}",
                "stock: {species: cherry shrimp, adults: 28}",
            ),
            "overcrowding",
        ),
        (
            (
                "container: {kind: tank, volume: 10 L}",
                STOCK,
                "events: [{what: water-change, share: 50 %, conditioner: none, at: an hour ago}]",
            ),
            "chlorine-in-tap",
        ),
    ],
    ids=["heater-left-off", "crowd-in-a-bare-tank", "met-tap-water"],
)
def test_where_all_seems_well_a_told_hazard_is_named(
    rulebook: Rulebook, lines: tuple[str, ...], cause: str
) -> None:
    found = diagnosis_of(rulebook, *lines, "deaths: none", "seen: [survivors_normal]")
    first = found.beliefs.first.cause
    assert cause == first or cause in {threat.cause for threat in found.threats}


def test_a_healthy_tank_without_a_word_of_deaths_is_well(rulebook: Rulebook) -> None:
    found = beliefs(
        rulebook,
        "container: {kind: tank, volume: 20 L, planting: moderate, filter: running, age: 8 months}",
        "stock: {species: cherry shrimp, adults: 25, berried: 2}",
    )
    assert found["nothing-wrong"] > 0.5


def test_a_poison_needs_a_way_in(rulebook: Rulebook) -> None:
    """A bare jar with ammonia, or a capful of fertiliser, is no sign of an insecticide."""
    crowded = beliefs(
        rulebook,
        "container: {kind: jar, volume: 3 L, planting: none, filter: none}",
        "stock: {species: cherry shrimp, adults: 15}",
        "deaths: {dead: 6, of: 15, first: 2 days ago}",
        "readings: [{what: ammonia, value: 0.5 mg/L}, {what: nitrite, value: 0.5 mg/L}]",
    )
    dosed = beliefs(
        rulebook,
        STOCK,
        "events: [{what: fertiliser, at: 1 day before the first death, amount: a capful}]",
        HALF_DEAD,
    )
    assert crowded["insecticide"] < 0.05 < crowded["overcrowding"]
    assert max(dosed, key=lambda cause: dosed[cause]) == "fertiliser-overdose"
    assert dosed["insecticide"] < 0.05
