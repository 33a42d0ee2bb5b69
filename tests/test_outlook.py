"""The weeks behind and the weeks ahead: what is drawn, what a change does, what is refused."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from diagnose.cli import BAD_INPUT, main
from diagnose.findings.observed_case import observed_text
from diagnose.report.outlook_answer import OutlookAnswer, Series, outlook_csv
from diagnose.report.outlook_drawing import drawing
from diagnose.report.outlook_page import outlook_page
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.outlook import outlook_of_case
from tests.worked_files import ASKED

ROOT = Path(__file__).parents[1]
#: A bowl of the front window, well stocked and fed by weight.
BOWL = """\
case: front-window-bowl
title: The front-window bowl
asked_at: 2026-05-20 18:00
container: {kind: bowl, volume: 5 L, age: 8 months, filter: none, heater: none, planting: moderate,
  sun_hours: 5 h, window: south, water_source: tap, topup: tap,
  change: {share: 30 %, every: 7 days}}
stock: {species: cherry shrimp, adults: 14, berried: 3, juveniles: 10,
  feeding: {per_feed: 30 mg, times: daily}}
events:
  - {what: water-change, at: 3 days ago, share: 50 %}
  - {what: heavy-feed, at: 2 days ago, amount: 100 mg}
"""


def outlook(rulebook: Rulebook, *said: str, text: str = BOWL, **how: Any) -> OutlookAnswer:
    observed = observed_text(text.encode(), "bowl.yaml", rulebook, now=ASKED)
    return outlook_of_case(
        rulebook,
        observed,
        bundled("knowledge"),
        now=ASKED,
        what_if=said,
        with_moves=False,
        **how,
    )


@pytest.fixture(scope="module")
def present(rulebook: Rulebook) -> OutlookAnswer:
    return outlook(rulebook)


@pytest.fixture(scope="module")
def changed(rulebook: Rulebook) -> OutlookAnswer:
    return outlook(rulebook, "feed half", "move off the sill", "change 50 % twice a week")


@pytest.fixture(scope="module")
def restocked(rulebook: Rulebook) -> OutlookAnswer:
    return outlook(rulebook, "add 6 adults", "remove 8 young")


def series(answer: OutlookAnswer, name: str) -> Series:
    return next(one for one in answer.series if one.name == name)


def test_two_weeks_behind_and_four_ahead_are_shown(present: OutlookAnswer) -> None:
    for one in present.series:
        assert [day.day for day in one.days] == list(range(-14, 28)), one.name
        assert all(day.low <= day.middle <= day.high for day in one.days), one.name
    names = {one.name for one in present.series}
    assert {"temperature_c", "oxygen_dawn_mg_l", "tan_mg_l", "nitrite_mg_l"} <= names
    assert {"nitrate_mg_l", "animals"} <= names


def test_a_feast_shows_in_the_ammonia_of_the_next_two_days(present: OutlookAnswer) -> None:
    days = {day.day: day.middle for day in series(present, "tan_mg_l").days}
    assert max(days[-2], days[-1], days[0]) > 1.2 * days[-3]


def test_a_colony_with_eggs_grows(present: OutlookAnswer) -> None:
    days = series(present, "animals").days
    assert days[-1].middle > days[14].middle


def test_the_log_is_marked_on_its_days(present: OutlookAnswer) -> None:
    assert [(event.day, event.mark) for event in present.events] == [(-3, "W"), (-2, "F")]


def test_the_past_is_the_same_with_and_without_a_change(
    present: OutlookAnswer, changed: OutlookAnswer
) -> None:
    for one, other in zip(present.series, changed.series, strict=True):
        assert [d.middle for d in one.days] == [d.middle for d in other.days], one.name
        assert all(d.changed_middle is None for d in other.days if d.day < 0)
        assert all(d.changed_middle is not None for d in other.days if d.day >= 0)
    assert all(d.changed_middle is None for one in present.series for d in one.days)


def test_half_the_food_and_more_new_water_leave_less_nitrate(changed: OutlookAnswer) -> None:
    last = series(changed, "nitrate_mg_l").days[-1]
    assert last.changed_middle is not None
    assert last.changed_middle < last.middle


def test_off_the_sill_the_water_swings_less(changed: OutlookAnswer) -> None:
    late = series(changed, "temperature_c").days[-1]
    assert late.changed_high is not None and late.changed_low is not None
    assert late.changed_high - late.changed_low < late.high - late.low


def test_animals_added_and_taken_out_are_counted_at_once(restocked: OutlookAnswer) -> None:
    day = next(day for day in series(restocked, "animals").days if day.day == 1)
    assert day.changed_middle is not None
    assert day.changed_middle - day.middle == pytest.approx(6 - 8, abs=0.3)
    supposed = {event.text for event in restocked.events if event.supposed}
    assert supposed == {"6 grown ones added", "8 juveniles taken out"}


def test_who_takes_animals_out_hears_where_they_must_not_go(present: OutlookAnswer) -> None:
    """The usual cautions: release, electricity, wounds (common practice, no source)."""
    said = " ".join(caution.text for caution in present.cautions)
    for word in ("stream", "Unplug", "cuts"):
        assert word in said
    assert "Take care" in [section.heading for section in outlook_page(present).sections]


def test_more_young_are_taken_out_to_hold_fewer(rulebook: Rulebook) -> None:
    taken = []
    for hold in (24, 60):
        answer = outlook(rulebook, hold_at=hold)
        assert answer.hold_at == hold
        taken.append(sum(week.middle for week in answer.young_out))
    assert taken[0] > taken[1] >= 0.0


def test_what_is_carried_names_the_least_of_all_limits(present: OutlookAnswer) -> None:
    carries = present.carries
    assert carries.low <= carries.middle <= carries.high
    assert carries.limiting in carries.by_limit
    assert carries.middle <= min(carries.by_limit.values()) + 1e-9


def test_the_drawing_fits_80_columns_and_needs_neither_colour_nor_odd_characters(
    changed: OutlookAnswer,
) -> None:
    lines = list(drawing(changed))
    assert max(map(len, lines)) <= 80
    text = "\n".join(lines)
    assert text.isascii()
    assert "\x1b" not in text
    for mark in "ox.-|WF":
        assert mark in text


def test_the_table_holds_every_day_of_every_quantity(changed: OutlookAnswer) -> None:
    rows = list(csv.DictReader(io.StringIO(outlook_csv(changed))))
    assert len(rows) == len(changed.series) * 42
    assert {row["quantity"] for row in rows} == {one.name for one in changed.series}
    past = [row for row in rows if int(row["day"]) < 0]
    assert all(row["changed_middle"] == "" for row in past)


def test_the_same_case_has_the_same_outlook(rulebook: Rulebook, present: OutlookAnswer) -> None:
    assert outlook(rulebook) == present


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (BOWL.replace("volume: 5 L, ", ""), "volume"),
        (BOWL.replace("adults: 14, berried: 3, ", ""), "number of shrimp"),
    ],
)
def test_where_too_little_is_known_the_outlook_says_what_it_needs(
    rulebook: Rulebook, text: str, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        outlook(rulebook, text=text)


@pytest.fixture
def command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    file = tmp_path / "bowl.yaml"
    file.write_text(BOWL, encoding="utf-8")
    return ["outlook", str(file)]


def test_the_json_outlook_follows_its_schema(
    command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["outlook", "--answer-schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert main([*command, "--format", "json", "--what-if", "feed half"]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, schema)
    assert found["what_if"] == ["feed half"]


@pytest.mark.parametrize("suffix", ["svg", "png"])
def test_a_picture_is_drawn(
    command: list[str], suffix: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / f"bowl.{suffix}"
    assert main([*command, "--format", "csv", "--picture", str(file)]) == 0
    start = file.read_bytes()[:200]
    assert b"<svg" in file.read_bytes()[:1000] if suffix == "svg" else start[1:4] == b"PNG"
    assert capsys.readouterr().out.startswith("quantity,unit,day")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--what-if", "sing to them"], "is not understood"),
        (["--picture", "bowl.gif"], ".svg or .png"),
        (["--picture", "no-such-folder/bowl.svg"], "no such folder"),
        (["--hold", "-3"], "0 or more"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    command: list[str], options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*command, *options]) == BAD_INPUT
    message = " ".join(capsys.readouterr().err.split())
    assert says in message and "Traceback" not in message


def test_without_a_file_the_command_says_how_to_name_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["outlook"]) == BAD_INPUT
    assert "bowlside outlook FILE" in capsys.readouterr().err


def test_the_drawing_libraries_stay_away_until_something_is_drawn(command: list[str]) -> None:
    program = (
        "import sys; from diagnose.cli import main; "
        f"main([*{command!r}, '--format', 'csv']); "
        "print({'plotext', 'matplotlib'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout.endswith("set()\n")
