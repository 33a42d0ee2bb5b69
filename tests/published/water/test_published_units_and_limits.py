"""Hardness units, conductivity, chlorine, copper and nitrogen, against printed figures."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from diagnose.water import ammonia, chlorine, conductivity, copper, hardness, nitrogen
from diagnose.water.atomic_weights import MG, MGO

HERE = Path(__file__).parent
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def named(row: Row) -> str:
    return f"{row['quantity']} = {row['printed']}, {row['provenance']}"


HARDNESS: Mapping[str, Callable[[], float]] = {
    "1 dGH as mmol/L": lambda: hardness.convert(1, "dGH", "mmol/L"),
    "1 dGH as meq/L": lambda: hardness.convert(1, "dGH", "meq/L"),
    "1 dGH as mg/L CaCO3": lambda: hardness.convert(1, "dGH", "mg/L CaCO3"),
    "1 dGH as mg/L MgO": lambda: hardness.magnesium_mg_l(1, calcium_share=0) * MGO / MG,
    "1 dGH as mg/L Ca": lambda: hardness.calcium_mg_l(1),
    "1 dKH as mg/L HCO3": lambda: hardness.bicarbonate_mg_l(1),
    "1 mg/L Ca as CaCO3": lambda: hardness.from_calcium_and_magnesium_mg_l_caco3(1, 0),
    "1 mg/L Mg as CaCO3": lambda: hardness.from_calcium_and_magnesium_mg_l_caco3(0, 1),
    "Ca 50 and Mg 10 mg/L as CaCO3": lambda: hardness.from_calcium_and_magnesium_mg_l_caco3(50, 10),
    "50 mg/L CaCO3 as meq/L": lambda: hardness.convert(50, "mg/L CaCO3", "meq/L"),
    "50 mg/L CaCO3 as dGH": lambda: hardness.convert(50, "mg/L CaCO3", "dGH"),
    "1 French degree as mg/L CaCO3": lambda: hardness.convert(1, "French degree", "mg/L CaCO3"),
    "1 English degree as mg/L CaCO3": lambda: hardness.convert(1, "English degree", "mg/L CaCO3"),
    "1 grain per US gallon as mg/L CaCO3": lambda: hardness.convert(1, "grain/gal", "mg/L CaCO3"),
}


@pytest.mark.parametrize("row", rows("hardness.csv"), ids=named)
def test_hardness_units_are_as_printed(row: Row, meets) -> None:
    """Printed unit factors, FAO glossary, atomic weights: citation in each row."""
    meets(HARDNESS[row["quantity"]](), row["printed"], row["tolerance"])


LINE_OFF_BY = 0.015  # the straight line against curved potassium chloride data, 10 to 30 C


def standard(row: Row) -> tuple[float, float]:
    words = row["quantity"].split()
    return float(words[1]), float(words[5])


STANDARDS = [row for row in rows("conductivity.csv") if row["quantity"].startswith("KCl 1413")]
WEAK_STANDARDS = [row for row in rows("conductivity.csv") if row["quantity"].startswith("KCl 84")]


@pytest.mark.parametrize("row", STANDARDS + WEAK_STANDARDS, ids=named)
def test_a_potassium_chloride_standard_comes_out_right_at_25_degrees(row: Row) -> None:
    """Table of standards in a meter's manual (Mettler S230), linear coefficient 1.91 % per C."""
    at_25_c, temperature_c = standard(row)
    ours = conductivity.to_25_c(
        float(row["printed"]), temperature_c, conductivity.POTASSIUM_CHLORIDE_PER_C
    )
    assert ours == pytest.approx(at_25_c, rel=LINE_OFF_BY)


def factor_at(temperature_c: float) -> float:
    return conductivity.to_25_c(1, temperature_c, conductivity.POTASSIUM_CHLORIDE_PER_C)


CONDUCTIVITY: Mapping[str, Callable[[], float]] = {
    "linear 1.91 %/C factor at 10 C": lambda: factor_at(10),
    "linear 1.91 %/C factor at 15 C": lambda: factor_at(15),
    "linear 1.91 %/C factor at 20 C": lambda: factor_at(20),
    "linear 1.91 %/C factor at 30 C": lambda: factor_at(30),
    "KCl factor at 20 C": lambda: factor_at(20),
    "fresh water default, per C": lambda: conductivity.FRESH_WATER_PER_C,
    "20 to 25 C": lambda: conductivity.to_25_c(1, 20),
    "dissolved solids factor, strong ionic": lambda: conductivity.STRONG_IONIC_FACTOR,
    "dissolved solids factor, lowest sodium chloride": lambda: conductivity.LOWEST_FACTOR,
    "dissolved solids factor, highest in nature": lambda: conductivity.HIGHEST_FACTOR,
}
ENDS = (
    "lowest coefficient of natural waters, per C",
    "highest coefficient of natural waters, per C",
)
SINGLE = [row for row in rows("conductivity.csv") if row["quantity"] in CONDUCTIVITY]


