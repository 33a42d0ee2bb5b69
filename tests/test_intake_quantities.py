"""Quantities as keepers write them."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.intake import quantities as q
from diagnose.intake.problems import Unreadable
from diagnose.intake.rare_units import rare_quantity


@pytest.mark.parametrize(
    ("written", "measure", "value"),
    [
        ("6 L", q.VOLUME, 6),
        ("6L", q.VOLUME, 6),
        ("6,5 L", q.VOLUME, 6.5),
        ("about 6 l", q.VOLUME, 6),
        ("1.5 gal", q.VOLUME, 5.678117676),
        ("1/2 gallon", q.VOLUME, 1.892705892),
        ("2 quarts", q.VOLUME, 1.892705892),
        ("750 ml", q.VOLUME, 0.75),
        ("8 in", q.LENGTH, 20.32),
        ("50 sq in", q.AREA, 322.58),
        ("1000 ft", q.ALTITUDE, 304.8),
        ("74 F", q.TEMPERATURE, 23.3333333),
        ("74 °F", q.TEMPERATURE, 23.3333333),
        ("22 C", q.TEMPERATURE, 22),
        ("295.15 K", q.TEMPERATURE, 22),
        ("half", q.SHARE, 50),
        ("a third", q.SHARE, 33.3333333),
        ("0.5 %", q.SHARE, 0.5),
        ("3 months", q.DAYS, 91.310625),
        ("2 weeks", q.DAYS, 14),
        ("90 min", q.HOURS, 1.5),
        ("8 dGH", q.GENERAL_HARDNESS, 8),
        ("0.25 ppm", q.CONCENTRATION, 0.25),
        ("20 ppb", q.CONCENTRATION, 0.02),
        ("0.3 mS/cm", q.CONDUCTIVITY, 300),
        (".25 mg/L", q.CONCENTRATION, 0.25),
        ("-2 C", q.ROOM_TEMPERATURE, -2),
        ("1e-2 mg/L", q.CONCENTRATION, 0.01),
    ],
)
def test_what_keepers_write_is_read(written: str, measure: q.Measure, value: float) -> None:
    assert q.read_quantity(written, measure) == pytest.approx(value)


def test_a_bare_number_is_in_the_unit_of_the_file() -> None:
    assert q.read_quantity(6, q.VOLUME) == 6
    assert q.read_quantity(1.5, q.VOLUME, "us") == pytest.approx(5.678117676)
    assert q.read_quantity("1.5", q.VOLUME, "us") == pytest.approx(5.678117676)
    assert q.read_quantity(74, q.TEMPERATURE, "us") == pytest.approx(23.3333333)
    assert q.read_quantity(8, q.LENGTH, "us") == pytest.approx(20.32)
    assert q.read_quantity(8, q.GENERAL_HARDNESS, "us") == 8


def test_a_written_unit_wins_over_the_unit_of_the_file() -> None:
    assert q.read_quantity("22 C", q.TEMPERATURE, "us") == 22
    assert q.read_quantity("6 L", q.VOLUME, "us") == 6


@pytest.mark.parametrize(
    ("written", "measure", "units", "hint"),
    [
        (74, q.TEMPERATURE, "metric", "write 74 F"),
        (22, q.TEMPERATURE, "us", "write 22 C"),
        (0.5, q.SHARE, "metric", "Write 50 %"),
        (160, q.GENERAL_HARDNESS, "metric", "write 160 ppm"),
        ("1,500 L", q.VOLUME, "metric", "nothing for thousands"),
        ("1.500,5 L", q.VOLUME, "metric", "nothing for thousands"),
        ("plenty", q.PH, "metric", "Write it as 7.4"),
        ("20-24 L", q.TEMPERATURE, "metric", "22 C"),
        ("20-240 C", q.TEMPERATURE, "metric", "between 0 and 50 C"),
        ("6 litters", q.VOLUME, "metric", "Did you mean `liters`"),
        ("1/0 L", q.VOLUME, "metric", "Write it as"),
        ("3 MS/cm", q.CONDUCTIVITY, "metric", "320 uS/cm"),
        (15, q.PH, "metric", "between 0 and 14"),
        ("-3 L", q.VOLUME, "metric", "between 0.05 and 5000 L"),
        (float("nan"), q.PH, "metric", "Write it as 7.4"),
        (float("inf"), q.VOLUME, "metric", "Write it as 6 L"),
        ("nan", q.PH, "metric", "Write it as 7.4"),
        (True, q.VOLUME, "metric", "Write it as 6 L"),
        ([6], q.VOLUME, "metric", "Write it as 6 L"),
        ("", q.VOLUME, "metric", "Write it as 6 L"),
    ],
)
def test_a_slip_is_refused_with_what_would_be_right(
    written: object, measure: q.Measure, units: str, hint: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        q.read_quantity(written, measure, units)
    assert hint in caught.value.hint


#: The table's spellings as the units library spells them. Hardness, shares and pH have no unit
#: there; time of the calendar (month, year) is defined alike in both.
PINT_SPELLING = {
    "l": "liter",
    "ml": "milliliter",
    "cl": "centiliter",
    "dl": "deciliter",
    "m3": "meter**3",
    "gal": "gallon",
    "imperial gallon": "imperial_gallon",
    "qt": "quart",
    "pt": "pint",
    "cup": "cup",
    "fl oz": "fluid_ounce",
    "cm": "centimeter",
    "mm": "millimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "ft": "foot",
    "cm2": "centimeter**2",
    "mm2": "millimeter**2",
    "m2": "meter**2",
    "in2": "inch**2",
    "h": "hour",
    "min": "minute",
    "d": "day",
    "week": "week",
    "month": "month",
    "year": "year",
    "mg/l": "milligram/liter",
    "ug/l": "microgram/liter",
    "g/l": "gram/liter",
    "us/cm": "microsiemens/centimeter",
    "ms/cm": "millisiemens/centimeter",
    "ds/m": "decisiemens/meter",
    "ms/m": "millisiemens/meter",
    "mg": "milligram",
    "g": "gram",
    "ug": "microgram",
    "kg": "kilogram",
}
WITH_LIBRARY_UNIT = [
    q.VOLUME,
    q.LENGTH,
    q.AREA,
    q.ALTITUDE,
    q.DAYS,
    q.HOURS,
    q.CONCENTRATION,
    q.CONDUCTIVITY,
    q.MASS,
]


@pytest.mark.parametrize("measure", WITH_LIBRARY_UNIT, ids=lambda measure: measure.name)
def test_the_table_of_factors_agrees_with_the_units_library(measure: q.Measure) -> None:
    """Outside check: pint's own default registry, which this program does not use."""
    import pint

    library = pint.UnitRegistry()
    checked = 0
    for spelling, factor in measure.units.items():
        if spelling in PINT_SPELLING:
            unit = PINT_SPELLING[spelling]
            if unit in ("month", "year"):
                continue  # the library's year is 365.25 days, this table's the Gregorian 365.2425
            expected = library.Quantity(1.0, unit).to(measure.pint_unit).magnitude
            assert factor == pytest.approx(expected, rel=1e-12), spelling
            checked += 1
    assert checked >= 3


