"""From a case to the container model: what is told is taken, what is not is said to be assumed."""

from __future__ import annotations

import pytest

from diagnose.bowl.description import Event
from diagnose.bowl.modelled import ModelledCase, TooLittle
from diagnose.findings.modelled_case import from_case
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook
from tests.observed import ASKED_AT, written_case

TOLD = """\
asked_at: 2026-03-14 18:00
container: {kind: bowl, volume: 5 L, age: 6 months, planting: dense, filter: none, heater: none,
  sun: none, room_temperature: 22 C, topup: mineral_free, change: {share: 40 %, every: 10 days}}
stock: {species: cherry shrimp, females: 6, males: 4, juveniles: 8, berried: 2,
  feeding: {per_feed: 20 mg, times: 3 a week}}
"""


def modelled(rulebook: Rulebook, text: str, days_back: int = 14) -> ModelledCase:
    case = written_case(rulebook, text)
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    found = from_case(case, species, now=case.asked_at or ASKED_AT, days_back=days_back)
    assert isinstance(found, ModelledCase), found
    return found


def of_kind(found: ModelledCase, kind: str) -> list[Event]:
    return [event for event in found.events if event.kind == kind]


def test_what_is_told_is_taken_as_told(rulebook: Rulebook) -> None:
    found = modelled(rulebook, TOLD)
    bowl = found.bowl
    assert bowl.container.volume_l == 5.0
    assert bowl.container.planting == "dense"
    assert (bowl.stock.females, bowl.stock.males, bowl.stock.juveniles) == (6, 4, 8)
    assert bowl.stock.berried == 2
    assert bowl.habits.feed_mg_per_day == pytest.approx(60 / 7)
    assert (bowl.habits.change_share, bowl.habits.change_interval_days) == (0.4, 10.0)
    assert bowl.habits.topup == "mineral_free"
    assert bowl.room.min_c is not None and bowl.room.max_c is not None
    assert (bowl.room.min_c + bowl.room.max_c) / 2 == pytest.approx(22.0)
    assert bowl.hour_of_day == 18.0


def test_the_film_is_as_old_as_the_container_was_when_the_run_begins(rulebook: Rulebook) -> None:
    found = modelled(rulebook, TOLD, days_back=14)
    assert found.bowl.container.biofilm_age_days == pytest.approx(6 * 30.4375 - 14, abs=1.5)


def test_a_jar_younger_than_the_run_begins_with_its_first_day(rulebook: Rulebook) -> None:
    found = modelled(rulebook, TOLD.replace("6 months", "5 days"))
    assert found.first_hour == -5 * 24
    assert found.bowl.container.biofilm_age_days == 0.0


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("stock: {adults: 9}", "volume"),
        ("container: {volume: 5 L}", "number of shrimp"),
        ("container: {volume: 5 L, opening_area: 90000 cm2}\nstock: {adults: 5}", ""),
    ],
)
def test_where_too_little_is_known_there_is_a_reason_and_no_model(
    rulebook: Rulebook, text: str, needs: str
) -> None:
    case = written_case(rulebook, text)
    found = from_case(case, species_of(rulebook, None), now=ASKED_AT)
    if needs:
        assert isinstance(found, TooLittle)
        assert needs in found.reason
    else:
        assert isinstance(found, ModelledCase | TooLittle)


@pytest.mark.parametrize(
    ("left_out", "name", "says"),
    [
        ("planting: dense, ", "planting", "how many plants"),
        ("age: 6 months, ", "age", "age of the container"),
        ("sun: none, ", "sun", "sun on the glass"),
        ("room_temperature: 22 C, ", "room", "how warm the room"),
        (",\n  feeding: {per_feed: 20 mg, times: 3 a week}", "feeding", "amount of food"),
        (", change: {share: 40 %, every: 10 days}", "changes", "water changes"),
    ],
)
def test_what_is_not_told_is_said_to_be_assumed(
    rulebook: Rulebook, left_out: str, name: str, says: str
) -> None:
    full = modelled(rulebook, TOLD)
    assert left_out in TOLD
    assert name not in full.untold
    found = modelled(rulebook, TOLD.replace(left_out, ""))
    assert name in found.untold
    assert any(says in sentence for sentence in found.assumed)
    assert not any(says in sentence for sentence in full.assumed)


