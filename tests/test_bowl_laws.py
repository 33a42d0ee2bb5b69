"""What must hold in every container, whatever the numbers: laws of mass, warmth and arithmetic."""

from __future__ import annotations

import dataclasses
import doctest
import importlib
import math
import pkgutil
import subprocess
import sys

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

import diagnose.bowl
from diagnose.bowl import air_water, chemistry, warmth
from diagnose.bowl.bands import band
from diagnose.bowl.capacity import Kept, capacity
from diagnose.bowl.colony import LifeHistory
from diagnose.bowl.description import (
    Bowl,
    BowlError,
    Container,
    Event,
    Habits,
    Reading,
    Room,
    Stock,
    TapWater,
    cylinder,
)
from diagnose.bowl.estimates import estimates
from diagnose.bowl.likelihood import weigh
from diagnose.bowl.parameters import draw_members, load_ranges, middle_members
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import heat_constants, simulate, steps_needed
from diagnose.water import ammonia, mixing, oxygen
from diagnose.water.vapour import vapour_pressure_atm
from tests.bowl_jars import (
    KNOWLEDGE,
    RANGES,
    SEED,
    TEN_JARS,
    feeding_and_loss,
    integrate_outside,
    jar,
    members,
)

DAY = 24
MANY_EVENTS = (
    Event(-100, "feeding", mg=80.0),
    Event(-90, "deaths", stage="females", count=2),
    Event(-80, "animals_added", stage="juveniles", count=12),
    Event(-70, "bodies_removed", share=0.5),
    Event(-60, "animals_removed", stage="males", count=1),
    Event(-50, "biofilm_lost", share=0.7),
    Event(-40, "water_change", share=0.6, temperature_c=15.0, solids_mg_l=60.0),
    Event(-30, "room_shift", shift_c=6.0, hours=10),
)


def lifeless(count: int = 4) -> dict[str, np.ndarray]:
    """Members in which nothing breathes, rots or is nitrified, and nothing evaporates."""
    still = members(count)
    for name in (
        "film_respiration", "nitrification_25c", "evaporation_activity", "lamp_heat_w_l",
        "room_error_c",
        "film_uptake",
    ):  # fmt: skip
        still[name] = np.zeros(count)
    still["film_full"] = np.full(count, 1e-9)
    return still


@pytest.mark.parametrize("name", TEN_JARS)
def test_nitrogen_is_neither_made_nor_lost(name: str) -> None:
    bowl = TEN_JARS[name]
    events = with_habits(bowl, MANY_EVENTS, -8 * DAY, 0)
    run = simulate(bowl, events, -8 * DAY, 0, members(12))
    balance = run.nitrogen_mg - run.added_n_mg + run.removed_n_mg
    assert np.abs(balance / balance[0] - 1.0).max() < 1e-9
    assert run.added_n_mg[-1].min() > 0.0
    assert run.removed_n_mg[-1].min() > 0.0


@settings(max_examples=25, deadline=None)
@given(
    volume_l=st.floats(0.5, 60.0),
    adults=st.floats(0.0, 400.0),
    planting=st.sampled_from(["none", "sparse", "moderate", "dense"]),
    room=st.tuples(st.floats(5.0, 35.0), st.floats(0.0, 10.0)),
    sun_hours=st.floats(0.0, 8.0),
    food_mg=st.floats(0.0, 5000.0),
    dead=st.floats(0.0, 200.0),
    share=st.floats(0.0, 1.0),
    sealed=st.booleans(),
    age_days=st.floats(0.0, 500.0),
    steps=st.integers(1, 4),
)
def test_nothing_falls_below_zero_and_nitrogen_holds_in_any_container(
    volume_l: float, adults: float, planting: str, room: tuple[float, float], sun_hours: float,
    food_mg: float, dead: float, share: float, sealed: bool, age_days: float, steps: int,
) -> None:  # fmt: skip
    bowl = jar(
        volume_l, adults, planting, (room[0], room[0] + room[1]), sun_hours, "south",
        sealed=sealed, biofilm_age_days=age_days,
    )  # fmt: skip
    events = (
        Event(5, "feeding", mg=food_mg),
        Event(20, "deaths", stage="females", count=dead),
        Event(30, "water_change", share=share),
    )
    run = simulate(bowl, events, 0, 3 * DAY, members(6), steps_per_hour=steps)
    pools = run.pools_mg[:, : chemistry.NITRITE_OXIDISERS + 1]
    assert np.isfinite(run.pools_mg).all()
    assert pools.min() >= 0.0
    assert pools[:, chemistry.AMMONIA_OXIDISERS :].max() <= 1.0
    assert run.volume_l.min() > 0.0
    balance = run.nitrogen_mg - run.added_n_mg + run.removed_n_mg
    assert np.abs(balance - balance[0]).max() <= 1e-9 * (run.nitrogen_mg.max() + food_mg)


