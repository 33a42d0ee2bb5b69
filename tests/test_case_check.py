"""`bowlside case check` says what was understood from which line, and what is missing."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from diagnose.advice.diagnosis import open_checks
from diagnose.findings.observed_case import observed_case
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.case_check import MISSING_SHOWN, checked_file

NOW = datetime(2026, 3, 14, 18, 0)
CASE = """\
case: kiln-room-jar
container: {volume: 6 L}
seen:
  - twitching
  - cloudy
events:
  - {what: painting, at: 2 days ago}
deaths: {first: yesterday, dead: 3, of: 9}
"""


def test_every_observation_is_listed_with_the_line_it_comes_from(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    file = tmp_path / "jar.yaml"
    file.write_text(CASE, encoding="utf-8")
    found = {
        item.says.partition(":")[0]: item.place
        for item in checked_file(file, rulebook, now=NOW).understood
    }
    told = {item.name for item in observed_case(file, rulebook, now=NOW).observations}
    assert set(found) == told
    expected = {
        "volume_l": "line 2",
        "twitching": "line 4",
        "cloudy_water": "line 5",
        "did_fumes": "line 7",
        "deaths_share": "line 8",
    }
    assert expected.items() <= found.items()


def test_what_is_missing_comes_in_order_of_what_it_would_change(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    file = tmp_path / "jar.yaml"
    file.write_text(CASE, encoding="utf-8")
    missing = checked_file(file, rulebook, now=NOW).missing
    observations = observed_case(file, rulebook, now=NOW).observations
    gains = {check.name: check.gain_bits for check in open_checks(rulebook, observations)}
    listed = [gains[line.rpartition("(")[2].rstrip(")")] for line in missing]
    assert 0 < len(listed) <= MISSING_SHOWN
    assert listed == sorted(listed, reverse=True)
    assert max(gains.values()) == listed[0]


def test_nothing_is_asked_about_deaths_where_nobody_died(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    file = tmp_path / "jar.yaml"
    file.write_text("case: jar\ndeaths: none\nseen: [listless]\n", encoding="utf-8")
    found = checked_file(file, rulebook, now=NOW)
    assert not any("deaths_share" in line or "died_sizes" in line for line in found.missing)