def test_what_matters_and_is_not_known_is_drawn_widely(rulebook: Rulebook) -> None:
    found = modelled(rulebook, TOLD.replace("planting: dense, ", ""))
    low, _, high = found.widened["plants_wet_g_l_moderate"]
    assert high > 10 * low


def test_animals_that_came_in_the_log_were_not_there_before(rulebook: Rulebook) -> None:
    log = "events:\n  - {what: new-animals, at: 5 days ago, count: 4}\n"
    found = modelled(rulebook, TOLD + log)
    assert found.bowl.stock.females + found.bowl.stock.males == 6
    assert sum(event.count for event in of_kind(found, "animals_added")) == 4
    assert {event.hour for event in of_kind(found, "animals_added")} == {-120}


def test_the_dead_are_lost_and_their_bodies_lifted_out(rulebook: Rulebook) -> None:
    found = modelled(rulebook, TOLD + "deaths: {first: 3 days ago, dead: 4, of: 18}\n")
    assert sum(event.count for event in of_kind(found, "deaths")) == pytest.approx(4)
    assert of_kind(found, "bodies_removed")
    left = modelled(
        rulebook,
        TOLD + "deaths: {first: 3 days ago, dead: 4, of: 18}\nseen: [body_left_inside]\n",
    )
    assert not of_kind(left, "bodies_removed")


def test_where_the_log_names_changes_no_routine_change_is_added(rulebook: Rulebook) -> None:
    found = modelled(
        rulebook, TOLD + "events:\n  - {what: water-change, at: 4 days ago, share: 70 %}\n"
    )
    assert found.silent == ("water_change",)
    assert found.log_from_hour == -96
    assert [event.share for event in of_kind(found, "water_change")] == [0.7]


def test_pieces_of_food_that_are_soon_gone_weigh_no_more_than_can_be_eaten(
    rulebook: Rulebook,
) -> None:
    feeding = "feeding: {per_feed: 20 mg, times: 3 a week}"
    often = "feeding: {per_feed: one pinch, times: 5 a day, eaten_within: 2 h}"
    found = modelled(rulebook, TOLD.replace(feeding, often))
    mass_mg = 10 * 40 + 8 * 13
    assert found.bowl.habits.feed_mg_per_day == pytest.approx(0.07 * mass_mg)


def test_a_small_pellet_is_a_granule_and_a_large_one_a_tablet(rulebook: Rulebook) -> None:
    """One or two small pellets five or six times a day is usual for a bowl of ten; such a pellet
    is a granule of 0.5 to 4 mg (common practice, no source).
    """
    feeding = "feeding: {per_feed: 20 mg, times: 3 a week}"
    day_mg = []
    for piece in ("one small pellet", "one granule", "one large pellet", "one tablet"):
        often = f"feeding: {{per_feed: {piece}, times: 5 a day}}"
        found = modelled(rulebook, TOLD.replace(feeding, often))
        day_mg.append(found.bowl.habits.feed_mg_per_day)
    assert day_mg[0] == day_mg[1] == pytest.approx(7.5)
    assert day_mg[2] == day_mg[3] == pytest.approx(1250.0)


def test_readings_carry_the_time_and_the_unit_of_the_model(rulebook: Rulebook) -> None:
    found = modelled(
        rulebook,
        TOLD + "readings:\n"
        "  - {what: nitrate, value: 44.3 mg/L, at: 2026-03-13 18:00}\n"
        "  - {what: temperature, value: 23 C, at: 2026-03-12}\n",
    )
    by_name = {reading.quantity: reading for reading in found.readings}
    assert by_name["nitrate_n_mg_l"].value == pytest.approx(10.0, rel=0.01)
    assert by_name["nitrate_n_mg_l"].hour == -24
    # A day without an hour: the swing of the day blurs it.
    assert by_name["temperature_c"].sd == 1.5


def test_the_order_of_the_log_changes_nothing(rulebook: Rulebook) -> None:
    lines = [
        "  - {what: water-change, at: 4 days ago, share: 30 %}\n",
        "  - {what: heavy-feed, at: 2 days ago}\n",
        "  - {what: new-animals, at: 6 days ago, count: 2}\n",
    ]
    one = modelled(rulebook, TOLD + "events:\n" + "".join(lines))
    other = modelled(rulebook, TOLD + "events:\n" + "".join(reversed(lines)))
    assert one == other
