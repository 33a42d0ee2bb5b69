"""The same water given to two other programs: PHREEQC and the TEOS-10 seawater library.

Both are run here, live, on a small grid. What they share with us is said at each check.
"""

from __future__ import annotations

import gsw
import periodictable
import pytest
from phreeqpython import PhreeqPython

from diagnose.water import ammonia, atomic_weights, carbonate, oxygen
from diagnose.water.hardness import convert
from diagnose.water.mixing import Buffer, mixed_ph

GRAMS_PER_MOL_O2 = 31.9988


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    return PhreeqPython(database="phreeqc.dat")


def bicarbonate_water(phreeqc, dkh: float, ph: float, temperature_c: float):
    """A sodium-bicarbonate water of this alkalinity, pH and temperature."""
    meq_l = convert(dkh, "dKH", "meq/L")
    return phreeqc.add_solution(
        {
            "temp": temperature_c,
            "units": "mmol/kgw",
            "pH": ph,
            "Alkalinity": meq_l,
            "Na": f"{meq_l} charge",
        }
    )


@pytest.mark.parametrize("temperature_c", [5, 12, 20, 25, 31])
@pytest.mark.parametrize("ph", [6.0, 7.0, 8.0, 8.6])
@pytest.mark.parametrize("dkh", [0.5, 3, 12])
def test_free_co2_of_phreeqc_is_ours(phreeqc, dkh: float, ph: float, temperature_c: float) -> None:
    """PHREEQC, phreeqc.dat; shares our pK1, so this tests activity and speciation."""
    water = bicarbonate_water(phreeqc, dkh, ph, temperature_c)
    theirs_mg_kg = water.species["CO2"] * atomic_weights.CO2 * 1000.0
    assert carbonate.free_co2_mg_l(dkh, ph, temperature_c) == pytest.approx(theirs_mg_kg, rel=0.01)
    water.forget()


@pytest.mark.parametrize("temperature_c", [5, 15, 20, 25, 30, 35])
@pytest.mark.parametrize("ph", [6.0, 7.0, 8.0])
def test_unionised_ammonia_of_phreeqc_in_pure_water_is_ours(
    phreeqc, ph: float, temperature_c: float
) -> None:
    """PHREEQC, phreeqc.dat, trace ammonia with hardly any salt: within 0.5 % of Emerson 1975."""
    water = phreeqc.add_solution(
        {
            "temp": temperature_c,
            "units": "mmol/kgw",
            "pH": ph,
            "N(-3)": 1e-4,
            "Na": 2e-3,
            "Cl": "2e-3 charge",
        }
    )
    nh3, nh4 = water.species["NH3"], water.species["NH4+"]
    assert ammonia.unionised_fraction(ph, temperature_c) == pytest.approx(
        nh3 / (nh3 + nh4), rel=0.005
    )
    water.forget()


@pytest.mark.parametrize("temperature_c", [2, 10, 20, 25, 30, 38])
def test_the_ion_product_of_water_is_phreeqcs(phreeqc, temperature_c: float) -> None:
    """PHREEQC, phreeqc.dat: neutral pH of pure water is half of pKw (ours from memory)."""
    water = phreeqc.add_solution({"temp": temperature_c, "pH": "7 charge"})
    assert carbonate.pkw(temperature_c) == pytest.approx(2 * water.pH, abs=0.012)
    water.forget()


@pytest.mark.parametrize(
    ("old", "new", "share"),
    [
        (Buffer(4, 6.6, 22), Buffer(4, 8.2, 22), 0.5),
        (Buffer(2, 7.0, 24), Buffer(8, 7.8, 18), 0.25),
        (Buffer(10, 8.0, 20), Buffer(1, 6.8, 20), 0.8),
        (Buffer(0.6, 6.2, 25), Buffer(6, 7.5, 25), 0.1),
    ],
)
def test_two_waters_mixed_have_the_ph_that_phreeqc_gives(
    phreeqc, old: Buffer, new: Buffer, share: float
) -> None:
    """PHREEQC, phreeqc.dat, MIX of two sodium-bicarbonate waters: within 0.005."""
    first = bicarbonate_water(phreeqc, old.alkalinity_dkh, old.ph, old.temperature_c)
    second = bicarbonate_water(phreeqc, new.alkalinity_dkh, new.ph, new.temperature_c)
    mixture = phreeqc.mix_solutions({first: 1.0 - share, second: share})
    assert mixed_ph(old, new, share) == pytest.approx(mixture.pH, abs=0.005)
    for water in (first, second, mixture):
        water.forget()


@pytest.mark.parametrize("temperature_c", range(0, 41, 4))
def test_oxygen_of_the_seawater_library_at_no_salt_is_ours(temperature_c: float) -> None:
    """TEOS-10 library: oxygen solubility times density; rests on Benson and Krause's data too."""
    umol_kg = float(gsw.O2sol_SP_pt(0.0, temperature_c))
    kg_m3 = float(gsw.rho_t_exact(0.0, temperature_c, 0.0))
    theirs_mg_l = umol_kg * kg_m3 * GRAMS_PER_MOL_O2 * 1e-6
    assert oxygen.saturation_mg_l(temperature_c) == pytest.approx(theirs_mg_l, rel=0.00025)


def test_the_seawater_library_gives_its_own_documented_value() -> None:
    """TEOS-10 documentation: SP 34.7118, pt 28.8099 gives 194.6825 umol/kg."""
    assert float(gsw.O2sol_SP_pt(34.7118, 28.8099)) == pytest.approx(194.6825, abs=0.0001)


@pytest.mark.parametrize("symbol", ["H", "C", "N", "O", "Na", "Mg", "S", "Cl", "Ca"])
def test_atomic_weights_are_those_of_an_independent_table(symbol: str) -> None:
    """periodictable, a library's copy of the IUPAC table; ours are abridged to five digits."""
    ours = getattr(atomic_weights, symbol.upper())
    assert ours == pytest.approx(getattr(periodictable, symbol).mass, rel=3e-4)
