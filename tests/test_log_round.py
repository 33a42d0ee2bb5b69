"""The morning round: a course that begins to go wrong is said, a steady one is not."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from diagnose.log.course import course_of
from diagnose.log.entry import Described, Entry, Jot
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.round import Warnings, in_order, look_at

NOW = datetime(2026, 5, 1, 8, 0)
WARNINGS = Warnings(bundled("knowledge") / "warnings" / "course.yaml")


def course(what: str, values: list[float], unit: str = "") -> list[Entry]:
    """Readings three days apart that end this morning."""
    return [
        Entry(
            number,
            number,
            NOW,
            Jot(
                "reading",
                NOW - timedelta(days=3 * (len(values) - 1 - number)),
                {"what": what, "value": f"{value} {unit}".strip()},
            ),
        )
        for number, value in enumerate(values)
    ]


def titles(entries: list[Entry]) -> list[str]:
    return [one.title for one in WARNINGS.over(course_of(entries, now=NOW))]


@pytest.mark.parametrize(
    ("what", "values", "title"),
    [
        ("gh", [7, 7, 8, 8, 9, 10, 11, 12, 12], "Minerals creep up"),
        ("solids", [180, 185, 190, 200, 220, 240, 250, 260, 265], "Minerals creep up"),
        ("kh", [5, 5, 5, 4, 4, 3, 2, 2, 1], "The buffer is used up and pH falls"),
        ("ph", [7.4, 7.4, 7.3, 7.2, 7, 6.8, 6.5, 6.4, 6.3], "The buffer is used up and pH falls"),
        ("nitrite", [0, 0, 0, 0, 0, 0, 0, 0, 0.2], "Ammonia or nitrite is no longer zero"),
        ("temperature", [23, 23, 24, 24, 25, 26, 27, 28, 28], "It gets warmer week by week"),
    ],
)
def test_a_course_that_goes_wrong_is_said(what: str, values: list[float], title: str) -> None:
    assert titles(course(what, values)) == [title]


@pytest.mark.parametrize(
    ("what", "values"),
    [
        ("gh", [7, 8, 7, 8, 7, 8, 7, 8, 7]),
        ("kh", [4, 4, 4, 4, 4, 4, 4, 4, 4]),
        ("ph", [7.2, 7.4, 7.3, 7.2, 7.4, 7.3, 7.2, 7.4, 7.3]),
        ("nitrite", [0] * 9),
        ("temperature", [21, 22, 21, 22, 21, 22, 22, 22, 22]),
        ("solids", [200, 205, 198, 204, 201, 199, 205, 202, 203]),
    ],
)
def test_a_steady_course_is_met_with_silence(what: str, values: list[float]) -> None:
    assert titles(course(what, values)) == []


def test_one_slip_of_a_kit_is_no_drift() -> None:
    assert titles(course("kh", [4, 4, 4, 4, 4, 4, 4, 1, 4])) == []


def test_what_nobody_read_warns_of_nothing() -> None:
    assert WARNINGS.over(course_of([], now=NOW)) == ()


def test_who_is_dying_comes_first_and_what_was_done_is_ticked_off(rulebook: Rulebook) -> None:
    steady = Described("a-steady-jar", NOW, {"container": {"change": {"every": "7 d"}}})
    dead = [Entry(1, 1, NOW, Jot("death", NOW - timedelta(hours=5), {"dead": 2}))]
    changed = [
        *course("temperature", [22, 22]),
        Entry(9, 9, NOW, Jot("event", NOW - timedelta(days=1), {"what": "water-change"})),
    ]
    looks = [
        look_at(steady, changed, WARNINGS, rulebook, now=NOW),
        look_at(Described("b-jar", NOW, {}), dead, WARNINGS, rulebook, now=NOW),
    ]
    first, second = in_order(looks)
    assert (first.name, first.dying) == ("b-jar", 2)
    assert "water change" not in second.due
    assert "Temperature" not in second.due
    assert "pH" in second.due