def test_every_row_on_conductivity_is_checked() -> None:
    ends = [row for row in rows("conductivity.csv") if row["quantity"] in ENDS]
    checked = len(STANDARDS) + len(WEAK_STANDARDS) + len(SINGLE) + len(ends)
    assert checked == len(rows("conductivity.csv"))
    low, high = (float(row["printed"]) for row in ends)
    assert low <= conductivity.FRESH_WATER_PER_C <= high  # Hayashi 2004


@pytest.mark.parametrize("row", SINGLE, ids=named)
def test_conductivity_factors_are_as_printed(row: Row, meets) -> None:
    """Makers' manuals, Hayashi 2004, German limits: citation in each row."""
    meets(CONDUCTIVITY[row["quantity"]](), row["printed"], row["tolerance"])


def crystals(which: chlorine.Neutraliser) -> float:
    return chlorine.neutraliser_mg_per_mg_chlorine(which) * chlorine.PENTAHYDRATE_PER_THIOSULFATE


def lc50(hours: float) -> float:
    return chlorine.monochloramine_lc50_ug_l(60 * hours)


def chinook(hours: float) -> float:
    return chlorine.monochloramine_lc50_ug_l(60 * hours, chlorine.CHINOOK_SALMON_LC50)


dose = chlorine.neutraliser_mg_per_mg_chlorine
RESERVE = 1.10
CHLORINE: Mapping[str, Callable[[], float]] = {
    "BC intermittent cap ug/L": lambda: chlorine.bc_intermittent_limit_ug_l(1),
    "thiosulfate to sulfate, anhydrous": lambda: dose("thiosulfate to sulfate"),
    "thiosulfate to sulfate, crystals": lambda: crystals("thiosulfate to sulfate"),
    "thiosulfate one to one, anhydrous": lambda: dose("thiosulfate one to one"),
    "thiosulfate one to one, crystals": lambda: crystals("thiosulfate one to one"),
    "thiosulfate to tetrathionate, anhydrous": lambda: dose("thiosulfate to tetrathionate"),
    "thiosulfate to tetrathionate, crystals": lambda: crystals("thiosulfate to tetrathionate"),
    "sodium bisulfite": lambda: dose("sodium bisulfite"),
    "sodium metabisulfite": lambda: dose("sodium metabisulfite"),
    "sodium sulfite": lambda: dose("sodium sulfite"),
    "ascorbic acid": lambda: dose("ascorbic acid"),
    "sodium ascorbate": lambda: dose("sodium ascorbate"),
    "sodium bisulfite with a reserve of 10 %": lambda: RESERVE * dose("sodium bisulfite"),
    "sodium metabisulfite with a reserve of 10 %": lambda: RESERVE * dose("sodium metabisulfite"),
    "sodium sulfite with a reserve of 10 %": lambda: RESERVE * dose("sodium sulfite"),
    "water flea LC50 at 1 h, ug/L": lambda: lc50(1),
    "water flea LC50 at 4 h, ug/L": lambda: lc50(4),
    "water flea LC50 at 24 h, ug/L": lambda: lc50(24),
    "water flea LC50 at 96 h, ug/L": lambda: lc50(96),
    "chinook LC50 at 1 h, ug/L": lambda: chinook(1),
    "chinook LC50 at 24 h, ug/L": lambda: chinook(24),
    "chinook LC50 at 96 h, ug/L": lambda: chinook(96),
    "water flea minutes at 1000 ug/L": lambda: chlorine.monochloramine_minutes_to_half_dead(1000),
    "water flea hours at 200 ug/L": lambda: chlorine.monochloramine_minutes_to_half_dead(200) / 60,
}


@pytest.mark.parametrize("row", rows("chlorine.csv"), ids=named)
def test_chlorine_figures_are_as_printed(row: Row, meets) -> None:
    """EPA 1984, British Columbia 2006, WHO, AWWA, Hach, Farrell et al.: citation in each row."""
    meets(CHLORINE[row["quantity"]](), row["printed"], row["tolerance"])


def test_the_field_guides_thiosulfate_dose_fits_no_reaction() -> None:
    """AWWA field guide table 7-2 prints 1.9, flagged: an empirical dose, no end product fits."""
    for which in (
        "thiosulfate to sulfate",
        "thiosulfate one to one",
        "thiosulfate to tetrathionate",
    ):
        for mass in (dose(which), crystals(which)):
            assert abs(mass / 1.9 - 1) > 0.10


COPPER: Mapping[str, Callable[[float], float]] = {
    "CMC total, -1.700": lambda h: copper.epa_acute_ug_l(h, dissolved=False),
    "CCC total, -1.702": lambda h: copper.epa_chronic_ug_l(h, dissolved=False),
    "CMC dissolved, x0.960": copper.epa_acute_ug_l,
    "CCC dissolved, x0.960": copper.epa_chronic_ug_l,
    "CMC total, old -1.464": lambda h: copper.epa_acute_ug_l(
        h, dissolved=False, law=copper.EPA_ACUTE_1985
    ),
    "CCC total, old -1.465": lambda h: copper.epa_chronic_ug_l(
        h, dissolved=False, law=copper.EPA_CHRONIC_1985
    ),
    "BC max": copper.bc_maximum_ug_l,
    "CCME": copper.ccme_ug_l,
}
COPPER_ROWS = rows("copper_criteria.csv")
COPPER_LIMITS = [row for row in COPPER_ROWS if row["type"] == "criterion"]
COPPER_TOXICITY = [row for row in COPPER_ROWS if row["type"] == "toxicity"]


