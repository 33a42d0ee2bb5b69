"""From the bytes of a case file to a case."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import datetime

import pytest

from diagnose.intake.case import Case, Container, Stock
from diagnose.intake.case_file import read_case
from diagnose.intake.problems import CaseErrors
from diagnose.intake.template import new_case_text

NOW = datetime(2026, 3, 20, 18, 0)


def read(text: str, **more: object) -> Case:
    return read_case(text.encode(), "jar.yaml", NOW, **more)  # type: ignore[arg-type]


def test_a_jar_in_a_keepers_words_becomes_a_case() -> None:
    case = read(
        """
case: front-window-2
story: |
  Ilka topped it up on Monday.
  Since then three are dead.
asked_at: 2026-03-14 21:30
container:
  kind: jar
  volume: 1.5 gal
  age: 3 months
  light: 8 h
  co2: on
  change: {share: half, every: 7 days}
stock:
  adults: 8
  kept: 4 months
  feeding: {per_feed: two small pellets, times: 5 a day, eaten_within: 3 h}
deaths: {first: 2 days ago, dead: 3, counts: [{at: 2 days ago, dead: 1}, {at: today, dead: 2}]}
events:
  - {what: top-up, at: 36 h before the first death, volume: 0.5 L, temperature: 12 C}
seen: [racing]
not_seen: foul_smell
expect: {first: overfeeding, split: test}
"""
    )
    assert case.story == "Ilka topped it up on Monday.\nSince then three are dead."
    assert case.container.volume_l == pytest.approx(5.678, abs=1e-3)
    assert case.container.change_share_percent == 50
    assert case.container.change_interval_days == 7
    assert case.container.co2 == "on"
    assert case.stock.feeding is not None
    assert case.stock.feeding.times_per_week == 35
    assert case.deaths is not None
    assert [dead for _, dead in case.deaths.counts] == [1, 2]
    assert case.events[0].temperature_c == 12
    assert case.not_seen == ("foul_smell",)
    assert case.expect is not None
    assert case.expect.first == ("overfeeding",)


def test_what_is_not_told_is_unknown() -> None:
    case = read("case: jar\nseen: [racing]\n")
    assert case.container == Container()
    assert case.stock == Stock()
    assert case.deaths is None
    assert all(getattr(case.container, name) is None for name in Container.model_fields)


def test_a_heading_with_nothing_below_tells_nothing() -> None:
    case = read("case: jar\nseen: [racing]\nreadings:\nevents:\nstock:\ncontainer:\n  change:\n")
    assert (case.readings, case.events, case.stock) == ((), (), Stock())


def test_a_us_file_reads_bare_numbers_in_us_units() -> None:
    case = read(
        "case: jar\nunits: us\ncontainer: {volume: 2, water_depth: 8, room_temperature: 70}\n"
    )
    assert case.container.volume_l == pytest.approx(7.57, abs=0.01)
    assert case.container.water_depth_cm == pytest.approx(20.32)
    assert case.container.room_temperature_c == pytest.approx(21.11, abs=0.01)


def test_yes_no_on_and_dates_are_what_the_field_makes_of_them() -> None:
    case = read(
        "case: 2026-03-14\ncontainer: {co2: on, surface_moved: no}\ntold: {air_helped: yes}\n"
    )
    assert case.case == "2026-03-14"
    assert case.container.surface_moved is False
    assert case.told == {"air_helped": "yes"}


def test_a_case_cannot_be_changed() -> None:
    case = read("case: jar\nseen: [racing]\n")
    with pytest.raises(ValueError, match="frozen"):
        case.case = "other"  # type: ignore[misc]


def test_every_problem_of_a_file_is_told_at_once_in_the_order_of_its_lines() -> None:
    with pytest.raises(CaseErrors) as caught:
        read("case: jar\nreadings:\n- {what: ph, value: 15}\ncontainer: {volume: -3 L}\nsen: []\n")
    assert [problem.line for problem in caught.value.problems] == [3, 4, 5]


def test_moulted_skins_do_not_count_as_more_deaths_than_animals() -> None:
    case = read("case: jar\nstock: {adults: 8, juveniles: 20}\ndeaths: {dead: 28}\n")
    assert case.deaths is not None
    assert case.deaths.dead == 28


def test_an_event_of_this_evening_may_be_told_in_the_afternoon() -> None:
    read("case: jar\nevents: [{what: feed, at: today}, {what: feed, at: this evening}]\n")


def test_an_old_spray_does_not_clash_with_none_in_the_fortnight() -> None:
    read("case: jar\nevents: [{what: spray, at: 40 days ago}]\nnot_done: [spray]\n")


def filled_form() -> str:
    """The form with every `#` before a field taken away."""
    head, form = new_case_text().split("case: my-jar")
    assert head.startswith("#")
    return "case: my-jar" + re.sub(r"(?m)^# ?", "", form)


def test_the_form_filled_in_is_a_case() -> None:
    case = read(filled_form(), open_beside=lambda name: b"at,what,value\n2026-03-01,ph,7.2\n")
    assert case.container.volume_l == 6
    assert len(case.readings) == 7
    assert case.told["death_shape"] == "trickle"


def test_the_form_as_it_is_tells_nothing_and_says_so() -> None:
    with pytest.raises(CaseErrors, match="tells nothing"):
        read(new_case_text())


def test_the_form_fits_a_screen_of_80_columns() -> None:
    assert all(len(line) <= 80 for line in new_case_text().splitlines())


def test_reading_a_case_loads_nothing_heavy() -> None:
    code = (
        "import sys, datetime; from diagnose.intake.case_file import read_case;"
        "now = datetime.datetime(2026, 1, 1);"
        "read_case(b'case: jar\\ncontainer: {volume: 1.5 gal}\\n', 'jar', now);"
        "print(sorted({'pint', 'numpy', 'scipy', 'rich', 'experta'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
