"""Carbonate constants and free CO2, against printed and computed tables."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.water import ammonia, carbonate
from diagnose.water.atomic_weights import CACO3, CO2, HCO3

HERE = Path(__file__).parent
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


CONSTANTS = rows("carbonate_constants.csv")
FREE_CO2 = rows("co2_from_kh_ph.csv")


def co2_factor_at_ph_6(temperature_c: float) -> float:
    """Free CO2 per mg/L CaCO3 of alkalinity at pH 6 in very thin water, the textbook factor."""
    return 10.0 ** (carbonate.pk1(temperature_c) - 6.0) * 2.0 * CO2 / CACO3


QUANTITIES = {
    "pK1": carbonate.pk1,
    "pK2": carbonate.pk2,
    "pKa of ammonium": ammonia.pka,
    "CO2 at air equilibrium, mg/L": carbonate.co2_air_equilibrium_mg_l,
    "CO2 factor at pH 6 per mg/L CaCO3": co2_factor_at_ph_6,
}


def test_the_files_hold_every_row_they_should() -> None:
    assert len(CONSTANTS) == 58
    assert len(FREE_CO2) == 48


@pytest.mark.parametrize(
    "row",
    CONSTANTS,
    ids=lambda row: f"{row['constant']}, {row['temperature_c']} C, {row['provenance']}",
)
def test_the_constants_are_the_ones_printed(row: Row, meets) -> None:
    """Plummer and Busenberg 1982, Harned and Davis 1943, Harned and Scholes 1941, SRAC 464."""
    ours = QUANTITIES[row["constant"]](float(row["temperature_c"]))
    meets(ours, row["printed"], row["tolerance"])


def place(row: Row) -> tuple[float, float, float]:
    return float(row["kh_dKH"]), float(row["pH"]), float(row["temp_C"])


def where(row: Row) -> str:
    return f"{row['kh_dKH']} dKH, pH {row['pH']}, {row['temp_C']} C"


@pytest.mark.parametrize("row", FREE_CO2, ids=where)
def test_free_co2_agrees_with_phreeqc(row: Row) -> None:
    """PHREEQC (phreeqc.dat), sodium-bicarbonate type, within the 1.5 % asked; calcium 5 % lower."""
    ours = carbonate.free_co2_mg_l(*place(row))
    assert ours == pytest.approx(float(row["co2_mgL_phreeqc_Na"]), rel=0.015)
    calcium_type = float(row["co2_mgL_phreeqc_Ca"])
    assert 0.95 * ours <= calcium_type <= 1.001 * ours


@pytest.mark.parametrize("row", FREE_CO2, ids=where)
def test_free_co2_without_carbonate_is_an_upper_bound(row: Row) -> None:
    """Hand formulas computed apart: no activity reads 2 to 9 % high, Davies alone up to 1.5 %."""
    ours = carbonate.free_co2_mg_l(*place(row))
    assert 1.02 <= float(row["co2_mgL_ideal_I0"]) / ours <= 1.09
    assert float(row["co2_mgL_davies"]) == pytest.approx(ours, rel=0.015)


@pytest.mark.parametrize("row", FREE_CO2, ids=where)
def test_the_rule_of_three_times_kh_reads_low_in_cool_water(row: Row) -> None:
    """Trade rule, common practice, no source: CO2 = 3 x KH x 10^(7 - pH); low by 3 to 25 %."""
    low_by = {15: (0.21, 0.26), 20: (0.14, 0.19), 25: (0.085, 0.13), 30: (0.02, 0.08)}
    least, most = low_by[int(row["temp_C"])]
    ours = carbonate.free_co2_mg_l(*place(row))
    assert least <= 1.0 - float(row["co2_mgL_3KH_rule"]) / ours <= most


def test_the_factor_of_the_geological_survey_holds_at_room_warmth() -> None:
    """Skougstad et al. 1979 (second-hand): CO2 = 1.60 x 10^(6 - pH) x HCO3; ours 1.62 at 25 C."""
    ours = 10.0 ** (carbonate.pk1(25) - 6.0) * CO2 / HCO3
    assert ours == pytest.approx(1.62, abs=0.005)
    assert ours == pytest.approx(1.60, rel=0.02)


def test_the_caution_range_of_british_columbia_in_mg_per_litre() -> None:
    """British Columbia 2006, table 28: 10 to 1360 umol/L of CO2, or 0.44 to 59.9 mg/L."""
    low, high = (umol_l * CO2 / 1000 for umol_l in (10.0, 1360.0))
    assert round(low, 2) == 0.44
    assert round(high, 1) == 59.9
