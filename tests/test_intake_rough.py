"""Amounts as keepers tell them: ranges, bounds, about, and words. The words are common practice, no
source; what is checked against is how people use them.
"""

from __future__ import annotations

import copy
import math
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.intake import quantities as q
from diagnose.intake.amounts import read_amount, read_every
from diagnose.intake.doses import read_dose
from diagnose.intake.moments import read_moment
from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import Rough, RoughCount, closed, ends, image, rough

INF = math.inf


@pytest.mark.parametrize(
    ("said", "measure", "low", "high"),
    [
        ("5-6", q.PH, 5, 6),
        ("5 to 6 L", q.VOLUME, 5, 6),
        ("20-21 C", q.TEMPERATURE, 20, 21),
        ("between 5 and 6", q.PH, 5, 6),
        ("4\u20136 dGH", q.GENERAL_HARDNESS, 4, 6),
        ("<0.25", q.CONCENTRATION, 0, 0.25),
        ("less than 0.25 ppm", q.CONCENTRATION, 0, 0.25),
        ("under 5 L", q.VOLUME, 0.05, 5),
        ("over 35 C", q.TEMPERATURE, 35, INF),
        ("at least 10 dGH", q.GENERAL_HARDNESS, 10, INF),
        ("10 dGH or more", q.GENERAL_HARDNESS, 10, INF),
        ("over 10 dKH", q.CARBONATE_HARDNESS, 10, INF),
        ("more than half", q.SHARE, 50, 90),
        ("over 40 %", q.SHARE, 40, 100),
        ("about 6 L", q.VOLUME, 5.1, 6.9),
        ("about 24 C", q.TEMPERATURE, 23, 25),
        ("nearly 10 L", q.VOLUME, 8.5, 10),
        ("a few weeks", q.DAYS, 14, 28),
        ("a few days", q.DAYS, 2, 4),
        ("2-3 weeks", q.DAYS, 14, 21),
        ("less than a week", q.DAYS, 0, 7),
        ("70-75 F", q.TEMPERATURE, 21.11, 23.89),
    ],
)
def test_a_range_a_bound_or_about_is_an_interval(
    said: str, measure: q.Measure, low: float, high: float
) -> None:
    found = q.read_quantity(said, measure)
    assert ends(found) == (pytest.approx(low, abs=0.01), pytest.approx(high, abs=0.01))


@pytest.mark.parametrize(
    "said",
    [
        "new",
        "just set up",
        "recently",
        "several months",
        "some months",
        "long-running",
        "years",
        "established",
        "mature",
        "a few weeks",
        "months",
        "half a year",
    ],
)
def test_an_age_in_words_is_a_span_of_days(said: str) -> None:
    low, high = ends(q.read_quantity(said, q.DAYS))
    assert 0.0 <= low < high < 4000.0


@pytest.mark.parametrize("said", ["small", "a little", "large", "most", "nearly all"])
def test_a_share_in_words_is_an_interval(said: str) -> None:
    low, high = ends(q.read_quantity(said, q.SHARE))
    assert 0.0 < low < high <= 100.0


@pytest.mark.parametrize(("said", "percent"), [("half", 50.0), ("all", 100.0), ("none", 0.0)])
def test_half_and_all_are_exact(said: str, percent: float) -> None:
    assert q.read_quantity(said, q.SHARE) == percent


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("150-200", 150, 200),
        ("one or two", 1, 2),
        ("a couple", 2, 3),
        ("a few", 2, 4),
        ("several", 3, 7),
        ("many", 8, 50),
        ("a dozen", 10, 14),
        ("dozens", 24, 90),
        ("hundreds", 100, 500),
        ("about 20", 17, 23),
        ("at least 10", 10, INF),
        ("up to 3", 0, 3),
        ("twelve", 12, 12),
        ("none", 0, 0),
    ],
)
def test_a_rough_count_is_an_interval_of_animals(said: str, low: float, high: float) -> None:
    found = q.read_count(said)
    assert ends(found) == (low, high)
    assert isinstance(found, int)


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("never", 180, INF),
        ("2 a week", 3.5, 3.5),
        ("weekly", 7, 7),
        ("monthly", 30.4, 30.5),
        ("rarely", 30, 180),
        ("every day", 1, 1),
        ("every 2 weeks", 14, 14),
        ("7 days", 7, 7),
    ],
)
def test_how_often_water_is_changed(said: str, low: float, high: float) -> None:
    least, most = ends(read_every(said, "metric"))
    assert least == pytest.approx(low, abs=0.1)
    assert most == pytest.approx(high, abs=0.1)


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("twice the label", "above_label"),
        ("double", "above_label"),
        ("half the label", "below_label"),
        ("as the label says", "as_label"),
        ("more than before", "more_than_before"),
        ("far above the label", "far_above_label"),
        ("5 times the recommended dose", "far_above_label"),
        ("a capful", "unmeasured"),
        ("2 drops", "unmeasured"),
    ],
)
def test_a_dose_is_held_against_its_label(said: str, word: str) -> None:
    assert read_dose(said) == word