def test_grazed_film_that_runs_out_as_the_light_does_stays_at_nothing() -> None:
    """A sine of the sun that rounded below nothing at its end gave an uptake below nothing."""
    bowl = jar(0.5, 61.0, "none", (35.0, 45.0), 5.395091393259908, "south", biofilm_age_days=0.0)
    events = (Event(5, "feeding"), Event(20, "deaths"), Event(30, "water_change"))
    run = simulate(bowl, events, 0, 3 * DAY, members(6), steps_per_hour=1)
    assert run.pools_mg[:, : chemistry.NITRITE_OXIDISERS + 1].min() >= 0.0


def test_without_life_the_oxygen_goes_to_the_published_saturation() -> None:
    bowl = jar(
        adults=0, planting="none", room=(24.0, 24.0), habits=Habits(0.0, 0.0, change_share=0)
    )
    run = simulate(bowl, (), 0, 20 * DAY, lifeless())
    assert run.temperature_c[-1] == pytest.approx(24.0, abs=1e-6)
    assert run.oxygen_mg_l[-1] == pytest.approx(oxygen.saturation_mg_l(24.0), rel=1e-4)


def test_water_follows_the_room_with_the_analytic_time_constant() -> None:
    bowl = jar(
        adults=0, planting="none", room=(20.0, 20.0), habits=Habits(0.0, 0.0, change_share=0)
    )
    still = lifeless()
    shift = Event(0, "room_shift", shift_c=5.0, hours=1000)
    run = simulate(bowl, (shift,), 0, 2 * DAY, still, steps_per_hour=8)
    heat = heat_constants(bowl, still)
    capacity = warmth.WATER_KJ_KG_K * bowl.container.volume_l + heat.extra_kj_k
    tau_h = warmth.time_constant_h(capacity, heat.conductance_w_k)
    # The run begins at the first day's mean room, which is already the warm one: cool it first.
    start = run.temperature_c[0]
    assert start == pytest.approx(25.0)
    cooled = simulate(
        bowl, (Event(0, "room_shift", shift_c=-5.0, hours=24), shift), 0, 3 * DAY, still,
        steps_per_hour=8,
    )  # fmt: skip
    began, room_c = cooled.temperature_c[DAY], 25.0
    for hours in (1, 5, 20):
        expected = room_c + (began - room_c) * np.exp(-hours / tau_h)
        assert cooled.temperature_c[DAY + hours] == pytest.approx(expected, abs=2e-3)


def test_a_larger_container_swings_less() -> None:
    small = simulate(jar(2, room=(18, 26)), (), 0, 4 * DAY, members(20))
    large = simulate(jar(60, room=(18, 26)), (), 0, 4 * DAY, members(20))
    last = slice(-DAY, None)
    assert (
        np.ptp(large.temperature_c[last], axis=0) < np.ptp(small.temperature_c[last], axis=0)
    ).all()


@pytest.mark.parametrize("name", TEN_JARS)
def test_half_the_step_changes_thirty_days_by_less_than_a_hundredth(name: str) -> None:
    bowl = TEN_JARS[name]
    events = with_habits(bowl, (), 0, 30 * DAY)
    few = members(6)
    steps = steps_needed(bowl, few)
    whole = simulate(bowl, events, 0, 30 * DAY, few, steps_per_hour=steps)
    halved = simulate(bowl, events, 0, 30 * DAY, few, steps_per_hour=2 * steps)
    for quantity in ("temperature_c", "oxygen_mg_l", "tan_mg_l", "nitrite_mg_l", "nitrate_n_mg_l"):
        coarse, fine = getattr(whole, quantity)[-1], getattr(halved, quantity)[-1]
        assert coarse == pytest.approx(fine, rel=0.01, abs=1e-4), quantity


