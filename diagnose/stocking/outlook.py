"""The weeks after the newcomers came, by the bowl model: dawn oxygen, ammonia, the colony.

The model is heavy, so it is imported only when an outlook is asked for. It never decides the
verdict: capacity there is the rulebook's own, so that more plants, water or age cannot count
against a container.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.intake.case import Case
from diagnose.rulebook.terms import Rulebook, Species

if TYPE_CHECKING:
    from diagnose.bowl.colony import LifeHistory
    from diagnose.bowl.description import Bowl

Band = tuple[float, float, float]
DAYS_PER_WEEK, HOURS_PER_DAY = 7, 24
#: Enough members for a band of three figures at half a second.
MEMBERS = 30
FEMALE_SHARE_UNTOLD = 0.5
FLOATING_SHARE = {"none": 0.0, "part": 0.5, "full": 0.95}
LID_SHARE = {"open": 0.0, "low_water": 0.0, "covered": 0.8, "sealed": 1.0}
PERCENT = 100.0


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the model expects over the weeks; bands are low, middle and high.

    dawn_oxygen_mg_l: the lowest hour of all nights. nh3_mg_l: the highest hour, un-ionised
    ammonia as N. animals: all of them at the end, eggs left out, if nobody takes any out.
    carries: grown animals the rulebook gives the container. full_in_weeks: when they pass that.
    young_out_a_week: animals to take out at each weekly change to hold them at `hold_at`, in
    order of weeks.
    """

    weeks: int
    dawn_oxygen_mg_l: Band
    nh3_mg_l: Band
    animals: Band
    carries: float
    full_in_weeks: tuple[float | None, float | None, float | None]
    hold_at: float
    young_out_a_week: tuple[Band, ...]

    @property
    def young_out(self) -> Band:
        """Animals to take out over all the weeks together."""
        low, middle, high = (sum(week[i] for week in self.young_out_a_week) for i in range(3))
        return low, middle, high


def outlook(
    case: Case,
    rulebook: Rulebook,
    species: Species,
    *,
    adults: int,
    juveniles: int,
    carries: float,
    hold_at: float,
    weeks: int,
    temperature_c: float | None,
    ph: float | None,
    knowledge: Path,
    seed: int,
) -> Outlook | None:
    """The outlook with that many animals in all; None where the volume is unknown or the model
    cannot run on so odd a container.

    carries, hold_at: grown animals. temperature_c, ph: of the water now, None if not known.
    knowledge: the folder with the model's parameter ranges.
    """
    if not case.container.volume_l:
        return None
    from diagnose.bowl.bands import band
    from diagnose.bowl.colony import colony_outlook
    from diagnose.bowl.description import BowlError, Stock
    from diagnose.bowl.parameters import draw_members, load_ranges
    from diagnose.bowl.routine import with_habits
    from diagnose.bowl.simulate import simulate

    try:
        bowl = _bowl(case, temperature_c, ph)
        females = adults * FEMALE_SHARE_UNTOLD
        mass = species.adult_mass_mg
        stock = Stock(
            juveniles=float(juveniles),
            hatchlings=float(case.stock.hatchlings or 0),
            females=females,
            males=adults - females,
            berried=min(females, float(case.stock.berried or 0)),
            masses_mg=(species.hatchling_mass_mg, species.juvenile_mass_mg, mass, mass),
        )
        bowl = replace(bowl, stock=stock)
        members = draw_members(load_ranges(knowledge), seed, MEMBERS)
        hours = weeks * DAYS_PER_WEEK * HOURS_PER_DAY
        life = _life(species)
        events = with_habits(bowl, (), 0, hours)
        run = simulate(bowl, events, 0, hours, members, life=life, capacity_animals=carries)
        daily_c = run.temperature_c[:hours].reshape(-1, HOURS_PER_DAY, MEMBERS).mean(axis=1)
        free = colony_outlook(stock, life, members, daily_c, weeks, capacity_animals=carries)
        held = colony_outlook(
            stock, life, members, daily_c, weeks, capacity_animals=carries, hold_at=hold_at
        )
    except BowlError:
        return None
    return Outlook(
        weeks=weeks,
        dawn_oxygen_mg_l=band(run.oxygen_mg_l[HOURS_PER_DAY:].min(axis=0)),
        nh3_mg_l=band(run.nh3_mg_l.max(axis=0)),
        animals=free.total[-1],
        carries=carries,
        full_in_weeks=free.full_in_weeks,
        hold_at=hold_at,
        young_out_a_week=held.young_to_remove,
    )


def _bowl(case: Case, temperature_c: float | None, ph: float | None) -> Bowl:
    """The container as the model takes it; what nobody told stays at the model's usual."""
    from diagnose.bowl.description import Bowl, Container, Habits, Room, cylinder

    box = case.container
    assert box.volume_l is not None
    opening = box.opening_area_cm2
    surface, glass = cylinder(
        box.volume_l, box.water_depth_cm, opening / 1e4 if opening is not None else None
    )
    container = Container(
        volume_l=box.volume_l,
        surface_m2=surface,
        glass_m2=glass,
        planting=box.planting or "none",
        floating_cover=FLOATING_SHARE[box.floating_cover or "none"],
        light_hours=box.light_hours if box.light_hours is not None else 8.0,
        filter_running=box.filter == "running",
        surface_moved=box.surface_moved is True,
        sealed=box.lid == "sealed",
        lid_share=LID_SHARE[box.lid or "open"],
        substrate=box.substrate or "inert",
        biofilm_age_days=box.age_days if box.age_days is not None else 0.0,
        heater_setpoint_c=box.heater_setpoint_c if box.heater == "working" else None,
        altitude_m=box.altitude_m or 0.0,
    )
    middle = box.room_temperature_c if box.room_temperature_c is not None else temperature_c
    low = box.room_min_c if box.room_min_c is not None else middle
    high = box.room_max_c if box.room_max_c is not None else middle
    if low is not None and high is not None and low > high:
        low, high = high, low
    habits = Habits(
        change_share=(box.change_share_percent or 0.0) / PERCENT,
        change_interval_days=box.change_interval_days or DAYS_PER_WEEK,
        topup=box.topup or "tap",
    )
    room = Room(low, high, box.sun_hours or 0.0, box.window or "none")
    return Bowl(container=container, room=room, habits=habits, ph=ph)


def _life(species: Species) -> LifeHistory:
    from diagnose.bowl.colony import LifeHistory

    return LifeHistory(
        **species.ranges,
        juvenile_survival=species.numbers["juvenile_survival"],
        adult_monthly_survival=species.numbers["adult_monthly_survival"],
        female_share=species.numbers["female_share"],
        breeds_in_fresh_water=species.breeds_in_fresh_water,
    )
