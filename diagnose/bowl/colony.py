"""The colony: a population in stages, day by day, with bands.

Stages: eggs carried, hatchlings, juveniles, adult females, adult males. Each is a row of equal
sub-stages through which animals pass at a rate that depends on the warmth, so that time in a stage
has the right mean and a natural spread (a linear chain).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.bowl.bands import Band, band
from diagnose.bowl.description import STAGES, Event, Stock
from diagnose.bowl.parameters import Array, Members

EGG_STEPS: Final = 4
HATCHLING_STEPS: Final = 3
JUVENILE_STEPS: Final = 6
ADULT_STEPS: Final = 8
EGGS: Final = slice(0, EGG_STEPS)
HATCHLINGS: Final = slice(EGGS.stop, EGGS.stop + HATCHLING_STEPS)
JUVENILES: Final = slice(HATCHLINGS.stop, HATCHLINGS.stop + JUVENILE_STEPS)
FEMALES: Final = slice(JUVENILES.stop, JUVENILES.stop + ADULT_STEPS)
MALES: Final = slice(FEMALES.stop, FEMALES.stop + ADULT_STEPS)
CLASSES: Final = MALES.stop
STAGE_CLASSES: Final = (HATCHLINGS, JUVENILES, FEMALES, MALES)

# Share of the way from hatching to maturity spent as a hatchling (2.3 mm to about 1 cm; from
# memory).
HATCHLING_SHARE: Final = 0.25
# Warmth at which a species' quick and slow times hold: 27 degC in the laboratory (Nur and
# Christianus 2013), 20 degC in cool tanks (common practice).
QUICK_C: Final = 27.0
SLOW_C: Final = 20.0
# Times are not drawn on beyond these.
COLDEST_TIMING_C: Final = 15.0
WARMEST_TIMING_C: Final = 30.0
# At 32 degC every brood was lost, at 28 none were for warmth (Tropea and others 2015).
BROODS_KEPT_UP_TO_C: Final = 29.0
BROODS_LOST_FROM_C: Final = 32.0
# Breeding begins between these (about 20 degC outdoors, less in tanks; common practice).
NO_BREEDING_BELOW_C: Final = 14.0
FULL_BREEDING_FROM_C: Final = 19.0
# How hard a full container presses on the young: at capacity their daily losses are multiplied by
# 1 + this, and broods halve (from memory).
CROWDED_LOSSES: Final = 6.0
DAYS_PER_MONTH: Final = 30.0
DAYS_PER_WEEK: Final = 7


@dataclass(frozen=True)
class LifeHistory:
    """A species' numbers, as a species file of the rulebook gives them; ranges are (low, high).

    Times in days at 27 degC (low) and 20 degC (high). juvenile_survival: hatching to maturity.
    """

    brood_size: tuple[float, float] = (21.0, 51.0)
    brood_interval_days: tuple[float, float] = (30.0, 45.0)
    incubation_days: tuple[float, float] = (15.0, 30.0)
    days_to_maturity: tuple[float, float] = (75.0, 120.0)
    lifespan_months: tuple[float, float] = (12.0, 21.0)
    juvenile_survival: float = 0.5
    adult_monthly_survival: float = 0.95
    female_share: float = 0.5
    breeds_in_fresh_water: bool = True


def days_at(quick_slow: tuple[float, float], temperature_c: Array) -> Array:
    """Days a stage takes at a temperature, by ratio between its quick and slow times.

    >>> [float(round(d, 1)) for d in days_at((15.0, 30.0), np.array([27.0, 20.0]))]
    [15.0, 30.0]
    """
    quick, slow = quick_slow
    warm = np.clip(temperature_c, COLDEST_TIMING_C, WARMEST_TIMING_C)
    return np.asarray(quick * (slow / quick) ** ((QUICK_C - warm) / (QUICK_C - SLOW_C)))


def breeding_share(temperature_c: Array) -> Array:
    """Share of full breeding at a temperature: none in the cold, every brood lost at 32 degC."""
    cold = (temperature_c - NO_BREEDING_BELOW_C) / (FULL_BREEDING_FROM_C - NO_BREEDING_BELOW_C)
    hot = (BROODS_LOST_FROM_C - temperature_c) / (BROODS_LOST_FROM_C - BROODS_KEPT_UP_TO_C)
    return np.clip(np.minimum(cold, hot), 0.0, 1.0)


@dataclass(frozen=True)
class Vital:
    """What members make of a species: young a brood, survival to maturity, factor on times."""

    brood: Array
    juvenile_survival: Array
    timing: Array


def vital(life: LifeHistory, members: Members) -> Vital:
    """Draws a species' numbers for every member; no young where larvae need the sea."""
    middle = 0.5 * (life.brood_size[0] + life.brood_size[1])
    brood = middle * members["brood_factor"] * float(life.breeds_in_fresh_water)
    survival = np.clip(life.juvenile_survival * members["juvenile_survival_factor"], 1e-6, 0.98)
    return Vital(brood, survival, members["timing_factor"])


