"""When things happened, as keepers say it."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.intake.moments import (
    Moment,
    hours_before_asking,
    hours_before_first_death,
    read_moment,
)
from diagnose.intake.problems import Unreadable
from diagnose.intake.writing import spell_moment

ASKED_AT = datetime(2026, 3, 15, 9, 0)


def before_asking(text: str, first_death: Moment | None = None) -> float | None:
    return hours_before_asking(read_moment(text), asked_at=ASKED_AT, first_death=first_death)


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ("now", 0),
        ("2 days ago", 48),
        ("36 h ago", 36),
        ("90 minutes ago", 1.5),
        ("half an hour ago", 0.5),
        ("a week ago", 168),
        ("a fortnight ago", 336),
        ("about 3 hours ago", 3),
        ("a couple of days ago", 48),
        ("2 days ago 08:00", 49),
        ("three days ago at 21:30", 59.5),
        ("5 days ago, in the morning", 121),
        ("one day ago evening", 13),
        ("yesterday evening", 13),
        ("yesterday", 21),
        ("yesterday at 21:30", 11.5),
        ("this morning", 1),
        ("last night", 7),
        ("the day before yesterday", 45),
        ("2026-03-14 21:30", 11.5),
        ("2026-03-14T21:30", 11.5),
        ("2026-03-14 21:30:00", 11.5),
        ("2026-03-14 evening", 13),
        ("2026-03-14", 21),
    ],
)
def test_a_time_is_so_many_hours_before_asking(said: str, hours: float) -> None:
    assert before_asking(said) == pytest.approx(hours)


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ("36 h before the first death", 36),
        ("2 days before first death", 48),
        ("at the first death", 0),
        ("3 h after the first death", -3),
        ("three days after the first body", -72),
    ],
)
def test_a_time_around_the_first_death_needs_no_date(said: str, hours: float) -> None:
    moment = read_moment(said)
    told = hours_before_first_death(moment, asked_at=ASKED_AT, first_death=None)
    assert told == pytest.approx(hours)


def test_a_time_around_a_dated_first_death_has_a_date() -> None:
    assert before_asking("36 h before the first death", read_moment("2 days ago")) == 84
    assert before_asking("3 h after the first death", read_moment("2 days ago")) == 45


def test_without_a_first_death_the_hours_to_it_are_unknown() -> None:
    moment = read_moment("2 days ago")
    assert hours_before_first_death(moment, asked_at=ASKED_AT, first_death=None) is None
    assert before_asking("36 h before the first death") is None


def test_a_date_and_a_spoken_time_meet() -> None:
    change, death = read_moment("2026-03-12 09:00"), read_moment("24 h ago")
    assert hours_before_first_death(change, asked_at=ASKED_AT, first_death=death) == 48


@pytest.mark.parametrize("said", ["yesterday", "2026-03-14", "2 days ago", "a week ago", "today"])
def test_a_day_alone_tells_no_hour(said: str) -> None:
    assert not read_moment(said).clock_told


@pytest.mark.parametrize("said", ["yesterday at 07:10", "2026-03-14 07:10", "5 hours ago"])
def test_a_clock_or_a_count_of_hours_tells_the_hour(said: str) -> None:
    assert read_moment(said).clock_told


@pytest.mark.parametrize(
    "said",
    [
        "",
        "soon",
        "last week sometime",
        "25 o'clock",
        "2026-13-01",
        "2026-03-01 25:00",
        "yesterday at 24:10",
        "yesterday teatime",
        "3 moons ago",
        "two ago",
        "2026-03-10T10:00Z",
        "2026-03-10 10:00 +01:00",
        "last evening",
        "this",
        "12 h before the second death",
        "5",
        "200 years ago",
    ],
)
def test_a_time_nobody_can_place_is_refused_with_an_example(said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        read_moment(said)
    assert caught.value.hint


@pytest.mark.parametrize("value", [5, 3.5, None, ["2 days ago"], True])
def test_a_time_that_is_not_text_is_refused(value: object) -> None:
    with pytest.raises(Unreadable):
        read_moment(value)


def test_python_dates_are_times_too() -> None:
    assert read_moment(date(2026, 3, 14)).at == datetime(2026, 3, 14, 12)
    assert read_moment(datetime(2026, 3, 14, 7, 10)).at == datetime(2026, 3, 14, 7, 10)


@given(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)))
def test_a_date_written_down_reads_back(at: datetime) -> None:
    at = at.replace(second=0, microsecond=0)
    moment = Moment("absolute", at=at)
    assert read_moment(spell_moment(moment)).at == at


@given(st.floats(0, 5000), st.sampled_from(["before_asking", "from_first_death"]), st.booleans())
def test_a_span_of_hours_written_down_reads_back(hours: float, kind: str, before: bool) -> None:
    hours = round(hours, 3)
    if kind == "from_first_death" and before:
        hours = -hours
    moment = Moment(kind, hours=hours)  # type: ignore[arg-type]
    assert read_moment(spell_moment(moment)).hours == pytest.approx(hours)


@given(st.integers(0, 2), st.integers(0, 23 * 60))
def test_a_clock_time_of_a_named_day_reads_back(days: int, minutes: int) -> None:
    moment = Moment("day_before_asking", hours=minutes / 60, days=days)
    back = read_moment(spell_moment(moment))
    assert (back.kind, back.days) == ("day_before_asking", days)
    assert back.hours == pytest.approx(minutes / 60)


@given(st.floats(0, 5000), st.floats(0, 5000))
def test_hours_to_the_first_death_are_the_difference_of_hours_to_asking(
    event: float, death: float
) -> None:
    asked = ASKED_AT + timedelta(hours=1)
    told = hours_before_first_death(
        Moment("before_asking", hours=event),
        asked_at=asked,
        first_death=Moment("before_asking", hours=death),
    )
    assert told == pytest.approx(event - death)
