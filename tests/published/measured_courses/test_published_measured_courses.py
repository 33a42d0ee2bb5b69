"""Published courses of real containers against the model's ensemble.

Each file here holds one course with its page; `as_cases.yaml` says how the model takes it and why
five of the twenty with three or more times are not run. `before.csv` is the same table by the model
as it stood before anything was mended (numbers of this project, not published ones).
"""

from __future__ import annotations

import csv

import numpy as np
import pytest

from diagnose.bowl.against import Verdict
from tests.measured_courses import (
    FOLDER,
    KNOWLEDGE,
    Course,
    all_courses,
    as_cases,
    load_ranges,
    measured,
    overall,
)

LEAST_COURSES = 5


@pytest.fixture(scope="module")
def courses() -> list[Course]:
    return all_courses(load_ranges(KNOWLEDGE))


@pytest.fixture(scope="module")
def now(courses: list[Course]) -> dict[str, Verdict]:
    return {one.quantity: one for one in overall(courses)}


@pytest.fixture(scope="module")
def before() -> dict[str, dict[str, str]]:
    with (FOLDER / "before.csv").open(encoding="utf-8", newline="") as sheet:
        return {row["quantity"]: row for row in csv.DictReader(sheet) if row["course"] == "all"}


def often_measured(courses: list[Course]) -> list[str]:
    """Quantities with five or more courses."""
    counted: dict[str, set[str]] = {}
    for course in courses:
        for one in course.laid:
            counted.setdefault(one.point.quantity, set()).add(course.name)
    return [name for name, held in counted.items() if len(held) >= LEAST_COURSES]


def test_every_course_is_run_or_says_why_not() -> None:
    told = as_cases()
    shapes = {file.stem: measured(file.stem) for file in FOLDER.glob("?-*.yaml")}
    assert len(shapes) == 34
    assert {name for name, one in shapes.items() if one["shape"] == "course"} == set(told)
    for name, one in told.items():
        assert ("outside" in one) != ("judged" in one), name
        assert "untold" in one or "outside" in one, name


def test_all_that_is_said_has_a_page() -> None:
    for file in FOLDER.glob("?-*.yaml"):
        assert str(measured(file.stem)["source_url"]).startswith("http"), file.name


def test_the_ensemble_beats_the_model_before_and_the_plain_guesses(
    courses: list[Course], now: dict[str, Verdict], before: dict[str, dict[str, str]]
) -> None:
    quantities = often_measured(courses)
    assert {"temperature_c", "tan_mg_l", "nitrite_mg_l"} <= set(quantities)
    for name in quantities:
        one = now[name]
        assert one.score <= float(before[name]["score"]) + 1e-4, name
        assert one.at_first is not None and one.score < one.at_first, name
        if one.as_room is not None:
            assert one.score < one.as_room, name


def test_no_single_course_carries_the_figures(courses: list[Course]) -> None:
    """With any one course left out the rest still beat the guess that nothing changes. (The ranges
    are not narrowed anew without it.)
    """
    for left_out in courses:
        rest = [course for course in courses if course is not left_out]
        found = {one.quantity: one for one in overall(rest)}
        for name in often_measured(courses):
            one = found[name]
            assert one.at_first is not None and one.score < one.at_first, (left_out.name, name)


def test_most_points_lie_in_the_band_and_the_bands_are_no_wider(
    courses: list[Course], now: dict[str, Verdict], before: dict[str, dict[str, str]]
) -> None:
    for name in often_measured(courses):
        assert 0.65 <= now[name].inside <= 0.95, (name, now[name].inside)
        # The error of a nitrate kit is a share of the value, and the middle rose towards what was
        # measured (a bias of -3.3 became -2.8 mg/L as N): its band widened with it.
        wider = 1.10 if name == "nitrate_n_mg_l" else 1.01
        assert now[name].width <= float(before[name]["width"]) * wider, name


def test_water_follows_a_told_room_to_a_degree(courses: list[Course]) -> None:
    off = [
        one.middle - one.point.value
        for course in courses
        for one in course.laid
        if one.as_room is not None
    ]
    assert len(off) >= 40
    assert float(np.sqrt(np.mean(np.square(off)))) <= 1.0


def peak_day(course: Course, quantity: str) -> tuple[float, float]:
    """(measured, modelled) hour of the highest value, by the middles at the measured hours."""
    laid = sorted(
        (one for one in course.laid if one.point.quantity == quantity),
        key=lambda one: one.point.hour,
    )
    values = [one.point.value for one in laid]
    top = [one.point.hour for one in laid if one.point.value >= max(values) - 1e-9]
    middles = [one.middle for one in laid]
    model = [one.point.hour for one in laid if one.middle >= max(middles) - 1e-9]
    nearest = min(model, key=lambda hour: min(abs(hour - other) for other in top))
    return min(top, key=lambda hour: abs(hour - nearest)), nearest


@pytest.mark.parametrize("quantity", ["tan_mg_l", "nitrite_mg_l"])
def test_the_peak_comes_within_one_and_a_half_times_its_day(
    courses: list[Course], quantity: str
) -> None:
    """In most courses; one whose doses or seed nobody told may be further off."""
    ratios = {}
    for course in courses:
        if not course.name.startswith("a-"):
            continue
        seen, drawn = peak_day(course, quantity)
        # A day's reading stands for that day: half a day either way is no error.
        later, sooner = max(seen, drawn) - 12.0, max(min(seen, drawn), 12.0)
        ratios[course.name] = later / sooner
    within = [name for name, ratio in ratios.items() if ratio <= 1.5]
    assert len(within) >= len(ratios) - 1, ratios