@pytest.mark.parametrize("name", TEN_JARS)
def test_agrees_with_an_outside_integrator_to_half_a_percent(name: str) -> None:
    """scipy's LSODA at a relative tolerance of 1e-8, over three days with a heavy feed and a loss.

    The difference at every hour is held against the largest value the quantity reached.
    """
    bowl, one = TEN_JARS[name], members(1)
    outside = integrate_outside(bowl, one, 3 * DAY)
    ours = simulate(bowl, feeding_and_loss(bowl), 0, 3 * DAY, one)
    assert np.abs(ours.temperature_c[:, 0] - outside.temperature_c).max() < 0.05
    np.testing.assert_allclose(ours.volume_l[:, 0], outside.volume_l, rtol=1e-4)
    for row in range(chemistry.PLANTS):
        theirs = outside.pools_mg[1:, row]
        off = np.abs(ours.pools_mg[1:, row, 0] - theirs).max()
        assert off <= 0.005 * np.abs(theirs).max() + 1e-9, row


def test_array_forms_equal_the_published_formulae() -> None:
    temperature_c = np.linspace(0.0, 40.0, 41)
    one = np.ones_like(temperature_c)
    for place, t in enumerate(temperature_c.tolist()):
        assert air_water.oxygen_saturation_mg_l(temperature_c, 1.0)[place] == pytest.approx(
            oxygen.saturation_mg_l(t), rel=1e-12
        )
        assert air_water.schmidt_number(temperature_c)[place] == pytest.approx(
            oxygen.schmidt_number(t), rel=1e-12
        )
        assert air_water.exchange_velocity_m_d(temperature_c, one)[place] == pytest.approx(
            oxygen.transfer_velocity_m_d(t), rel=1e-12
        )
        assert air_water.vapour_pressure_kpa(temperature_c)[place] == pytest.approx(
            vapour_pressure_atm(t) * 101.325, rel=1e-12
        )
        for ph in (6.0, 7.4, 9.0):
            assert air_water.unionised_share(np.array(ph), temperature_c)[place] == pytest.approx(
                ammonia.unionised_fraction(ph, t), rel=1e-12
            )


def test_a_water_change_mixes_as_the_mass_balance_says() -> None:
    bowl = jar(tap=TapWater(solids_mg_l=100.0, gh_dgh=4.0))
    change = Event(10, "water_change", share=0.4, solids_mg_l=400.0, gh_dgh=10.0)
    run = simulate(bowl, (change,), 0, 12, members(5))
    before, kept = run.solids_mg_l[10], 0.6 * run.volume_l[10]
    into = bowl.container.volume_l - kept
    for member in range(5):
        mixed = mixing.mix(
            [mixing.Portion(kept[member], before[member]), mixing.Portion(into[member], 400.0)]
        )
        # An hour of evaporation lies between.
        shrink = bowl.container.volume_l / run.volume_l[11][member]
        assert run.solids_mg_l[11][member] == pytest.approx(mixed * shrink, rel=1e-9)


def test_evaporation_concentrates_and_topping_up_with_tap_water_creeps() -> None:
    dry = jar(habits=Habits(change_share=0.0, topup="nothing"))
    run = simulate(dry, with_habits(dry, (), 0, 10 * DAY), 0, 10 * DAY, members(10))
    assert (run.volume_l[-1] < run.volume_l[0]).all()
    np.testing.assert_allclose(
        run.solids_mg_l[-1] * run.volume_l[-1], run.solids_mg_l[0] * run.volume_l[0], rtol=1e-12
    )
    tap = dataclasses.replace(dry, habits=Habits(change_share=0.0, topup="tap"))
    pure = dataclasses.replace(dry, habits=Habits(change_share=0.0, topup="mineral_free"))
    creeping = simulate(tap, with_habits(tap, (), 0, 60 * DAY), 0, 60 * DAY, members(10))
    steady = simulate(pure, with_habits(pure, (), 0, 60 * DAY), 0, 60 * DAY, members(10))
    # Both were topped up within three days: compare at the same filling.
    creep = creeping.solids_mg_l[-1] * creeping.volume_l[-1]
    hold = steady.solids_mg_l[-1] * steady.volume_l[-1]
    assert (creep > 1.15 * hold).all()


def test_the_same_seed_gives_the_same_numbers_and_another_seed_others() -> None:
    bowl = jar()
    one = simulate(bowl, (), 0, DAY, members(8))
    again = simulate(bowl, (), 0, DAY, members(8))
    other = simulate(bowl, (), 0, DAY, members(8, SEED + 1))
    assert one.pools_mg.tobytes() == again.pools_mg.tobytes()
    assert one.pools_mg.tobytes() != other.pools_mg.tobytes()


