"""Un-ionised ammonia and the agencies' limits, against printed tables."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diagnose.water import ammonia

HERE = Path(__file__).parent
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


FRACTIONS = rows("nh3_fraction.csv")
CRITERIA = rows("epa_ammonia_2013.csv")
BC = rows("bc_ammonia_2006.csv")


def of_set(name: str) -> list[Row]:
    found = [row for row in FRACTIONS if row["set"] == name]
    assert found, name
    return found


def share(row: Row, zero_celsius_k: float = ammonia.ZERO_CELSIUS_K) -> float:
    return ammonia.unionised_fraction(float(row["pH"]), float(row["temp_C"]), zero_celsius_k)


def where(row: Row) -> str:
    return f"pH {row['pH']}, {row['temp_C']} C, {row['provenance']}"


PRINTED = [
    row
    for name in ("IFAS-type table", "Trussell 1972", "CCREM 1987 approx")
    for row in of_set(name)
]
UNFLAGGED = [row for row in PRINTED if not row["flag"]]
FLAGGED = [row for row in PRINTED if row["flag"]]


def test_the_files_hold_every_row_they_should() -> None:
    assert len(FRACTIONS) == 307
    assert len(CRITERIA) == 162
    assert len(UNFLAGGED) == 123


@pytest.mark.parametrize("row", UNFLAGGED, ids=lambda row: f"{row['set']}: {where(row)}")
def test_the_unionised_share_is_the_one_printed(row: Row, meets) -> None:
    """Emerson-based veterinary table 1.4, Trussell 1972, CCREM 1987: citation in each row."""
    meets(share(row), row["nh3_fraction_printed"])


@pytest.mark.parametrize("row", FLAGGED, ids=lambda row: f"{row['set']}: {where(row)}")
def test_flagged_entries_differ_from_the_formula_of_emerson(row: Row, meets) -> None:
    """The 32 C column, slips in a last digit, and Trussell's own constants: we differ, rightly."""
    with pytest.raises(AssertionError, match="ours"):
        meets(share(row), row["nh3_fraction_printed"])
    assert share(row) == pytest.approx(float(row["nh3_fraction_printed"]), rel=0.06)


AQION = of_set("aqion TAN 0.03 mmol/L")
TOTAL_MMOL_L = 0.03
AQION_LAST_PLACE_MMOL_L = 0.5e-5


@pytest.mark.parametrize("row", [row for row in AQION if not row["flag"]], ids=where)
def test_aqion_prints_the_same_unionised_ammonia_to_its_last_place(row: Row) -> None:
    """aqion.de, page 109: total ammonia 0.03 mmol/L at 15 C, printed to 0.00001 mmol/L."""
    printed_mmol_l = TOTAL_MMOL_L * float(row["nh3_fraction_printed"])
    ours = ammonia.unionised_ammonia_mg_l(TOTAL_MMOL_L, float(row["pH"]), float(row["temp_C"]))
    assert ours == pytest.approx(printed_mmol_l, abs=AQION_LAST_PLACE_MMOL_L + 1e-8)


@pytest.mark.parametrize("row", [row for row in AQION if row["flag"]], ids=where)
def test_the_two_flagged_values_of_aqion_are_within_three_parts_in_a_thousand(row: Row) -> None:
    assert share(row) == pytest.approx(float(row["nh3_fraction_printed"]), rel=0.003)


@pytest.mark.parametrize("row", of_set("Emerson 1975 equation"), ids=where)
def test_the_equation_of_emerson_evaluated_elsewhere_gives_the_same(row: Row) -> None:
    """Emerson et al. 1975, evaluated apart from this program to six digits, both zeros."""
    assert share(row) == pytest.approx(float(row["nh3_fraction_equation"]), rel=1e-5)
    older = float(row["nh3_fraction_equation_T0_273.2"])
    assert share(row, ammonia.BC_ZERO_CELSIUS_K) == pytest.approx(older, rel=1e-5)