def first_classes(stock: Stock, life: LifeHistory, members: int) -> Array:
    """The stock spread over the classes (classes, members); adults over the younger half of life.

    Eggs come from the females that carry: a middle brood each.
    """
    out = np.zeros((CLASSES, members))
    out[EGGS] = stock.berried * 0.5 * (life.brood_size[0] + life.brood_size[1]) / EGG_STEPS
    out[HATCHLINGS] = stock.hatchlings / HATCHLING_STEPS
    out[JUVENILES] = stock.juveniles / JUVENILE_STEPS
    young_half = ADULT_STEPS // 2
    out[FEMALES.start : FEMALES.start + young_half] = stock.females / young_half
    out[MALES.start : MALES.start + young_half] = stock.males / young_half
    return out


def next_day(
    classes: Array,
    temperature_c: Array,
    life: LifeHistory,
    rates: Vital,
    load: Array | None = None,
) -> Array:
    """The colony a day later (classes, members).

    load: wet mass as a share of what the container carries; None: no crowding. Without crowding
    the step is linear, so the columns of its matrix are what becomes of one animal of each class.
    """
    maturity = days_at(life.days_to_maturity, temperature_c) * rates.timing
    lifespan = 0.5 * sum(life.lifespan_months) * DAYS_PER_MONTH
    young_loss = -np.log(rates.juvenile_survival) / maturity
    adult_kept = life.adult_monthly_survival ** (1.0 / DAYS_PER_MONTH)
    started = (
        rates.brood
        * breeding_share(temperature_c)
        / (days_at(life.brood_interval_days, temperature_c) * rates.timing)
    )
    if load is not None:
        young_loss = young_loss * (1.0 + CROWDED_LOSSES * load * load)
        started = started / (1.0 + load**4)
    young_kept = np.exp(-young_loss)
    out = np.empty_like(classes)
    incubation = days_at(life.incubation_days, temperature_c) * rates.timing
    hatched = _pass(classes, out, EGGS, EGG_STEPS / incubation, 1.0)
    grown = _pass(
        classes, out, HATCHLINGS, HATCHLING_STEPS / (HATCHLING_SHARE * maturity), young_kept
    )
    mature = _pass(
        classes, out, JUVENILES, JUVENILE_STEPS / ((1.0 - HATCHLING_SHARE) * maturity), young_kept
    )
    ageing = ADULT_STEPS / np.maximum(lifespan - maturity, ADULT_STEPS)
    _pass(classes, out, FEMALES, ageing, adult_kept)
    _pass(classes, out, MALES, ageing, adult_kept)
    out[EGGS.start] += started * classes[FEMALES].sum(axis=0)
    out[HATCHLINGS.start] += hatched
    out[JUVENILES.start] += grown
    out[FEMALES.start] += life.female_share * mature
    out[MALES.start] += (1.0 - life.female_share) * mature
    return out


def _pass(classes: Array, out: Array, stage: slice, share: Array, kept: Array | float) -> Array:
    """Moves a share of each sub-stage on to the next; returns those that leave the stage."""
    share = np.minimum(share, 1.0)
    alive = classes[stage] * kept
    moving = alive * share
    out[stage] = alive - moving
    out[stage.start + 1 : stage.stop] += moving[:-1]
    return np.asarray(moving[-1])


def projection_matrix(life: LifeHistory, temperature_c: float, rates: Vital) -> Array:
    """Daily projection matrix (classes, classes) of an uncrowded colony at one temperature.

    `rates` are of one member.
    """
    one = np.ones(CLASSES)
    spread = Vital(rates.brood * one, rates.juvenile_survival * one, rates.timing * one)
    return next_day(np.eye(CLASSES), np.full(CLASSES, temperature_c), life, spread)


def stage_counts(classes: Array) -> Array:
    """Numbers by stage (4, members), in the order of `STAGES`; eggs left out."""
    return np.stack([classes[stage].sum(axis=0) for stage in STAGE_CLASSES])