def test_another_order_of_the_parameters_changes_no_member() -> None:
    turned = dict(reversed(RANGES.items()))
    drawn, again = draw_members(RANGES, SEED, 20), draw_members(turned, SEED, 20)
    assert all((drawn[name] == again[name]).all() for name in RANGES)


def test_members_keep_within_their_ranges_and_spread_over_them() -> None:
    drawn = members(200)
    for name, bounds in RANGES.items():
        assert drawn[name].min() >= bounds.low
        assert drawn[name].max() <= bounds.high
        assert np.ptp(drawn[name]) > 0.7 * (bounds.high - bounds.low)


def test_the_order_of_events_does_not_matter() -> None:
    bowl = jar()
    events = with_habits(bowl, (*MANY_EVENTS, Event(-40, "feeding", mg=20.0)), -6 * DAY, 0)
    there = simulate(bowl, events, -6 * DAY, 0, members(4))
    back = simulate(bowl, tuple(reversed(events)), -6 * DAY, 0, members(4))
    assert there.pools_mg.tobytes() == back.pools_mg.tobytes()


def test_a_member_does_not_depend_on_the_others() -> None:
    bowl, many = jar(), members(10)
    alone = {name: values[3:4] for name, values in many.items()}
    together = simulate(bowl, feeding_and_loss(bowl), 0, 2 * DAY, many, steps_per_hour=2)
    single = simulate(bowl, feeding_and_loss(bowl), 0, 2 * DAY, alone, steps_per_hour=2)
    np.testing.assert_allclose(together.pools_mg[:, :, 3:4], single.pools_mg, rtol=1e-12)


def test_a_measured_temperature_sharpens_the_warmth_and_what_depends_on_it() -> None:
    unknown = dataclasses.replace(jar(), room=Room())
    run = simulate(unknown, with_habits(unknown, (), -10 * DAY, 1), -10 * DAY, 1, members())
    before = estimates(run)
    readings = (Reading(-30, "temperature_c", 24.5), Reading(-6, "temperature_c", 24.5))
    weighed = weigh(run, readings)
    after = estimates(run, weights=weighed.weights)
    width = {name: high - low for name, (low, _, high) in before.items()}
    narrow = {name: high - low for name, (low, _, high) in after.items()}
    assert narrow["temperature_max_c"] < 0.5 * width["temperature_max_c"]
    assert after["temperature_c"][1] > before["temperature_c"][1] + 1.5
    assert after["oxygen_dawn_mg_l"][1] < before["oxygen_dawn_mg_l"][1]
    assert weighed.weights.sum() == pytest.approx(1.0)
    turned = weigh(run, tuple(reversed(readings)))
    assert (turned.weights == weighed.weights).all()


def test_a_reading_no_member_can_meet_is_softened_and_says_so() -> None:
    bowl = jar()
    run = simulate(bowl, (), -2 * DAY, 1, members(100))
    hot = weigh(run, (Reading(-5, "temperature_c", 34.0),))
    assert hot.softened < 1.0
    assert hot.effective_members >= 9.9
    assert hot.best_misfit > 3.0
    poisoned = weigh(run, (Reading(-5, "tan_mg_l", 9.0),))
    assert poisoned.best_misfit > 3.0
    met = weigh(run, (Reading(-5, "temperature_c", 21.0),))
    assert met.best_misfit < 1.0
    assert (weigh(run, ()).weights == 0.01).all()


def test_a_measured_ammonia_moves_the_poisonous_share_with_it() -> None:
    bowl = dataclasses.replace(jar(biofilm_age_days=10), ph=8.0)
    events = with_habits(bowl, (), -10 * DAY, 1)
    run = simulate(bowl, events, -10 * DAY, 1, members())
    plain = estimates(run, events)
    told = estimates(run, events, weights=weigh(run, (Reading(0, "tan_mg_l", 0.35),)).weights)
    assert told["tan_mg_l"][1] > plain["tan_mg_l"][1]
    assert told["nh3_mg_l"][1] > plain["nh3_mg_l"][1]


def test_estimates_are_bands_in_order() -> None:
    bowl = jar()
    run = simulate(bowl, with_habits(bowl, (), -5 * DAY, 1), -5 * DAY, 1, members(30))
    for name, (low, middle, high) in estimates(run).items():
        assert low <= middle <= high, name
        assert math.isfinite(low + high), name


