"""Readings as kits and meters give them."""

from __future__ import annotations

from typing import Any

import periodictable
import pytest

from diagnose.intake.case import Reading
from diagnose.intake.problems import Unreadable
from diagnose.intake.written_readings import canonical_reading


def read(units: str = "metric", /, **written: Any) -> tuple[str, float]:
    entry = Reading.model_validate(written, context=units, by_alias=True, by_name=False)
    return entry.what, entry.value


def mass(formula: str) -> float:
    """Outside check: g/mol by the periodictable library, which this program does not use."""
    return float(periodictable.formula(formula).mass)


def test_a_kits_nitrite_is_the_ion_unless_it_says_nitrogen() -> None:
    assert read(what="nitrite", value="1 mg/L") == (
        "nitrite",
        pytest.approx(mass("N") / mass("NO2"), 1e-5),
    )
    assert read(what="nitrite", value=1, **{"as": "N"}) == ("nitrite", 1)


def test_a_kits_nitrate_is_the_ion_unless_it_says_nitrogen() -> None:
    assert read(what="nitrate", value="40 ppm") == ("nitrate", 40)
    assert read(what="nitrate", value=10, **{"as": "N"}) == (
        "nitrate",
        pytest.approx(10 * mass("NO3") / mass("N"), 1e-5),
    )


@pytest.mark.parametrize(
    ("basis", "what", "counted_as"),
    [
        (None, "ammonia", "NH3"),
        ("total-NH3", "ammonia", "NH3"),
        ("total-NH4", "ammonia", "NH4"),
        ("total-N", "ammonia", "N"),
        ("un-ionised", "unionised_ammonia", "NH3"),
        ("un-ionised-N", "unionised_ammonia", "N"),
    ],
)
def test_ammonia_is_counted_as_nitrogen(basis: str | None, what: str, counted_as: str) -> None:
    written: dict[str, Any] = {"what": "ammonia", "value": 1}
    if basis is not None:
        written["as"] = basis
    assert read(**written) == (what, pytest.approx(mass("N") / mass(counted_as), 1e-5))


def test_oxygen_in_percent_is_a_reading_of_its_own() -> None:
    assert read(what="oxygen", value="80 %") == ("oxygen_percent", 80)
    assert read(what="oxygen", value=80, unit="%") == ("oxygen_percent", 80)
    assert read(what="oxygen", value="6.5 mg/L") == ("oxygen", 6.5)


@pytest.mark.parametrize(
    ("said", "what"),
    [("TDS", "solids"), ("alkalinity", "kh"), ("NO2", "nitrite"), ("Temperature", "temperature")],
)
def test_other_names_of_the_trade_are_understood(said: str, what: str) -> None:
    assert read(what=said, value=5)[0] == what


def test_a_us_file_reads_bare_temperatures_in_fahrenheit() -> None:
    assert read("us", what="temperature", value=74)[1] == pytest.approx(23.333, abs=1e-3)


def test_a_bare_number_in_python_is_canonical_already() -> None:
    assert Reading(what="ammonia", value=0.5).value == 0.5
    assert Reading(what="nitrite", value=0.5).value == 0.5


def test_what_was_written_is_kept() -> None:
    entry = Reading.model_validate({"what": "ammonia", "value": "0.5 ppm"}, context="metric")
    assert entry.as_written == "0.5 ppm as total-nh3"


@pytest.mark.parametrize(
    ("written", "part"),
    [
        ({"what": "amonia", "value": 1}, "what"),
        ({"what": "ph", "value": 15}, "value"),
        ({"what": "ph", "value": 7, "as": "N"}, "as"),
        ({"what": "nitrate", "value": 7, "as": "total-N"}, "as"),
        ({"what": "ph", "value": True}, "value"),
        ({"what": "ph", "value": True, "unit": "mg/L"}, "value"),
    ],
)
def test_a_slip_names_the_part_it_is_in(written: dict[str, Any], part: str) -> None:
    with pytest.raises(Unreadable) as caught:
        canonical_reading(written, "metric")
    assert caught.value.part == part
