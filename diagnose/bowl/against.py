"""A measured course laid over an ensemble: what lies inside the band, the bias and the error.

What is compared are readings, not the water: a kit shows steps and stops at its darkest colour, so
each member's value is read by the same kit before it is held against the number written down.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.bowl.bands import bands
from diagnose.bowl.description import Quantity
from diagnose.bowl.likelihood import STEPS, USUAL_ERROR, modelled
from diagnose.bowl.parameters import Array, spread_errors
from diagnose.bowl.simulate import Run


@dataclass(frozen=True, slots=True)
class Point:
    """One measured value in the model's unit (nitrogen as N); at_least: the kit ended there."""

    hour: float
    quantity: Quantity
    value: float
    at_least: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Laid:
    """A point over the ensemble: the band of readings (low, middle, high), its score (the
    continuous ranked probability score, in the unit of the quantity) and the two plain guesses'
    errors: `as at first`, `as the room` (None where they cannot be made).
    """

    point: Point
    low: float
    middle: float
    high: float
    score: float
    at_first: float | None
    as_room: float | None

    @property
    def inside(self) -> bool:
        """Whether the point lies in the band that holds eight of ten members."""
        return self.low - 1e-9 <= self.point.value <= self.high + 1e-9


@dataclass(frozen=True, slots=True)
class Verdict:
    """All points of one quantity: how many, the share inside the band, mean difference of the
    middle (model less measured), root mean square of it, mean score, mean width of the band, and
    the mean error of the plain guesses over the points for which they can be made.
    """

    quantity: Quantity
    points: int
    inside: float
    bias: float
    error: float
    score: float
    width: float
    at_first: float | None
    as_room: float | None


def predicted(runs: Sequence[Run], point: Point) -> Array:
    """What the members of all runs have at a point's hour, between the rows of the run."""
    found = []
    for run in runs:
        values = modelled(run, point.quantity)
        at = min(max(point.hour - run.first_hour, 0.0), len(values) - 1.0)
        row = min(int(at), len(values) - 2)
        way = at - row
        found.append((1.0 - way) * values[row] + way * values[row + 1])
    return np.concatenate(found)


def as_read(values: Array, point: Point) -> Array:
    """The members' values as the keeper's kit would show them.

    The kit errs by its usual error, shows the nearest step, and at most its darkest colour.
    """
    fixed, share = USUAL_ERROR[point.quantity]
    read = np.maximum(values + spread_errors(len(values)) * (fixed + share * np.abs(values)), 0.0)
    steps = STEPS.get(point.quantity)
    if steps is not None:
        read = steps[np.abs(read[:, None] - steps).argmin(axis=1)]
    return np.asarray(np.minimum(read, point.value) if point.at_least else read, dtype=np.float64)


def score(members: Array, value: float, weights: Array | None = None) -> float:
    """Continuous ranked probability score of an ensemble (Gneiting and Raftery 2007, from memory):
    mean |x - y| - mean |x - x'| / 2. That of a single guess is its absolute error.

    >>> score(np.array([1.0, 3.0]), 2.0)
    0.5
    """
    order = np.argsort(members, kind="stable")
    x = members[order]
    w = np.full(len(x), 1.0 / len(x)) if weights is None else weights[order] / weights.sum()
    below = np.cumsum(w) - 0.5 * w
    spread = 2.0 * float(np.sum(w * x * (2.0 * below - 1.0)))
    return float(np.sum(w * np.abs(x - value))) - 0.5 * spread


def lay(
    runs: Sequence[Run], points: Iterable[Point], weights: Array | None = None
) -> tuple[Laid, ...]:
    """Every point over the runs, whose members together are the ensemble.

    The first value of each name is that with which `as it was at first` guesses the others.
    """
    first: dict[tuple[str, Quantity], float] = {}
    found = []
    for point in sorted(points, key=lambda one: (one.name, one.quantity, one.hour)):
        read = as_read(predicted(runs, point), point)
        low, middle, high = (float(edge) for edge in bands(read, weights))
        key = (point.name, point.quantity)
        begun = first.get(key)
        first.setdefault(key, point.value)
        room = None
        if point.quantity == "temperature_c" and runs[0].bowl.room.measured:
            at, air_c = zip(*sorted(runs[0].bowl.room.measured), strict=True)
            room = abs(float(np.interp(point.hour, at, air_c)) - point.value)
        guess = None if begun is None else abs(begun - point.value)
        found.append(Laid(point, low, middle, high, score(read, point.value, weights), guess, room))
    return tuple(found)


def verdicts(laid: Iterable[Laid]) -> tuple[Verdict, ...]:
    """What the points say of each quantity, in the order of its name."""
    by_quantity: dict[Quantity, list[Laid]] = {}
    for one in laid:
        by_quantity.setdefault(one.point.quantity, []).append(one)
    return tuple(_verdict(name, by_quantity[name]) for name in sorted(by_quantity))


def _verdict(quantity: Quantity, laid: list[Laid]) -> Verdict:
    off = np.array([one.middle - one.point.value for one in laid])
    return Verdict(
        quantity=quantity,
        points=len(laid),
        inside=float(np.mean([one.inside for one in laid])),
        bias=float(off.mean()),
        error=float(np.sqrt(np.mean(off**2))),
        score=float(np.mean([one.score for one in laid])),
        width=float(np.mean([one.high - one.low for one in laid])),
        at_first=_mean([one.at_first for one in laid]),
        as_room=_mean([one.as_room for one in laid]),
    )


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return float(np.mean(known)) if known else None