def test_equal_weights_are_no_weights() -> None:
    values = np.random.default_rng(3).normal(size=60)
    assert band(values, np.full(60, 0.3)) == pytest.approx(band(values), abs=1e-12)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Container(0.0, 0.03, 0.1), "The volume is 0 L; the model takes 0.2 to 2000 L."),
        (lambda: Container(5, 0.03, 0.1, planting="jungle"),  # type: ignore[arg-type]
         "The planting is `jungle`; it can be none, sparse, moderate, dense."),
        (lambda: Room(25, 20), "lowest temperature (25 degC) is above its highest (20 degC)"),
        (lambda: Stock(females=2, berried=3), "more females with eggs than females"),
        (lambda: Event(0, "feeding", mg=float("nan")), "The food given is nan mg"),
        (lambda: Reading(float("nan"), "tan_mg_l", 1.0), "The hour of a reading is nan"),
        (lambda: Reading(0, "tan_mg_l", float("inf")), "The reading of tan_mg_l is inf"),
        (lambda: cylinder(-1), "The volume is -1 L"),
        (lambda: simulate(jar(), (), 5, 5, members(2)), "A run of 0 hours is not possible"),
        (lambda: draw_members(RANGES, 1, 0), "needs at least one member"),
    ],
)  # fmt: skip
def test_what_cannot_be_run_is_refused_in_a_sentence(make: object, says: str) -> None:
    with pytest.raises(BowlError) as refused:
        make()  # type: ignore[operator]
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("parameters: {a: {low: 1, mid: 3, high: 2, source: memory}}", "must rise from low"),
        ("parameters: {a: {low: 0, mid: 1, high: 2, scale: log, source: memory}}", "above zero"),
        ("parameters: {a: {low: 0, mid: 1, high: 2}}", "names no source"),
        ("parameters: {a: {low: x, mid: 1, high: 2, source: memory}}", "no number `low`"),
        ("parameters: {a: 3}", "is not a mapping"),
        ("other: 1", "has no `parameters:`"),
        ("a: [", "cannot be read"),
    ],
)
def test_a_faulty_parameter_file_is_named(tmp_path, text: str, says: str) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "bowl_parameters.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(BowlError, match=r"bowl_parameters\.yaml") as refused:
        load_ranges(tmp_path)
    assert says in str(refused.value)


def test_every_parameter_names_a_source_that_is_listed() -> None:
    listed = set(yaml.safe_load((KNOWLEDGE / "bowl_parameters.yaml").read_text())["sources"])
    for path in (KNOWLEDGE / "sources").glob("*.yaml"):
        listed |= set(yaml.safe_load(path.read_text(encoding="utf-8")))
    assert {bounds.source for bounds in RANGES.values()} <= listed


def test_every_parameter_of_the_file_is_used_by_the_model() -> None:
    used: set[str] = set()

    class Noting(dict):  # type: ignore[type-arg]
        def __getitem__(self, name: str):  # type: ignore[no-untyped-def]
            used.add(name)
            return super().__getitem__(name)

    few = middle_members(RANGES, 2)
    told = Bowl(jar().container, habits=Habits(feed_mg_per_day=10.0), ph=7.0)
    for bowl in (*TEN_JARS.values(), Bowl(jar(filter_running=True).container), told):
        hot = Event(0, "room_shift", shift_c=5.0, hours=48, guessed=True)
        stood = Event(0, "biofilm_lost", guessed=True)
        events = with_habits(bowl, (hot, stood), 0, 7 * DAY)
        simulate(bowl, events, 0, 7 * DAY, Noting(few), life=LifeHistory(), steps_per_hour=1)
    capacity(jar(), Noting(few), Kept(10.0))
    assert set(RANGES) - used == set()


def test_the_worked_lines_of_the_documentation_hold() -> None:
    for found in pkgutil.iter_modules(diagnose.bowl.__path__):
        module = importlib.import_module(f"diagnose.bowl.{found.name}")
        assert doctest.testmod(module).failed == 0, found.name


def test_importing_the_package_or_a_description_loads_no_numerical_library() -> None:
    code = (
        "import sys, diagnose.bowl, diagnose.bowl.description, diagnose.bowl.routine; "
        "sys.exit(any(m in sys.modules for m in ('numpy', 'scipy', 'yaml')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
