"""What steps claim about amounts, held against published figures and plain arithmetic."""

from __future__ import annotations

import re

import pytest

from diagnose.advice.sizes import SUMS, deficit_halved_h, size_of, waste_share
from diagnose.rulebook.rates import rates
from diagnose.rulebook.terms import Rulebook
from diagnose.water.ammonia import unionised_fraction
from tests.advice_supposed import plan_for


def size(rulebook: Rulebook, step: str, **known: float | str) -> str:
    return size_of(rulebook, rulebook.steps[step], known)


def figures(text: str) -> list[float]:
    return [float(found) for found in re.findall(r"\d+(?:\.\d+)?", text)]


@pytest.mark.parametrize(("ph", "free"), [(7.5, 0.0165), (8.5, 0.144)])
def test_free_share_of_ammonia_at_24_c(ph: float, free: float) -> None:
    """Dr Tim's Aquatics, ammonia glossary, no date (published): of 1 mg/L total at 24 degC 0.0165
    is free at pH 7.5 and 0.144 at pH 8.5. Another table of constants: within a tenth.
    """
    assert unionised_fraction(ph, 24.0) == pytest.approx(free, rel=0.1)


def test_acid_ammonia_is_said_to_grow_tenfold_with_a_unit(rulebook: Rulebook) -> None:
    """Clinical Guide to Fish Medicine, table after Emerson 1975 (secondary): at 15 degC the free
    fraction is 0.0027, 0.027 and 0.215 at pH 7, 8 and 9.
    """
    assert unionised_fraction(7.0, 15.0) == pytest.approx(0.0027, abs=5e-5)
    assert unionised_fraction(8.0, 15.0) == pytest.approx(0.027, abs=5e-4)
    assert unionised_fraction(9.0, 15.0) == pytest.approx(0.215, abs=2e-3)
    said = size(rulebook, "thin-acid-ammonia", tan_mg_l=3.0, ph=6.5, temperature_c=15.0)
    total, now, at, then, times = figures(said)
    assert (total, at) == (3.0, 7.5)
    assert times == pytest.approx(10.0, abs=0.2)
    assert then / now == pytest.approx(times, rel=0.1)


def test_changes_leave_what_dilution_leaves(rulebook: Rulebook) -> None:
    """Plain arithmetic: two changes of 30 % leave 49 %, three 34 %; two halves a quarter."""
    assert figures(size(rulebook, "large-change-matched")) == [50.0, 25.0]
    two, three = figures(size(rulebook, "part-change-matched"))
    assert two == pytest.approx(100 * 0.67**2, abs=0.5)
    assert three == pytest.approx(100 * 0.67**3, abs=0.5)


def test_the_change_for_ammonia_brings_it_where_it_says(rulebook: Rulebook) -> None:
    """Gomes and others 2016 (abstract): 0.05 mg/L free ammonia as N was judged safe for a prawn."""
    known = {"tan_mg_l": 2.0, "ph": 7.9, "temperature_c": 24.0}
    said = size(rulebook, "change-for-waste", **known)
    share, times = waste_share(rulebook, known)
    free = 2.0 * unionised_fraction(7.9, 24.0)
    assert free * (1 - share / 100) ** times <= 0.05 < free * (1 - share / 100) ** (times - 1)
    shown, one, *rest = figures(said)
    assert shown == 2.0 and one == pytest.approx(2.0 * (1 - share / 100), abs=0.06)
    assert times == 1 or rest[0] == times


def test_a_grave_reading_asks_for_half_at_once(rulebook: Rulebook) -> None:
    """Arizona Exotic Animal Hospital, no date (fish): 30 to 50 per cent at once."""
    mild, _ = waste_share(rulebook, {"nitrite_mg_l": 0.6})
    grave, _ = waste_share(rulebook, {"tan_mg_l": 8.0, "ph": 8.4, "temperature_c": 24.0})
    assert mild == 33.0 and grave == 50.0
    assert "half" in size(rulebook, "change-for-waste", tan_mg_l=8.0, ph=8.4, temperature_c=24.0)


def test_nobody_is_told_more_than_one_half_at_a_time(rulebook: Rulebook) -> None:
    for tan in (0.6, 2.0, 8.0, 40.0):
        share, _ = waste_share(rulebook, {"tan_mg_l": tan, "ph": 8.4})
        assert share <= 50.0


