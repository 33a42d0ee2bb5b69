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
    span: low and high of a number that was told no closer (a bound, a range, a word); `value` is
    then its middle. An infinite end is open. either: the words a choice may be, where what was told
    leaves that open; `value` is then the first of them. asked: it answers a question of the talk;
    everything else was volunteered. statement: which thing the keeper said it rests on
    (`events[2]`, `readings[0]`, `deaths`, `told.x`, `container.filter`).
    """

    name: str
    value: str | float
    origin: Origin
    because: str
    band: tuple[float, float, float] | None = None
    span: tuple[float, float] | None = None
    either: tuple[str, ...] | None = None
    asked: bool = False
    statement: str = ""
