"""What was told roughly, as observations and as arguments."""

from __future__ import annotations

import itertools
import random
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.findings import observe
from diagnose.findings.observation import Observation
from diagnose.intake.case_file import read_case
from diagnose.intake.rough import Either, rough
from diagnose.intake.writing import case_to_yaml
from diagnose.rulebook.requirements import decibans, degree
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Curve, Leaf, Rulebook

NOW = datetime(2026, 3, 20, 18, 0)


def found(rulebook: Rulebook, text: str) -> dict[str, Observation]:
    """The observations of a case written as YAML, by name."""
    case = read_case(f"case: jar\n{text}".encode(), "jar", NOW, vocabulary=rulebook.vocabulary)
    again = read_case(case_to_yaml(case).encode(), "jar", NOW, vocabulary=rulebook.vocabulary)
    species = species_of(rulebook, case.stock.species)
    seen, twice = (
        {
            item.name: item
            for item in observe(told, rulebook.vocabulary, species, rulebook.companions, now=NOW)
        }
        for told in (case, again)
    )
    assert {n: (i.span, i.either) for n, i in seen.items()} == {
        n: (i.span and pytest.approx(i.span), i.either) for n, i in twice.items()
    }
    return seen


@pytest.mark.parametrize("word", ["none", "not detected", "zero", "low", "normal", "fine", "ok"])
def test_a_reading_in_a_word_says_no_more_than_an_interval(rulebook: Rulebook, word: str) -> None:
    seen = found(rulebook, f"readings: [{{what: nitrite, value: {word}}}]")["nitrite_mg_l"]
    if word == "zero":
        assert seen.value == 0.0
        return
    assert seen.span is not None
    assert seen.span[1] <= 0.2


@pytest.mark.parametrize("word", ["a little", "raised", "high", "very high"])
def test_a_raised_reading_is_above_nothing(rulebook: Rulebook, word: str) -> None:
    seen = found(rulebook, f"readings: [{{what: nitrite, value: {word}}}]")["nitrite_mg_l"]
    assert seen.span is not None
    assert seen.span[0] >= 0.1


def test_an_open_end_reaches_to_what_is_plausible(rulebook: Rulebook) -> None:
    seen = found(rulebook, "readings: [{what: temperature, value: over 35 C}]")["temperature_c"]
    assert seen.span == (35.0, 40.0)
    assert seen.value == 37.5


def test_ammonia_in_a_range_gives_its_free_part_in_a_range(rulebook: Rulebook) -> None:
    text = (
        "readings: [{what: ammonia, value: 0.5-1, as: total-N}, {what: ph, value: 7-8},"
        " {what: temperature, value: 24 C}]"
    )
    seen = found(rulebook, text)["nh3_mg_l"]
    assert seen.span is not None
    # Emerson et al. 1975 at 24 C: 0.52 % at pH 7 and 5.0 % at pH 8, from memory.
    assert seen.span == (pytest.approx(0.5 * 0.0052, rel=0.05), pytest.approx(0.050, rel=0.05))


@pytest.mark.parametrize(
    ("deaths", "share"),
    [
        ("{dead: all, over: 1 day}", (100.0, 100.0)),
        ("{dead: most}", (55.0, 95.0)),
        ("{dead: half}", (50.0, 50.0)),
        ("{dead: about half}", (40.0, 60.0)),
        ("{dead: a third}", (33.33, 33.34)),
        ("{dead: all but one, of: 10}", (90.0, 90.0)),
        ("{dead: all but one}", (60.0, 99.0)),
        ("{dead: 3-5, of: 10}", (30.0, 50.0)),
        ("{dead: 80 %}", (80.0, 80.0)),
    ],
)
def test_a_part_of_all_is_a_share(
    rulebook: Rulebook, deaths: str, share: tuple[float, float]
) -> None:
    seen = found(rulebook, f"deaths: {deaths}")["deaths_share"]
    low, high = seen.span or (seen.value, seen.value)
    assert (low, high) == (pytest.approx(share[0], abs=0.01), pytest.approx(share[1], abs=0.01))


@pytest.mark.parametrize(
    ("deaths", "shape", "either"),
    [
        ("{dead: all, over: 1 day}", "all_at_once", None),
        ("{dead: several, over: 2 days}", "burst", None),
        ("{dead: one or two, over: 2 days}", "burst", ("burst", "single")),
        ("{dead: dozens, over: 3 weeks}", "trickle", None),
        ("{dead: none}", "none", None),
    ],
)
def test_rough_counts_shape_the_losses(
    rulebook: Rulebook, deaths: str, shape: str, either: tuple[str, ...] | None
) -> None:
    seen = found(rulebook, f"deaths: {deaths}")["death_shape"]
    assert (seen.value, seen.either) == (shape, either)


def test_litres_changed_are_a_share_of_the_container(rulebook: Rulebook) -> None:
    seen = found(rulebook, "container: {volume: 20 L, change: {share: 10 L, every: never}}")
    assert seen["last_change_share"].value == 50.0
    assert seen["change_interval_days"].span == (180.0, 400.0)


def test_a_rough_stock_in_a_rough_volume(rulebook: Rulebook) -> None:
    seen = found(rulebook, "container: {volume: 5-10 L}\nstock: {adults: 10-20}")
    assert seen["shrimp_per_l"].span == (1.0, 4.0)


def test_the_dose_of_the_log_is_an_observation(rulebook: Rulebook) -> None:
    seen = found(rulebook, "events: [{what: fertiliser, dose: twice the label}]")
    assert seen["fertiliser_dose"].value == "above_label"
    assert seen["last_dose"].value == "above_label"


def test_the_order_of_rough_readings_never_matters(rulebook: Rulebook) -> None:
    rows = ["{what: ph, value: 6-7}", "{what: ph, value: high}", "{what: ph, value: 5.5-7.5}"]
    said = []
    for order in itertools.permutations(rows):
        said.append(found(rulebook, f"readings: [{', '.join(order)}]")["ph"].span)
    assert len(set(said)) == 1


LEAF = Leaf("x", "rising", edges=(2.0, 5.0))
CURVE = Curve("x", ((0.0, -6.0), (3.0, 0.0), (8.0, 12.0)))


@given(st.floats(0, 10))
def test_a_span_of_no_width_says_what_the_number_says(x: float) -> None:
    assert degree(LEAF, rough(x, x)) == degree(LEAF, x)
    assert decibans(CURVE, rough(x, x)) == decibans(CURVE, x)
    assert Observation("x", x, "told", "").said == x


@given(st.floats(0, 10), st.floats(0.001, 10))
def test_no_argument_is_stronger_than_its_best_point(low: float, width: float) -> None:
    wide = rough(low, low + width)
    points = [low + width * random.Random(3).random() for _ in range(3)] + [low, low + width]
    assert degree(LEAF, wide) <= max(degree(LEAF, x) for x in points) + 1e-9
    assert decibans(CURVE, wide) <= max(decibans(CURVE, x) for x in points) + 1e-9
    assert decibans(CURVE, wide) >= min(decibans(CURVE, x) for x in points) - 1e-9


def test_a_choice_left_open_meets_a_rule_by_its_share() -> None:
    leaf = Leaf("death_shape", "in", words=("burst", "trickle"))
    assert degree(leaf, Either(("burst", "single"))) == 0.5
    assert degree(leaf, Either(("burst", "trickle"))) == 1.0
    assert degree(leaf, Either(("none", "single"))) == 0.0