def copper_named(row: Row) -> str:
    hardness_mg_l = row["hardness_mgL_CaCO3"] or "unknown"
    return f"{row['metric']}, hardness {hardness_mg_l}, {row['provenance']}"


@pytest.mark.parametrize("row", COPPER_LIMITS, ids=copper_named)
def test_copper_limits_are_as_printed(row: Row, meets) -> None:
    """40 CFR 132 as in Oregon's tests, British Columbia 2006, CCME: citation in each row."""
    printed = row["value"] or row["equation_value"]
    ours = COPPER[row["metric"]](float(row["hardness_mgL_CaCO3"]))
    meets(ours, printed, "1e-6 relative" if len(printed) > 8 else "")


SOFT_MG_L = 50.0
# The most sensitive of 44 cladocerans stands below the acute limit of water that is not very soft.
BELOW_THE_LIMIT = "44 cladocerans 48-h EC50 low end"


@pytest.mark.parametrize(
    "row",
    [row for row in COPPER_TOXICITY if row["metric"] != BELOW_THE_LIMIT],
    ids=copper_named,
)
def test_the_acute_copper_limit_lies_below_what_killed_the_animals(row: Row) -> None:
    """Yang 2008, Bossuyt and Janssen 2005, Arthur and Leonard 1970: citation in each row."""
    hardness_mg_l = float(row["hardness_mgL_CaCO3"] or SOFT_MG_L)
    assert copper.epa_acute_ug_l(hardness_mg_l) < float(row["value"])


def test_the_acute_copper_limit_does_not_save_the_most_sensitive_cladoceran() -> None:
    """Bossuyt and Janssen 2005 (abstract): lowest 48-h EC50 5.3 ug/L."""
    (row,) = [row for row in COPPER_TOXICITY if row["metric"] == BELOW_THE_LIMIT]
    assert float(row["value"]) < copper.epa_acute_ug_l(SOFT_MG_L)
    assert float(row["value"]) > copper.epa_acute_ug_l(25)


def test_british_columbias_mean_for_copper() -> None:
    """British Columbia 2006: 2 ug/L up to a hardness of 50, then 0.04 H."""
    assert [copper.bc_mean_ug_l(h) for h in (10, 50, 100, 200)] == [2, 2, 4, 8]


@pytest.mark.parametrize("row", rows("copper_drinking_water.csv"), ids=named)
def test_drinking_water_may_hold_far_more_copper_than_shrimp_bear(row: Row) -> None:
    """WHO against the highest acute limit for water animals."""
    assert row["quantity"] == "WHO ug/L"
    assert float(row["printed"]) > 20 * copper.epa_acute_ug_l(copper.HIGHEST_HARDNESS_MG_L)


NITROGEN: Mapping[str, Callable[[], float]] = {
    "NO2 per N": lambda: nitrogen.nitrite_from_n_mg_l(1),
    "NO3 per N": lambda: nitrogen.nitrate_from_n_mg_l(1),
    "NH3 per N": lambda: ammonia.nh3_from_n_mg_l(1),
    "N per NH3": lambda: ammonia.nh3_as_n(1),
    "NH4 per N": lambda: ammonia.nh4_from_tan_mg_l(1),
    "protein N": lambda: nitrogen.feed_nitrogen_mg(1, 1),
    "ammonia N per protein": lambda: nitrogen.feed_tan_mg(1, 1),
    "ammonia N per protein, zero exchange": lambda: nitrogen.AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE,
    "60 kg of feed at 40 % protein, kg TAN": lambda: nitrogen.feed_tan_mg(60e6, 0.40) / 1e6,
    "1 kg of feed at 35 % protein, g TAN": lambda: nitrogen.feed_tan_mg(1e6, 0.35) / 1e3,
    "50 mg of feed at 40 % protein, mg TAN": lambda: nitrogen.feed_tan_mg(50, 0.40),
}


@pytest.mark.parametrize("row", rows("nitrogen.csv"), ids=named)
def test_nitrogen_figures_are_as_printed(row: Row, meets) -> None:
    """Atomic weights, Timmons and Ebeling, British Columbia 2006, WHO: citation in each row."""
    meets(NITROGEN[row["quantity"]](), row["printed"], row["tolerance"])


@pytest.mark.parametrize(
    "row", rows("nitrite_by_chloride.csv"), ids=lambda row: f"chloride {row['chloride_mg_l']}"
)
def test_chloride_raises_the_nitrite_limit_as_printed(row: Row) -> None:
    """British Columbia 2006, Approved Water Quality Guidelines, table 17."""
    chloride_mg_l = float(row["chloride_mg_l"])
    assert nitrogen.bc_nitrite_maximum_mg_l(chloride_mg_l) == float(row["maximum_mg_l"])
    assert nitrogen.bc_nitrite_mean_mg_l(chloride_mg_l) == float(row["mean_mg_l"])
