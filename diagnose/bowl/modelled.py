"""A case as the container model takes it: the container, its log, and what was read in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diagnose.bowl.colony import LifeHistory
from diagnose.bowl.description import Bowl, Event, EventKind, Reading
from diagnose.bowl.parameters import Array, Range, draw_members

#: Widest ranges of parameters for what is not known: (low, mid, high).
Widened = dict[str, tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class TooLittle:
    """No model can be made; why, and what would be needed, in a sentence."""

    reason: str


@dataclass(frozen=True, slots=True)
class ModelledCase:
    """A case as the model takes it. Hours are relative to the time of asking.

    bowl: as it stood at `first_hour`, the stock included. events: from the log. silent: the kinds
    of which the log speaks from `log_from_hour` until the asking, so that no routine is added
    there. widened: parameters drawn more widely than the rulebook's. untold: what is not known,
    by short names (`planting`, `age`, `sun`, `room`, `feeding`, `changes`, `top-up`, `surface`).
    forced: kinds of events whose size nobody told. assumed: sentences for the answer.
    """

    bowl: Bowl
    life: LifeHistory
    first_hour: int
    events: tuple[Event, ...]
    readings: tuple[Reading, ...]
    silent: tuple[EventKind, ...]
    log_from_hour: int
    first_death_hour: int | None
    widened: Mapping[str, tuple[float, float, float]]
    untold: frozenset[str]
    forced: frozenset[str]
    assumed: tuple[str, ...]

    def members(self, ranges: Mapping[str, Range], seed: int, count: int) -> dict[str, Array]:
        """Members drawn from the rulebook's ranges, wider where this case leaves much open."""
        changed = {
            name: replace(ranges[name], low=low, mid=mid, high=high)
            for name, (low, mid, high) in self.widened.items()
        }
        return draw_members({**ranges, **changed}, seed, count)
