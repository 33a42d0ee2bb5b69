"""The morning round: a course that begins to go wrong is said, a steady one is not."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from diagnose.log.course import course_of
from diagnose.log.entry import Described, Entry, Jot
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.round import Warnings, in_order, in_several, look_at

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


def signs(name: str, days_ago: list[int]) -> list[Entry]:
    return [
        Entry(n, n, NOW, Jot("sign", NOW - timedelta(days=ago), {"seen": [name]}))
        for n, ago in enumerate(days_ago)
    ]


@pytest.mark.parametrize(
    ("sign", "title"),
    [
        ("food_left_over", "Food is left over again and again"),
        ("at_surface", "They go to the surface"),
        ("eggs_dropped", "Eggs are dropped"),
    ],
)
def test_a_sign_that_comes_back_warns_and_once_is_silence(sign: str, title: str) -> None:
    assert titles(signs(sign, [5, 3, 1])) == [title]
    assert titles(signs(sign, [3])) == []
    assert titles(signs(sign, [40, 30, 20])) == []


def twice_a_day(swings: list[float]) -> list[Entry]:
    """A morning and an afternoon reading each day, the last of them yesterday."""
    found = []
    for place, swing in enumerate(reversed(swings), start=1):
        for hour, value in ((7, 21.0), (16, 21.0 + swing)):
            at = (NOW - timedelta(days=place)).replace(hour=hour)
            content = {"what": "temperature", "value": f"{value}"}
            found.append(Entry(2 * place, 2 * place, NOW, Jot("reading", at, content)))
    return found


def test_a_swing_that_grows_warns_and_a_steady_one_does_not() -> None:
    """Small containers should not move by more than two or three degrees a day: common practice,
    no source.
    """
    assert titles(twice_a_day([1.5] * 15 + [5.5] * 7)) == ["Days and nights drift apart"]
    assert titles(twice_a_day([2.0] * 22)) == []


def changes(days_ago: list[int]) -> list[Entry]:
    return [
        Entry(n, n, NOW, Jot("event", NOW - timedelta(days=ago), {"what": "water-change"}))
        for n, ago in enumerate(days_ago)
    ]


def test_a_change_is_overdue_by_the_containers_own_pace() -> None:
    assert titles(changes([70, 63, 56, 49, 42, 35])) == ["The change of water is long overdue"]
    assert titles(changes([40, 33, 26, 19, 12, 5])) == []
    assert titles(changes([90, 60, 30])) == []


def test_a_colony_beyond_the_trades_measure_is_said(rulebook: Rulebook) -> None:
    jar = Described("jar", NOW, {"container": {"volume": "5 L"}})
    for adults, said in ((8, []), (30, ["The colony outgrows its water"])):
        counted = [Entry(1, 1, NOW, Jot("count", NOW - timedelta(days=1), {"adults": adults}))]
        found = look_at(jar, counted, WARNINGS, rulebook, now=NOW)
        assert [one.title for one in found.warned] == said


def test_what_several_share_is_said_with_what_sets_them_apart(rulebook: Rulebook) -> None:
    """The same water going bad in several, or one source of new animals: common practice."""
    died = Entry(7, 7, NOW, Jot("death", NOW - timedelta(hours=5), {"dead": 2}))
    new = Entry(8, 8, NOW, Jot("event", NOW - timedelta(days=4), {"what": "new-animals"}))
    logs = {
        "a": [new, died],
        "b": [*changes([3]), new, died],
        "c": changes([2]),
        "d": changes([1]),
    }
    looks = [
        look_at(Described(name, NOW, {}), entries, WARNINGS, rulebook, now=NOW)
        for name, entries in logs.items()
    ]
    (found,) = in_several(looks, logs, rulebook, now=NOW)
    assert found.containers == ("a", "b")
    assert len(found.because) == 1 and "few of the others" in found.because[0]
    alone = {name: logs[name] for name in ("a", "c", "d")}
    assert in_several([x for x in looks if x.name != "b"], alone, rulebook, now=NOW) == ()