def test_thiosulfate_for_tap_chlorine(rulebook: Rulebook) -> None:
    """Hach, dechlorination of samples (published): 7.0 mg of crystals a mg of chlorine."""
    litres, crystals, chlorine = figures(size(rulebook, "dose-conditioner-now", volume_l=10.0))
    assert crystals == pytest.approx(7.0 * litres * chlorine, rel=0.01)


def test_the_dip_is_weighed(rulebook: Rulebook) -> None:
    """Sugiani and others 2015 (abstract): 30 g/L; a hobby page's 15 g in half a litre is the
    same.
    """
    strength, grams, cup_ml = figures(size(rulebook, "salt-dip"))
    assert strength == 30.0
    assert grams == pytest.approx(strength * cup_ml / 1000, abs=0.06)


def test_cooling_takes_as_long_as_its_rate(rulebook: Rulebook) -> None:
    hours = figures(size(rulebook, "cool-slowly", temperature_c=33.0))[0]
    assert hours == pytest.approx((33.0 - 28.0) / rates(rulebook).temperature_c_an_hour)
    assert size(rulebook, "cool-slowly", temperature_c=25.0) == ""


def test_air_takes_hours_not_minutes(rulebook: Rulebook) -> None:
    """Cole and Caraco 1998: about 0.5 m a day through a still lake at 20 degC, so 0.2 m of water
    make up half of what is lacking in ln 2 * 0.2 / 0.5 days, six to seven hours.
    """
    assert deficit_halved_h(8.0, 20.0) == pytest.approx(0.693 * 0.2 / 0.528 * 24, rel=0.03)
    moved, still = figures(size(rulebook, "add-air", volume_l=8.0, temperature_c=20.0))
    assert still / moved == pytest.approx(rulebook.numbers["moved_exchange_times"].value, rel=0.05)


def test_the_moved_surface_is_the_bowl_models_own(rulebook: Rulebook) -> None:
    from diagnose.bowl.parameters import load_ranges
    from diagnose.rulebook.places import bundled

    model = load_ranges(bundled("knowledge"))["moved_exchange"].mid
    assert rulebook.numbers["moved_exchange_times"].value == model


def test_water_weighs_a_kilogram_a_litre(rulebook: Rulebook) -> None:
    assert figures(size(rulebook, "carry-to-clean-air", volume_l=6.0)) == [6.0]


def test_rates_stand_in_one_table_and_in_no_text_twice(rulebook: Rulebook) -> None:
    """ASTM E729-80, 10.4.1: at most 3 degC in any twelve hours."""
    table = rates(rulebook)
    assert table.temperature_c_in_12_h == 3.0
    assert table.gh_dgh_a_day == 1.0 and table.solids_percent_a_day == 10.0
    for name in ("drip-minerals-slowly", "thin-minerals-slowly"):
        assert f"{table.gh_dgh_a_day:g} degree of hardness" in rulebook.steps[name].do
        assert (
            f"{table.solids_percent_a_day:g} % of the dissolved solids" in rulebook.steps[name].do
        )
    assert f"by at most {table.gh_dgh_a_day:g} degree" in rulebook.cautions["minerals-slowly"].text


def test_every_sum_belongs_to_a_step_and_every_step_names_one_that_exists(
    rulebook: Rulebook,
) -> None:
    used = {step.computed for step in rulebook.steps.values() if step.computed}
    assert used == set(SUMS)


def test_a_size_is_never_a_guess(rulebook: Rulebook) -> None:
    """Where what it needs is not known, nothing is said."""
    found = plan_for(rulebook, {"death_shape": "all_at_once"}, "still-night-oxygen")
    step = next(item.step for item in found.steps if item.step.id == "add-air")
    assert size_of(rulebook, step, found.values) == ""


@pytest.mark.parametrize(
    ("step", "metric", "us"),
    [
        # 1 US gal = 3.785411784 L, 1 lb = 0.45359237 kg, 1 US fl oz = 29.5735 mL: NIST Handbook 44,
        # appendix C.
        ("dose-conditioner-now", "7.6 L", "2 US gal"),
        ("carry-to-clean-air", "7.6 kg", "17 lb"),
        ("salt-dip", "250 mL", "8.5 US fl oz"),
    ],
)
def test_sizes_are_said_in_the_keepers_units(
    rulebook: Rulebook, step: str, metric: str, us: str
) -> None:
    known = {"volume_l": 7.57}
    assert metric in size_of(rulebook, rulebook.steps[step], known)
    assert us in size_of(rulebook, rulebook.steps[step], known, "us")
