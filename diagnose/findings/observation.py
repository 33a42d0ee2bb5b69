"""One typed statement about a case, in the rulebook's vocabulary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, Protocol

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


class Asked(Protocol):
    """What findings need of an entry of the vocabulary."""

    @property
    def kind(self) -> str: ...
    @property
    def event(self) -> str | None: ...
    @property
    def possible(self) -> tuple[float, float] | None: ...


Vocabulary = Mapping[str, Asked]


class Profile(Protocol):
    """What findings need of a species: ranges, masses (mg) and its group."""

    @property
    def comfortable(self) -> dict[str, tuple[float, float]]: ...
    @property
    def adult_mass_mg(self) -> float: ...
    @property
    def juvenile_mass_mg(self) -> float: ...
    @property
    def hatchling_mass_mg(self) -> float: ...
    @property
    def group(self) -> str: ...
