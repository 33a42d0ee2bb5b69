"""The weeks after the newcomers came, by the bowl model: dawn oxygen, ammonia, the colony.

The model is heavy, so it is imported only when an outlook is asked for. What the container carries
and which young to take out come from its account, as everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from diagnose.findings.density import adults_told
from diagnose.intake.case import Case
from diagnose.rulebook.terms import Species
from diagnose.stocking.account import Account

Band = tuple[float, float, float]
DAYS_PER_WEEK, HOURS_PER_DAY = 7, 24
#: Enough members for a band of three figures at half a second.
MEMBERS = 30
FEMALE_SHARE_UNTOLD = 0.5


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the model expects over the weeks; bands are low, middle and high.

    dawn_oxygen_mg_l: the lowest hour of all nights. nh3_mg_l: the highest hour, un-ionised
    ammonia as N. animals: all of them at the end, eggs left out, if nobody takes any out.
    carries: grown animals by the account of the container. full_in_weeks: when they pass that.
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
    species: Species,
    account: Account,
    *,
    adults: int,
    juveniles: int,
    now: datetime,
    knowledge: Path,
) -> Outlook | None:
    """The outlook with that many animals in all; None where the volume is unknown or the model
    cannot run on so odd a container.

    account: of the container with them in. now: the time of asking where the case tells none.
    knowledge: the folder with the model's parameter ranges.
    """
    if not case.container.volume_l:
        return None
    from diagnose.bowl.account import SEED
    from diagnose.bowl.bands import band
    from diagnose.bowl.description import BowlError, Stock
    from diagnose.bowl.modelled import TooLittle
    from diagnose.bowl.parameters import load_ranges
    from diagnose.bowl.routine import with_habits
    from diagnose.bowl.simulate import simulate
    from diagnose.findings.modelled_case import from_case

    try:
        found = from_case(_as_if_new(case), species, now=now, days_back=0)
        if isinstance(found, TooLittle):
            return None
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
        bowl = replace(found.bowl, stock=stock)
        members = found.members(load_ranges(knowledge), SEED, MEMBERS)
        weeks = len(account.young_out)
        hours = weeks * DAYS_PER_WEEK * HOURS_PER_DAY
        life = found.life
        events = with_habits(bowl, (), 0, hours)
        run = simulate(
            bowl, events, 0, hours, members, life=life, capacity_animals=account.sustained
        )
    except BowlError:
        return None
    return Outlook(
        weeks=weeks,
        dawn_oxygen_mg_l=band(run.oxygen_mg_l[HOURS_PER_DAY:].min(axis=0)),
        nh3_mg_l=band(run.nh3_mg_l.max(axis=0)),
        animals=account.animals[-1],
        carries=account.middle,
        full_in_weeks=account.full_in_weeks,
        hold_at=account.hold_at,
        young_out_a_week=account.young_out,
    )


def _as_if_new(case: Case) -> Case:
    """What nobody told, taken at its least favourable: no plants, no age. Adding animals must not
    rest on a guess.
    """
    box = case.container
    cautious = box.model_copy(
        update={"planting": box.planting or "none", "age_days": box.age_days or 0.0}
    )
    counted = case.stock
    if adults_told(case) is None:
        counted = counted.model_copy(update={"adults": 0})
    return case.model_copy(update={"container": cautious, "stock": counted})
