"""The account of one container from the model: what it carries and which young to take out.

One function for all who ask, so that outlook, stocking and care cannot tell one keeper two things.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from diagnose.bowl.bands import Band
from diagnose.bowl.capacity import Capacity, Kept, capacity, capacity_moves
from diagnose.bowl.colony import ColonyOutlook, colony_outlook
from diagnose.bowl.description import Planting, Stock
from diagnose.bowl.modelled import ModelledCase
from diagnose.bowl.parameters import Array, Range
from diagnose.bowl.simulate import usual_day

#: Members are drawn from this seed: the same case gives the same account.
SEED: Final = 20260226
MEMBERS: Final = 100
#: Weeks ahead for which young are reckoned.
WEEKS: Final = 8
#: A change that moves the capacity by less than this is none.
VISIBLE_MOVE: Final = 0.10

#: The trade's measure by planting and whether the water is moved.
Keepers = Callable[[Planting, bool], Kept]


@dataclass(frozen=True, slots=True)
class Moved:
    """A change to the container and by what it would multiply the number it carries."""

    change: str
    factor: float


@dataclass(frozen=True)
class Account:
    """carries: grown animals, now and mature. hold_at: the number to hold by taking young out.
    free, held: the colony week by week if nobody and if young are taken out.
    """

    carries: Capacity
    hold_at: float
    free: ColonyOutlook
    held: ColonyOutlook

    @property
    def young_out(self) -> tuple[Band, ...]:
        """Animals to take out at each weekly change."""
        return self.held.young_to_remove


def account(
    found: ModelledCase,
    ranges: Mapping[str, Range],
    keepers: Keepers | None,
    stock: Stock | None = None,
    hold_at: float | None = None,
) -> Account:
    """The account of a container. stock: who lives there, if not those at the case's first hour."""
    drawn = found.members(ranges, SEED, MEMBERS)
    carries = capacity(found.bowl, drawn, _kept(found, keepers))
    living = stock if stock is not None else found.bowl.stock
    hold = hold_at if hold_at is not None else number_to_hold(carries, living)
    warmth: Array = usual_day(found.bowl, drawn)[0].mean(axis=0)
    free = colony_outlook(living, found.life, drawn, warmth, WEEKS, carries.sustained)
    held = colony_outlook(living, found.life, drawn, warmth, WEEKS, carries.sustained, hold)
    return Account(carries, hold, free, held)


def number_to_hold(carries: Capacity, living: Stock) -> float:
    """The number to hold: what nine of ten runs carry, or those that live there if that is more and
    the middle carries them; at least one.
    """
    grown = living.females + living.males
    low, middle, _ = carries.adults
    return float(max(round(low), round(min(grown, middle)), 1))


def moves(
    found: ModelledCase, ranges: Mapping[str, Range], keepers: Keepers | None
) -> tuple[Moved, ...]:
    """The changes that move the capacity visibly, most first."""
    drawn = found.members(ranges, SEED, MEMBERS)
    now = capacity(found.bowl, drawn, _kept(found, keepers)).adults[1]
    if now <= 0.0:
        return ()
    tried = [
        Moved(move.change, move.capacity.adults[1] / now)
        for move in capacity_moves(found.bowl, drawn, keepers)
    ]
    telling = [move for move in tried if abs(move.factor - 1.0) >= VISIBLE_MOVE]
    return tuple(sorted(telling, key=lambda move: (-abs(move.factor - 1.0), move.change)))


def _kept(found: ModelledCase, keepers: Keepers | None) -> Kept | None:
    box = found.bowl.container
    moved = box.filter_running or box.surface_moved
    return keepers(box.planting, moved) if keepers is not None else None
