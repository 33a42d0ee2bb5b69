"""The last weeks and the next: what the water and the colony did and will do, day by day, with
bands, under the present habits and under changed ones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from diagnose.bowl.against import Laid, Point, lay
from diagnose.bowl.bands import Band, bands
from diagnose.bowl.description import Event
from diagnose.bowl.likelihood import Weighting, reading_sd, weigh
from diagnose.bowl.modelled import ModelledCase
from diagnose.bowl.parameters import Array, Members, Range, spread_errors
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import READ_ROWS, Run, simulate, water_c
from diagnose.bowl.what_if import WhatIf, future_events
from diagnose.water.nitrogen import NO3_PER_N

HOURS_PER_DAY: Final = 24
DAYS_PER_WEEK: Final = 7
MEMBERS: Final = 100

Quantity = Literal[
    "temperature_c", "oxygen_dawn_mg_l", "tan_mg_l", "nh3_mg_l", "nitrite_mg_l", "nitrate_mg_l",
    "animals", "grown_by_mass",
]  # fmt: skip
#: For each quantity: what is read off a run, and what of a day its low, middle and high edge show.
_DAILY: Final[dict[Quantity, tuple[Callable[[Run], Array], tuple[str, str, str]]]] = {
    "temperature_c": (lambda run: run.temperature_c, ("min", "mean", "max")),
    "oxygen_dawn_mg_l": (lambda run: run.oxygen_mg_l, ("min", "min", "min")),
    "tan_mg_l": (lambda run: run.tan_mg_l, ("max", "max", "max")),
    "nh3_mg_l": (lambda run: run.nh3_mg_l, ("max", "max", "max")),
    "nitrite_mg_l": (lambda run: run.nitrite_mg_l, ("max", "max", "max")),
    "nitrate_mg_l": (lambda run: run.nitrate_n_mg_l * NO3_PER_N, ("mean", "mean", "mean")),
    "animals": (lambda run: _animals(run), ("mean", "mean", "mean")),
    "grown_by_mass": (lambda run: _grown_by_mass(run), ("mean", "mean", "mean")),
}
QUANTITIES: Final[tuple[Quantity, ...]] = tuple(_DAILY)


@dataclass(frozen=True, slots=True)
class Forecast:
    """Day by day, day 0 being the day of asking.

    present and changed: bands (low, middle, high) by quantity and day; `changed` is None without
    a what-if. Temperature: the coldest hour of the day in one of ten members, the mean, the warmest
    in one of ten. Oxygen is the day's lowest, ammonia and nitrite (as N) the highest, nitrate (as
    NO3) and animals the mean; grown_by_mass is their mass in grown ones. events: those of the log
    and of the what-if, without the routine.
    misfit: of the readings, in their errors; above about 3 the model misses something. laid: a
    measured course over the bands, where one was given; read: the readings of the log over them.
    """

    days: tuple[int, ...]
    present: Mapping[Quantity, tuple[Band, ...]]
    changed: Mapping[Quantity, tuple[Band, ...]] | None
    events: tuple[Event, ...]
    future: tuple[Event, ...]
    effective_members: float
    misfit: float
    laid: tuple[Laid, ...]
    read: tuple[Laid, ...]


def forecast(
    found: ModelledCase,
    ranges: Mapping[str, Range],
    seed: int,
    sustained: float,
    *,
    weeks_ahead: int = 4,
    what_if: WhatIf | None = None,
    sustained_then: float | None = None,
    members: int = MEMBERS,
    against: Iterable[Point] = (),
) -> Forecast:
    """The last days of the case and the weeks to come.

    Members that meet the readings count for more in all that follows. sustained: grown animals at
    which the colony stops growing; sustained_then: after the what-if. against: a measured course to
    lay over the bands.
    """
    drawn = _by_thermometer(found, found.members(ranges, seed, members))
    last_hour = weeks_ahead * DAYS_PER_WEEK * HOURS_PER_DAY
    past = with_habits(
        found.bowl, found.events, found.first_hour, 0, found.silent, (found.log_from_hour, 0)
    )
    past = (*past, *_followed(found))
    usual = future_events(found.bowl, last_hour, WhatIf())
    run, weighting = _run(found, (*past, *usual), last_hour, drawn, sustained)
    other = None
    then: tuple[Event, ...] = ()
    if what_if is not None:
        then = future_events(found.bowl, last_hour, what_if)
        after = sustained if sustained_then is None else sustained_then
        other, _ = _run(found, (*past, *then), last_hour, drawn, after)
    days = range(found.first_hour // HOURS_PER_DAY, weeks_ahead * DAYS_PER_WEEK)
    return Forecast(
        days=tuple(days),
        present=_by_day(run, days, weighting.weights),
        changed=None if other is None else _by_day(other, days, weighting.weights),
        events=tuple(found.events),
        future=tuple(e for e in then if e.kind not in ("feeding", "water_change", "top_up")),
        effective_members=weighting.effective_members,
        misfit=weighting.best_misfit,
        laid=lay((run,), against, weighting.weights),
        read=lay((run,), _read(found), weighting.weights),
    )


def _read(found: ModelledCase) -> tuple[Point, ...]:
    """The readings of the log as points."""
    return tuple(Point(one.hour, one.quantity, one.value) for one in found.readings)


def _followed(found: ModelledCase) -> tuple[Event, ...]:
    """The readings of the log that draw the members towards them."""
    return tuple(
        Event(one.hour, "read", quantity=one.quantity, value=one.value, sd=reading_sd(one))
        for one in found.readings
        if one.quantity in READ_ROWS and found.first_hour <= one.hour <= 0
    )


def _by_thermometer(found: ModelledCase, drawn: dict[str, Array]) -> dict[str, Array]:
    """The members with a room that lets the water meet what a thermometer in it showed.

    Each room is moved the share of the way that the members' spread has of that spread and the
    reading's error, by the mean of all readings of the water.
    """
    read = [
        one
        for one in found.readings
        if one.quantity == "temperature_c" and found.first_hour <= one.hour <= 0
    ]
    if not read or found.bowl.room.measured:
        return drawn
    water = water_c(found.bowl, found.events, found.first_hour, 1, drawn)
    off = np.mean([one.value - water[round(one.hour) - found.first_hour] for one in read], axis=0)
    spread = float(np.var(off))
    error = float(np.sqrt(np.mean([reading_sd(one) ** 2 for one in read]) / len(read)))
    # Readings far outside the members say that they are too sure of themselves.
    spread = max(spread, float(np.mean(off)) ** 2 - error**2)
    gain = spread / (spread + error**2)
    told = found.bowl.room.min_c is not None or found.bowl.room.max_c is not None
    name = "room_error_c" if told else "room_mean_c"
    moved = gain * (off + error * spread_errors(len(off)))
    return {**drawn, name: drawn[name] + moved}


def _run(
    found: ModelledCase,
    events: Iterable[Event],
    last_hour: int,
    members: Members,
    sustained: float,
) -> tuple[Run, Weighting]:
    run = simulate(
        found.bowl, events, found.first_hour, last_hour, members, life=found.life,
        capacity_animals=sustained,
    )  # fmt: skip
    return run, weigh(run, found.readings)


def _animals(run: Run) -> Array:
    """All animals by hour; the end of the run is as its last hour."""
    hourly = run.counts.sum(axis=1)
    return np.concatenate([hourly, hourly[-1:]])


def _grown_by_mass(run: Run) -> Array:
    """Mass of all animals as so many grown ones."""
    masses = np.array(run.bowl.stock.masses_mg)
    hourly = np.einsum("s,hsm->hm", masses, run.counts) / (0.5 * (masses[2] + masses[3]))
    return np.concatenate([hourly, hourly[-1:]])


def _by_day(run: Run, days: range, weights: Array) -> dict[Quantity, tuple[Band, ...]]:
    found: dict[Quantity, tuple[Band, ...]] = {}
    for name, (read, kinds) in _DAILY.items():
        hourly = read(run)
        edges = [[], [], []]  # type: list[list[float]]
        for day in days:
            start = max(day * HOURS_PER_DAY - run.first_hour, 0)
            of_day = hourly[start : start + HOURS_PER_DAY]
            for edge, kind in enumerate(kinds):
                per_member = getattr(of_day, kind)(axis=0)
                edges[edge].append(float(bands(per_member, weights)[edge]))
        found[name] = tuple(zip(*edges, strict=True))
    return found
