"""Recipes and the stages of the way in, given to PHREEQC (phreeqc.dat) to mix.

Both rest on the same law, conservation of mass; what is tested is the arithmetic, molar masses and
units, and the carbonate equilibrium behind the pH.
"""

from __future__ import annotations

import pytest
from phreeqpython import PhreeqPython

from diagnose.acclimation.plan import Water, acclimation_plan
from diagnose.mix.recipes import EPSOM_SALT, GYPSUM, blend, minerals, thinning
from diagnose.rulebook.terms import Rulebook
from diagnose.water.hardness import convert


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    return PhreeqPython(database="phreeqc.dat")


def hard_water(phreeqc, dgh: float):
    """Calcium chloride water of this hardness."""
    mmol = convert(dgh, "dGH", "mmol/L")
    return phreeqc.add_solution({"units": "mmol/kgw", "pH": 7, "Ca": mmol, "Cl": 2 * mmol})


@pytest.mark.parametrize(("first", "second", "target"), [(16, 0, 8), (14, 3, 6), (2, 20, 9)])
def test_two_blended_waters_have_the_target_hardness(
    phreeqc, first: float, second: float, target: float
) -> None:
    found = blend(first, second, target, 6.0)
    one, other = hard_water(phreeqc, first), hard_water(phreeqc, second)
    mixed = phreeqc.mix_solutions({one: found.first_l / 6.0, other: found.second_l / 6.0})
    assert mixed.total("Ca") == pytest.approx(convert(target, "dGH", "mmol/L"), rel=1e-3)


@pytest.mark.parametrize(("now", "target", "litres"), [(0, 6, 10), (3, 8, 5)])
def test_the_salts_raise_the_hardness_by_what_they_should(
    phreeqc, now: float, target: float, litres: float
) -> None:
    dose = minerals(now, target, litres)
    water = hard_water(phreeqc, now)
    calcium = 1000 * dose.mixed_gypsum_g / GYPSUM / litres
    magnesium = 1000 * dose.mixed_epsom_salt_g / EPSOM_SALT / litres
    water.add("CaSO4", calcium, "mmol")
    water.add("MgSO4", magnesium, "mmol")
    hardness = water.total("Ca") + water.total("Mg")
    assert hardness == pytest.approx(convert(target, "dGH", "mmol/L"), rel=1e-3)
    assert calcium == pytest.approx(3 * magnesium)


def test_the_molar_masses_are_those_of_another_table() -> None:
    """periodictable, an independent table of atomic weights."""
    periodictable = pytest.importorskip("periodictable")
    assert pytest.approx(periodictable.formula("CaSO4(H2O)2").mass, rel=1e-4) == GYPSUM
    assert pytest.approx(periodictable.formula("MgSO4(H2O)7").mass, rel=1e-4) == EPSOM_SALT


def test_a_spill_is_thinned_as_phreeqc_mixes_it(phreeqc) -> None:
    found = thinning(120.0, 6.0, 3.0, 0.4)
    water = phreeqc.add_solution({"units": "mg/kgw", "pH": 7, "Na": found.spilt_mg_l})
    pure = phreeqc.add_solution({"units": "mg/kgw", "pH": 7, "Na": 0})
    for _ in range(found.changes):
        water = phreeqc.mix_solutions({water: 1 - found.share, pure: found.share})
    assert water.total("Na", "mg") == pytest.approx(found.left_mg_l, rel=1e-3)
    assert found.left_mg_l <= 3.0 < found.left_mg_l / (1 - found.share)


@pytest.mark.parametrize(
    ("bag", "there"),
    [
        (Water(21, 320, 12, 4, 6.6), Water(23, 200, 8, 5, 7.8)),
        (Water(19, 150, 5, 2, 6.2), Water(24, 260, 9, 6, 8.0)),
    ],
)
def test_each_stage_of_the_way_in_has_the_ph_of_phreeqc(
    phreeqc, rulebook: Rulebook, bag: Water, there: Water
) -> None:
    def carbonate(water: Water):
        meq = convert(water.kh_dkh or 0.0, "dKH", "meq/L")
        return phreeqc.add_solution(
            {
                "temp": water.temperature_c,
                "units": "mmol/kgw",
                "pH": water.ph,
                "Alkalinity": meq,
                "Na": f"{meq} charge",
            }
        )

    plan = acclimation_plan(bag, there, rulebook.numbers)
    jar, container = carbonate(bag), carbonate(there)
    for stage in plan.stages:
        jar = phreeqc.mix_solutions({jar: 0.5, container: 0.5})
        assert stage.water.ph == pytest.approx(jar.pH, abs=0.03)
