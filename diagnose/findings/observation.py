"""One typed statement about a case, in the rulebook's vocabulary."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Origin = Literal["told", "measured", "derived", "estimated"]


@dataclass(frozen=True, slots=True)
class Observation:
    """`name` has `value` (a word of its choices, present/absent, or a number in the vocabulary's
    unit).

    origin: told by the keeper, measured, derived from the log, or estimated by the bowl model.
    because: where it comes from, in plain words. band: low, middle and high of an estimate.
    """

    name: str
    value: str | float
    origin: Origin
    because: str
    band: tuple[float, float, float] | None = None
