"""Food as keepers tell it."""

from __future__ import annotations

import pytest

from diagnose.intake.amounts import Amount, read_amount, read_often
from diagnose.intake.problems import Unreadable


@pytest.mark.parametrize(
    ("said", "number", "of", "size"),
    [
        ("two pellets", 2, "pellet", None),
        ("2 small pellets", 2, "pellet", "small"),
        ("a pinch", 1, "pinch", None),
        ("3 pinches", 3, "pinch", None),
        ("half a pellet", 0.5, "pellet", None),
        ("1/2 tablet", 0.5, "tablet", None),
        ("a large pinch of flakes", 1, "pinch of flake", "large"),
        ("a few pellets", 3, "pellet", None),
        ("about 4 pellets", 4, "pellet", None),
        ("one algae wafer", 1, "algae wafer", None),
    ],
)
def test_pieces_are_counted(said: str, number: float, of: str, size: str | None) -> None:
    amount = read_amount(said)
    assert (amount.number, amount.of, amount.size, amount.mass_mg) == (number, of, size, None)
    assert amount.text == said


@pytest.mark.parametrize(
    ("said", "mass_mg"), [("30 mg", 30), ("0.5 g", 500), (30, 30), ("about 20 mg", 20)]
)
def test_weighed_food_is_milligrams(said: object, mass_mg: float) -> None:
    assert read_amount(said).mass_mg == mass_mg


@pytest.mark.parametrize("said", ["", "food", None, True, "-3 mg", ["a pinch"], "pellets two"])
def test_what_is_no_amount_is_refused_with_an_example(said: object) -> None:
    with pytest.raises(Unreadable, match=r"two pellets|mg"):
        read_amount(said)


def test_an_amount_passes_through() -> None:
    amount = Amount("a pinch", number=1, of="pinch")
    assert read_amount(amount) is amount


@pytest.mark.parametrize(
    ("said", "times_a_week"),
    [
        ("5 a day", 35),
        ("5 times a day", 35),
        ("daily", 7),
        ("once a day", 7),
        ("twice a week", 2),
        ("every 2 days", 3.5),
        ("every two days", 3.5),
        ("every other day", 3.5),
        ("every day", 7),
        ("3 a week", 3),
        ("3 per week", 3),
        ("never", 0),
        (6, 6),
        ("twice a fortnight", 1),
    ],
)
def test_how_often_is_times_a_week(said: object, times_a_week: float) -> None:
    assert read_often(said) == pytest.approx(times_a_week)


@pytest.mark.parametrize("said", ["often", "every 0 days", "", None, True, "5 a moon", -1, 1e6])
def test_what_does_not_say_how_often_is_refused(said: object) -> None:
    with pytest.raises(Unreadable, match="every 2 days"):
        read_often(said)