def test_a_dose_of_nonsense_is_refused() -> None:
    with pytest.raises(Unreadable, match="does not say how much"):
        read_dose("blue")


@pytest.mark.parametrize(
    ("said", "much"),
    [("too much", "too_much"), ("a lot", "too_much"), ("little", "little"), ("none", "none")],
)
def test_food_may_be_told_in_a_word(said: str, much: str) -> None:
    assert read_amount(said).much == much


@pytest.mark.parametrize(
    ("said", "kind", "hours", "slack"),
    [
        ("just before", "from_first_death", -6, 6),
        ("the same day", "from_first_death", 0, 12),
        ("soon after", "from_first_death", 12, 12),
        ("the next day", "from_first_death", 24, 12),
        ("a few days before the first death", "from_first_death", -72, 24),
        ("2-3 days ago", "before_asking", 60, 12),
        ("weeks ago", "before_asking", 672, 336),
        ("months ago", "before_asking", 2922, 1461),
        ("recently", "before_asking", 168, 168),
        ("lately", "before_asking", 168, 168),
    ],
)
def test_a_rough_time_is_a_moment_with_a_slack(
    said: str, kind: str, hours: float, slack: float
) -> None:
    found = read_moment(said)
    assert (found.kind, found.hours, found.slack_h) == (kind, hours, slack)
    assert not found.clock_told


@pytest.mark.parametrize(
    ("said", "month"), [("in August", 8), ("last summer", 7), ("last winter", 1), ("early May", 5)]
)
def test_a_month_or_a_season_is_a_moment(said: str, month: int) -> None:
    found = read_moment(said)
    assert (found.kind, found.days) == ("month", month)
    assert found.slack_h >= 240.0


@given(st.floats(0.1, 1e6), st.floats(0.0, 1e6))
def test_a_rough_number_is_its_middle_and_survives_copying(low: float, width: float) -> None:
    number = rough(low, low + width)
    assert low <= number <= low + width
    for twin in (copy.deepcopy(number), pickle.loads(pickle.dumps(number))):
        assert twin == number
        assert ends(twin) == ends(number)


def test_two_intervals_are_one_only_if_their_ends_are() -> None:
    assert Rough(4, 6) != Rough(3, 7)
    assert Rough(4, 6) == 5.0
    assert RoughCount(4, 6) != RoughCount(3, 7)


def test_an_open_end_closes_at_what_is_plausible() -> None:
    assert ends(closed(Rough(35.0, INF), 4.0, 40.0)) == (35.0, 40.0)
    assert ends(closed(Rough(45.0, INF), 4.0, 40.0)) == (45.0, 45.0)


@given(st.floats(0.1, 100), st.floats(0, 100), st.floats(0.1, 100), st.floats(0, 100))
def test_the_image_of_two_intervals_holds_every_value(
    low: float, more: float, start: float, wide: float
) -> None:
    found = image(lambda a, b: a / b, rough(low, low + more), rough(start, start + wide))
    inside = (low + 0.5 * more) / (start + 0.5 * wide)
    assert ends(found)[0] <= inside * (1 + 1e-9)
    assert inside <= ends(found)[1] * (1 + 1e-9)
