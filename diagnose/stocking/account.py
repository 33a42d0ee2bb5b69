"""One account of a container: what it carries, and which young to take out.

Outlook, stocking and care ask here and nowhere else, so that they tell one keeper one thing. The
container model behind it is heavy and imported only when an account is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.findings.density import MG_PER_G, animals_told
from diagnose.stocking.room import carries_g_per_l, share_at_age

if TYPE_CHECKING:
    from diagnose.bowl.account import Keepers, Moved
    from diagnose.bowl.capacity import Kept
    from diagnose.bowl.description import Planting, Stock
    from diagnose.bowl.modelled import ModelledCase
    from diagnose.bowl.parameters import Range
    from diagnose.bowl.what_if import WhatIf
    from diagnose.findings.observation import Observation
    from diagnose.intake.case import Case
    from diagnose.rulebook.terms import Rulebook, Species

Band = tuple[float, float, float]
FEMALE_SHARE_UNTOLD = 0.5
#: Days of the log in which animals came, went and died.
LOG_DAYS = 14


@dataclass(frozen=True, slots=True)
class Account:
    """What one container carries, in grown animals.

    safe: in nine of ten runs of the model; middle; best: in one of ten; all of them now, at the age
    of its film. mature: the middle once the film has grown in. trade: what keepers have in such a
    container. limiting: what sets the number; by_limit: the middle by each limit alone. sustained:
    where the colony itself stops growing. narrows: the estimate whose measuring would narrow the
    number most, None where it is narrow enough. hold_at: the number to hold by taking young out,
    never below `safe`, nor below those that live there as long as the middle carries them.
    young_out: animals to take out at each weekly change from now on. animals: all but eggs, week by
    week, if nobody takes any out; full_in_weeks: when they pass the middle.
    """

    safe: float
    middle: float
    best: float
    mature: float
    trade: float
    limiting: str
    by_limit: Mapping[str, float]
    sustained: float
    narrows: str | None
    hold_at: float
    young_out: tuple[Band, ...]
    animals: tuple[Band, ...]
    full_in_weeks: tuple[float | None, float | None, float | None]


def account_of_case(
    case: Case,
    rulebook: Rulebook,
    species: Species,
    *,
    ranges: Mapping[str, Range],
    now: datetime,
    known: Mapping[str, Observation] | None = None,
    living: tuple[int, int] | None = None,
    hold_at: float | None = None,
    what_if: WhatIf | None = None,
) -> Account | None:
    """The account of a container; None where its volume is unknown or no model can be made of it.

    ranges: the model's. now: the time of asking where the case tells none. known: observations,
    for the age of the film where settled material went in. living: as if so many grown ones and
    half-grown ones lived there; None takes those told. what_if: after these changes.
    """
    from diagnose.bowl.account import account
    from diagnose.bowl.what_if import changed_bowl

    found = _as_it_is(case, species, now)
    if found is None:
        return None
    stock = _living_now(case, species, found, now) if living is None else _so_many(found, *living)
    if what_if is not None:
        bowl = changed_bowl(replace(found.bowl, stock=stock), what_if)
        found, stock = replace(found, bowl=bowl), bowl.stock
    keepers = keepers_of(case, rulebook, species, known or {})
    told = account(found, ranges, keepers, stock, hold_at)
    safe, middle, best = told.carries.adults
    return Account(
        safe=safe,
        middle=middle,
        best=best,
        mature=told.carries.mature[1],
        trade=told.carries.kept or 0.0,
        limiting=told.carries.limiting,
        by_limit={name: found_band[1] for name, found_band in told.carries.by_limit.items()},
        sustained=told.carries.sustained,
        narrows=told.carries.narrows,
        hold_at=told.hold_at,
        young_out=told.young_out,
        animals=told.free.total,
        full_in_weeks=told.free.full_in_weeks,
    )


def moves_of_case(
    case: Case,
    rulebook: Rulebook,
    species: Species,
    *,
    ranges: Mapping[str, Range],
    now: datetime,
    known: Mapping[str, Observation] | None = None,
) -> tuple[Moved, ...]:
    """The changes to a container that would move what it carries, most first."""
    from diagnose.bowl.account import moves

    found = _as_it_is(case, species, now)
    if found is None:
        return ()
    return moves(found, ranges, keepers_of(case, rulebook, species, known or {}))


def keepers_of(
    case: Case, rulebook: Rulebook, species: Species, known: Mapping[str, Observation]
) -> Keepers:
    """The trade's measure of this container by planting and moved water; planting that nobody told
    counts as none, an age that nobody told as grown in.
    """
    from diagnose.bowl.capacity import Kept

    volume, numbers = case.container.volume_l or 0.0, rulebook.numbers
    untold = case.container.planting is None and "planting" not in case.told
    age = known.get("film_age_days")
    days = age.value if age is not None else case.container.age_days
    share = share_at_age(float(days), numbers) if isinstance(days, float | int) else 1.0

    def measure(planting: Planting, moved: bool) -> Kept:
        told = None if untold and planting == "moderate" else planting
        grams = volume * carries_g_per_l(told, moved_water=moved, numbers=numbers)
        return Kept(grams * MG_PER_G / species.adult_mass_mg, share)

    return measure


def _as_it_is(case: Case, species: Species, now: datetime) -> ModelledCase | None:
    """The container at the time of asking, as the model takes it."""
    from diagnose.bowl.modelled import TooLittle
    from diagnose.findings.modelled_case import from_case

    if animals_told(case) is None:
        case = case.model_copy(update={"stock": case.stock.model_copy(update={"adults": 0})})
    found = from_case(case, species, now=now, days_back=0)
    return None if isinstance(found, TooLittle) else found


def _so_many(found: ModelledCase, adults: int, juveniles: int) -> Stock:
    females = adults * FEMALE_SHARE_UNTOLD
    told = found.bowl.stock
    return replace(
        told,
        juveniles=float(juveniles),
        females=females,
        males=adults - females,
        berried=min(told.berried, females),
    )


def _living_now(case: Case, species: Species, found: ModelledCase, now: datetime) -> Stock:
    """Those told, with what came, went and died in the log since."""
    from diagnose.bowl.description import Stock
    from diagnose.bowl.modelled import TooLittle
    from diagnose.findings.modelled_case import from_case

    before = from_case(case, species, now=now, days_back=LOG_DAYS)
    if isinstance(before, TooLittle):
        return found.bowl.stock
    counts = {
        stage: float(getattr(before.bowl.stock, stage))
        for stage in ("hatchlings", "juveniles", "females", "males")
    }
    for event in before.events:
        if event.kind == "animals_added":
            counts[event.stage] += event.count
        elif event.kind in ("animals_removed", "deaths"):
            counts[event.stage] = max(counts[event.stage] - event.count, 0.0)
    told = before.bowl.stock
    berried = min(told.berried, counts["females"])
    return Stock(**counts, berried=berried, masses_mg=told.masses_mg)