@pytest.mark.parametrize("row", of_set("PHREEQC"), ids=where)
def test_phreeqc_in_soft_water_reads_up_to_three_percent_lower(row: Row) -> None:
    """PHREEQC (phreeqc.dat) with the salts of 2 dKH: activity lowers the share by 1.5 to 2.7 %."""
    theirs = float(row["nh3_fraction_printed"])
    assert 0.970 * share(row) <= theirs <= 0.990 * share(row)


THURSTON = of_set("Thurston 1979")


@pytest.mark.parametrize("row", [row for row in THURSTON if not row["flag"]], ids=where)
def test_thurston_from_memory_where_both_zeros_agree(row: Row) -> None:
    """Thurston, Russo, Emerson 1979, EPA-600/3-79-091; values from memory, so only a hint.

    Six entries agree with 273.15 K; the seventh (pH 8.0, 5 C) is listed as unflagged too.
    """
    assert row["provenance"] == "from memory"
    assert share(row) == pytest.approx(float(row["nh3_fraction_printed"]), rel=0.005)


def test_thurston_from_memory_was_made_with_the_older_zero(meets) -> None:
    """34 of 35 recalled entries fit 273.2 K, the older absolute zero; a hint, not evidence."""
    misses = 0
    for row in THURSTON:
        try:
            meets(share(row, ammonia.BC_ZERO_CELSIUS_K), row["nh3_fraction_printed"])
        except AssertionError:
            misses += 1
    assert misses == 1


def test_a_misprinted_constant_is_not_ours() -> None:
    """The help page of an R package prints 2727.92: 5.445 % at pH 8, 25 C instead of 5.366 %."""
    percent = 100.0 * ammonia.unionised_fraction(8.0, 25.0)
    assert percent == pytest.approx(5.366, abs=0.0005)
    assert abs(percent - 5.445) > 0.05


def criterion(row: Row) -> float:
    ph, temperature_c = float(row["pH"]), float(row["temp_C"])
    if row["criterion"] == "CCC":
        return ammonia.chronic_criterion_tan_mg_l(ph, temperature_c)
    present = row["criterion"].endswith("present")
    return ammonia.acute_criterion_tan_mg_l(ph, temperature_c, salmonids_present=present)


@pytest.mark.parametrize("row", CRITERIA, ids=lambda row: f"{row['criterion']}: {where(row)}")
def test_the_ammonia_limits_of_the_epa(row: Row, meets) -> None:
    """US EPA 2013 (EPA 822-R-18-002) as in Oregon's tables 30A to C; the cap 51.93 from memory."""
    meets(criterion(row), row["tan_mgN_L_equation"])
    if row["tan_mgN_L_printed"]:
        ours = criterion(row)
        digits = 2  # the tables carry two significant digits
        assert float(f"{ours:.{digits}g}") == float(row["tan_mgN_L_printed"])


def test_the_headline_limits_at_ph_7_and_20_degrees() -> None:
    """US EPA 2013 headline (secondary page): 17 acute, 1.9 chronic, 4.8 for four days."""
    assert float(f"{ammonia.acute_criterion_tan_mg_l(7, 20):.2g}") == 17
    assert float(f"{ammonia.chronic_criterion_tan_mg_l(7, 20):.2g}") == 1.9
    # The EPA multiplies the chronic limit after rounding it: 2.5 x 1.9 = 4.75.
    four_day = 2.5 * float(f"{ammonia.chronic_criterion_tan_mg_l(7, 20):.2g}")
    assert four_day == pytest.approx(4.8, abs=0.0501)


BC_RELATIVE = "0.0057 relative"  # what rounding between steps did to the printed tables


@pytest.mark.parametrize("row", BC, ids=lambda row: f"pH {row['ph']}, {row['temperature_c']} C")
def test_the_ammonia_limits_of_british_columbia(row: Row, meets) -> None:
    """British Columbia 2006, Approved Water Quality Guidelines; made with 273.2 K and 0.822."""
    at = (float(row["ph"]), float(row["temperature_c"]))
    meets(ammonia.bc_maximum_tan_mg_l(*at), row["maximum_mg_l"], BC_RELATIVE)
    meets(ammonia.bc_mean_tan_mg_l(*at), row["mean_mg_l"], BC_RELATIVE)
