"""One account of a container: what it carries, what its animals eat, which young to take out.

Outlook, stocking and care ask here and nowhere else, so that they tell one keeper one thing. The
container model behind it is heavy and imported only when an account is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.findings.stocking import MG_PER_G, colony
from diagnose.rulebook.terms import Number, Rulebook, Species
from diagnose.stocking.room import carries_g_per_l, share_at_age

if TYPE_CHECKING:
    from pathlib import Path

    from diagnose.intake.case import Case

Band = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Account:
    """What one container carries, in grown animals.

    safe: in nine of ten runs of the model; middle; best: in one of ten; all of them now, at the age
    of its film. mature: the middle once the film has grown in. trade: what keepers have in such a
    container. limiting: what sets the number. narrows: the estimate whose measuring would narrow it
    most, None where it is narrow enough. hold_at: the number to hold by taking young out, never
    below `safe` nor below those that live there within what is carried. young_out: animals to take
    out at each weekly change from now on, as bands.
    """

    safe: float
    middle: float
    best: float
    mature: float
    trade: float
    limiting: str
    narrows: str | None
    hold_at: float
    young_out: tuple[Band, ...]
    full_in_weeks: tuple[float | None, float | None, float | None]


def account_of_case(
    case: Case,
    rulebook: Rulebook,
    species: Species,
    *,
    knowledge: Path,
    now: datetime,
    adults: int | None = None,
    juveniles: int | None = None,
) -> Account | None:
    """The account of a container; None where its volume is unknown or no model can be made of it.

    knowledge: the folder with the model's ranges. now: the time of asking where the case tells
    none. adults, juveniles: as if so many lived there; None takes those told.
    """
    raise NotImplementedError