def apply_event(classes: Array, event: Event) -> Array:
    """Classes after animals were added, removed or found dead; never below none."""
    if event.kind not in ("animals_added", "animals_removed", "deaths") or event.count <= 0.0:
        return classes
    stage = STAGE_CLASSES[STAGES.index(event.stage)]
    out = classes.copy()
    if event.kind == "animals_added":
        width = stage.stop - stage.start
        adults = event.stage in ("females", "males")
        into = slice(stage.start, stage.start + (width // 2 if adults else width))
        out[into] += event.count / (into.stop - into.start)
        return out
    total = classes[stage].sum(axis=0)
    left = np.maximum(total - event.count, 0.0) / np.maximum(total, 1e-300)
    out[stage] = classes[stage] * left
    if event.stage == "females":
        out[EGGS] = classes[EGGS] * left
    return out


@dataclass(frozen=True)
class ColonyOutlook:
    """The coming weeks, week 0 being now. Bands are (low, middle, high).

    total: animals without eggs. by_stage: in the order of `STAGES`. full_in_weeks: the week at
    which the container's capacity is passed, None where it is not within the weeks asked for.
    young_to_remove: animals to take out at each weekly change to hold `hold_at`, if asked.
    """

    weeks: tuple[int, ...]
    total: tuple[Band, ...]
    by_stage: tuple[tuple[Band, ...], ...]
    full_in_weeks: tuple[float | None, float | None, float | None]
    young_to_remove: tuple[Band, ...]


def colony_outlook(
    stock: Stock,
    life: LifeHistory,
    members: Members,
    temperature_c: Array,
    weeks: int,
    capacity_animals: float | None = None,
    hold_at: float | None = None,
    weights: Array | None = None,
    events: Sequence[Event] = (),
) -> ColonyOutlook:
    """The colony over `weeks`, with bands over the members.

    temperature_c: daily mean water temperature (days, members) or one value a member; the last day
    is held on. capacity_animals: adults the container carries. hold_at: the number of grown and
    half-grown ones to hold by taking half-grown ones out once a week. events: to come, in
    hours from now.
    """
    count = len(members["brood_factor"])
    daily = np.atleast_2d(temperature_c)
    rates = vital(life, members)
    classes = first_classes(stock, life, count)
    masses = np.array(stock.masses_mg)
    adult_mg = 0.5 * (masses[2] + masses[3])
    by_week = [stage_counts(classes)]
    removed: list[Array] = []
    for day in range(weeks * DAYS_PER_WEEK):
        for event in events:
            if event.hour // 24 == day:
                classes = apply_event(classes, event)
        load = None
        if capacity_animals is not None:
            mass = np.einsum("s,sm->m", masses, stage_counts(classes))
            load = mass / (max(capacity_animals, 0.5) * adult_mg)
        warmth = daily[min(day, len(daily) - 1)] * np.ones(count)
        classes = next_day(classes, warmth, life, rates, load)
        if (day + 1) % DAYS_PER_WEEK == 0:
            if hold_at is not None:
                classes, taken = _thin(classes, hold_at)
                removed.append(taken)
            by_week.append(stage_counts(classes))
    numbers = np.stack(by_week)
    total = numbers.sum(axis=1)
    return ColonyOutlook(
        weeks=tuple(range(weeks + 1)),
        total=tuple(band(week, weights) for week in total),
        by_stage=tuple(tuple(band(stage, weights) for stage in week) for week in numbers),
        full_in_weeks=_passes(total, capacity_animals, weights),
        young_to_remove=tuple(band(taken, weights) for taken in removed),
    )


def _thin(classes: Array, hold_at: float) -> tuple[Array, Array]:
    """Takes out half-grown ones until those and the grown ones are `hold_at` or none are left.

    Hatchlings of a few millimetres can neither be counted nor netted; they are left to grow.
    """
    out = classes.copy()
    there = out[JUVENILES].sum(axis=0)
    counted = there + out[FEMALES].sum(axis=0) + out[MALES].sum(axis=0)
    taken = np.clip(counted - hold_at, 0.0, there)
    out[JUVENILES] *= 1.0 - taken / np.maximum(there, 1e-300)
    return out, taken


def _passes(
    total: Array, capacity_animals: float | None, weights: Array | None
) -> tuple[float | None, float | None, float | None]:
    if capacity_animals is None:
        return None, None, None
    over = total > capacity_animals
    week = np.where(over.any(axis=0), over.argmax(axis=0), len(total) + 1).astype(np.float64)
    low, middle, high = band(week, weights)
    return (
        low if low < len(total) else None,
        middle if middle < len(total) else None,
        high if high < len(total) else None,
    )
