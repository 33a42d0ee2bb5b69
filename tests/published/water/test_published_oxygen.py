"""Oxygen in fresh water, air pressure and gas transfer, against printed tables."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.water import oxygen

HERE = Path(__file__).parent
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


SATURATION = rows("do_saturation.csv")
TRANSFER = rows("oxygen_transfer.csv")
PRESSURE = rows("pressure_factor.csv")


def ours(row: Row) -> float:
    return oxygen.saturation_mg_l(float(row["temp_C"]), float(row["pressure_mmHg"]))


def where(row: Row) -> str:
    return f"{row['set']}: {row['temp_C']} C, {row['pressure_mmHg']} mmHg, {row['provenance']}"


PRINTED = [row for row in SATURATION if row["provenance"] == "published"]


def test_the_files_hold_every_row_they_should() -> None:
    assert len(SATURATION) == 216
    assert len(PRINTED) == 102
    assert len(TRANSFER) == 30


@pytest.mark.parametrize("row", [row for row in PRINTED if not row["flag"]], ids=where)
def test_oxygen_saturation_is_the_one_printed(row: Row, meets) -> None:
    """EN 25814, Chapra, and makers' pressure and altitude tables: citation in each row."""
    meets(ours(row), row["do_mgL_printed"])


@pytest.mark.parametrize("row", [row for row in PRINTED if row["flag"]], ids=where)
def test_flagged_oxygen_entries_differ_from_the_formula(row: Row, meets) -> None:
    """Misprints and an older data set (Montgomery 1964): we differ, by at most 2 %."""
    with pytest.raises(AssertionError, match="ours"):
        meets(ours(row), row["do_mgL_printed"])
    assert ours(row) == pytest.approx(float(row["do_mgL_printed"]), rel=0.02)


@pytest.mark.parametrize(
    "row", [row for row in SATURATION if row["set"].startswith("Benson-Krause")], ids=where
)
def test_benson_and_krause_evaluated_elsewhere_give_the_same(row: Row, meets) -> None:
    """Benson and Krause as in USGS memorandum 2011.03, evaluated apart from this program."""
    meets(ours(row), row["do_mgL_equation"])


@pytest.mark.parametrize("row", [row for row in SATURATION if row["set"] == "gsw"], ids=where)
def test_the_seawater_library_agrees_at_no_salt(row: Row) -> None:
    """TEOS-10 library 3.6.23, values kept here; 0.023 % over 0 to 40 C, not independent."""
    assert ours(row) == pytest.approx(float(row["do_mgL_printed"]), rel=0.00023)


@pytest.mark.parametrize("row", PRESSURE, ids=lambda row: f"{row['pressure_mmhg']} mmHg")
def test_thinner_air_holds_back_oxygen_by_the_published_factor(row: Row, meets) -> None:
    """USGS memorandum 2011.03, its theta from memory, at 20 C; and the memo's simple form."""
    pressure_mmhg = float(row["pressure_mmhg"])
    factor = oxygen.saturation_mg_l(20, pressure_mmhg) / oxygen.saturation_mg_l(20)
    meets(factor, row["factor_at_20_c"])
    vapour_mmhg = 17.535  # at 20 C, handbook value, from memory
    simple = (pressure_mmhg - vapour_mmhg) / (760 - vapour_mmhg)
    assert factor == pytest.approx(simple, abs=0.0002)


@pytest.mark.parametrize("row", [row for row in SATURATION if "altitude" in row["set"]], ids=where)
def test_the_pressure_at_an_altitude_is_the_standard_atmospheres(row: Row, meets) -> None:
    """ICAO standard atmosphere, as behind the altitude table of an instrument maker."""
    altitude_m = float(row["set"].split()[1])
    meets(oxygen.pressure_mmhg_at(altitude_m), row["pressure_mmHg"])


FITS = {
    "Schmidt number, Wanninkhof 1992": oxygen.WANNINKHOF_1992,
    "Schmidt number, Wanninkhof 2014": oxygen.WANNINKHOF_2014,
    "Schmidt number, Raymond 2012": oxygen.RAYMOND_2012,
}


@pytest.mark.parametrize("row", TRANSFER, ids=lambda row: f"{row['quantity']} at {row['at']}")
def test_gas_transfer_is_the_one_computed_elsewhere(row: Row, meets) -> None:
    """Cole and Caraco 1998 and three published Schmidt polynomials: citation in each row."""
    at = float(row["at"])
    match row["quantity"]:
        case "k600 cm/h":
            ours_value = oxygen.k600_cm_h(at)
        case "k600 m/d":
            ours_value = oxygen.k600_cm_h(at) * 24 / 100
        case "still-water k of oxygen m/d, Wanninkhof 1992":
            ours_value = oxygen.transfer_velocity_m_d(at, fit=oxygen.WANNINKHOF_1992)
        case quantity:
            ours_value = oxygen.schmidt_number(at, FITS[quantity])
    meets(ours_value, row["printed"], row["tolerance"])


def test_still_lakes_exchange_gas_as_fast_as_was_measured() -> None:
    """Cole et al. 2010: 0.35 to 0.74 m/d on small lakes with little wind."""
    for temperature_c in (10, 20, 30):
        assert 0.35 <= oxygen.transfer_velocity_m_d(temperature_c) <= 0.74
