"""One typed statement about a case, in the rulebook's vocabulary."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from diagnose.intake.rough import Either, Rough, ends

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
    (`events[2]`, `readings[0]`, `deaths`, `told.x`, `container.filter`); two observations that only
    stand at another place of a file are the same.
    """

    name: str
    value: str | float
    origin: Origin
    because: str
    band: tuple[float, float, float] | None = None
    span: tuple[float, float] | None = None
    either: tuple[str, ...] | None = None
    asked: bool = False
    statement: str = field(default="", compare=False)

    @property
    def said(self) -> str | float:
        """The value with all that was left open: what rules are held against."""
        if self.span is not None and not isinstance(self.value, str):
            return Rough(*self.span)
        if self.either is not None and isinstance(self.value, str):
            return Either(self.either)
        return self.value


def observed(
    name: str,
    value: str | float,
    origin: Origin,
    because: str,
    band: tuple[float, float, float] | None = None,
    statement: str = "",
) -> Observation:
    """The observation of a word or a number that may be rough: what was left open becomes its
    span, or the words it may be.
    """
    if isinstance(value, Either):
        words = value.words
        return Observation(name, words[0], origin, because, either=words, statement=statement)
    if isinstance(value, str):
        return Observation(name, value, origin, because, statement=statement)
    low, high = ends(value)
    span = None if low == high else (low, high)
    return Observation(name, float(value), origin, because, band, span, statement=statement)