def test_temperatures_agree_with_the_units_library() -> None:
    import pint

    library = pint.UnitRegistry()
    for fahrenheit in (32.5, 50.0, 74.0, 98.6):
        expected = library.Quantity(fahrenheit, "degF").to("degC").magnitude
        assert q.read_quantity(f"{fahrenheit} F", q.TEMPERATURE) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("number", "unit", "into"),
    [
        (3, "hl", "liter"),
        (2, "ug/mL", "mg/L"),
        (2, "mg/dL", "mg/L"),
        (0.03, "S/m", "uS/cm"),
        (4, "tablespoon", "liter"),
        (1, "yd", "centimeter"),
        (12, "grain", "milligram"),
        (1, "imperial_gallon", "liter"),
    ],
)
def test_rare_units_agree_with_the_units_library(number: float, unit: str, into: str) -> None:
    import pint

    expected = pint.UnitRegistry().Quantity(number, unit).to(into).magnitude
    assert rare_quantity(number, unit, into) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    "unit", ["buckets", "cm", "mg/L/L/L/L", "m^99999999", "__import__('os')", "L*(9**9**9)", "9**9"]
)
def test_what_is_no_unit_of_volume_is_none(unit: str) -> None:
    assert rare_quantity(1, unit, "liter") is None


def test_a_rare_unit_reaches_the_library() -> None:
    assert q.read_quantity("0.06 hl", q.VOLUME) == pytest.approx(6)


def test_everyday_units_do_not_load_the_library() -> None:
    code = (
        "import sys; from diagnose.intake import quantities as q;"
        "q.read_quantity('1.5 gal', q.VOLUME); q.read_quantity('74 F', q.TEMPERATURE);"
        "print('pint' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("written", "dgh"),
    [("17.848 ppm", 1), ("178.48 mg/L CaCO3", 10), ("1 mmol/L", 5.608), ("10 fH", 5.603)],
)
def test_hardness_is_read_in_every_unit_of_the_trade(written: str, dgh: float) -> None:
    """1 dGH is 17.848 mg/L CaCO3 and 0.17832 mmol/L as printed in tables of hardness units
    (German standard method DIN 38409-6 named from memory); a French degree is 10 mg/L CaCO3."""
    assert q.read_quantity(written, q.GENERAL_HARDNESS) == pytest.approx(dgh, rel=1e-3)


def test_a_millimole_of_bicarbonate_is_half_a_millimole_of_calcium() -> None:
    assert q.read_quantity("1 mmol/L", q.CARBONATE_HARDNESS) == pytest.approx(2.804, rel=1e-3)
    assert q.read_quantity("1 meq/L", q.CARBONATE_HARDNESS) == pytest.approx(2.804, rel=1e-3)


@given(st.floats(0.06, 4900, allow_nan=False))
def test_litres_written_down_read_back(litres: float) -> None:
    assert q.read_quantity(f"{litres!r} L", q.VOLUME) == litres


@given(st.floats(0.1, 1000), st.sampled_from(sorted(q.VOLUME.units)))
def test_a_quantity_in_any_unit_is_its_factor_away(number: float, unit: str) -> None:
    value = number * q.VOLUME.units[unit]
    if q.VOLUME.lowest <= value <= q.VOLUME.highest:
        read = q.read_quantity(f"{number!r} {unit}", q.VOLUME)
        assert read == pytest.approx(value)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        q.read_quantity(text, q.CONCENTRATION)
    except Unreadable as error:
        assert error.problem


@pytest.mark.parametrize(("written", "count"), [(8, 8), (8.0, 8), ("8", 8), ("about 40", 40)])
def test_animals_are_counted_in_whole_numbers(written: object, count: int) -> None:
    assert q.read_count(written) == count


@pytest.mark.parametrize("written", [-1, 2.5, "plenty", "8 shrimp", True, None, 1e9, float("inf")])
def test_half_animals_and_fewer_than_none_are_refused(written: object) -> None:
    with pytest.raises(Unreadable):
        q.read_count(written)
