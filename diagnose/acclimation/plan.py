"""The plan for bringing animals in, from what the bag and the container measure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal

from diagnose.acclimation.drip import after_filling, halvings_for
from diagnose.rulebook.terms import Number
from diagnose.stocking.room import along
from diagnose.water.ammonia import nh3_from_n_mg_l, unionised_ammonia_mg_l
from diagnose.water.limits import OutOfRange
from diagnose.water.mixing import Buffer, mixed_ph

Method = Literal["drip", "drip over two days", "out of the bag first"]
ML_PER_L, SECONDS_PER_HOUR, MINUTES_PER_HOUR, HOURS_PER_HALF_DAY = 1000.0, 3600.0, 60.0, 12.0
#: Doublings where nobody measured the bag: three quarters of the water is then new.
HALVINGS_UNTOLD = 2
#: Hours of dripping for gaps beyond any single afternoon.
LONGEST_DRIP_H = 8.0
#: Air in a bag that is opened lifts pH to about that of the container; reckon with it.
STOP_SIGNS = (
    "twitching or sudden flips",
    "lying on the side, or losing balance",
    "racing round without rest, or climbing out of the water",
)


@dataclass(frozen=True, slots=True)
class Water:
    """What was measured in one water; None: not measured. tan_mg_l is total ammonia as N."""

    temperature_c: float | None = None
    solids_mg_l: float | None = None
    gh_dgh: float | None = None
    kh_dkh: float | None = None
    ph: float | None = None
    tan_mg_l: float | None = None


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of dripping: water at its start and end, dripped in, rate, time, and the water the
    animals are in at its end. pour_off_l: what goes down the drain before the next stage.
    """

    start_l: float
    drip_l: float
    end_l: float
    drops_per_second: float
    hours: float
    pour_off_l: float
    water: Water


@dataclass(frozen=True, slots=True)
class AcclimationPlan:
    """How to bring the animals in. total_h counts everything; gaps are container less bag;
    most_c_in_12_h is the largest step of temperature that standards allow.
    """

    method: Method
    float_minutes: float
    temperature_hours: float
    stages: tuple[Stage, ...]
    total_h: float
    gaps: tuple[tuple[str, float], ...]
    not_measured: tuple[str, ...]
    stale: bool
    most_nh3_mg_l: float | None
    most_c_in_12_h: float
    why: tuple[str, ...]
    stop_signs: tuple[str, ...] = STOP_SIGNS


def acclimation_plan(
    bag: Water,
    container: Water,
    numbers: Mapping[str, Number],
    *,
    bag_volume_l: float | None = None,
    travel_hours: float | None = None,
) -> AcclimationPlan:
    """The plan from bag to container. What was not measured is taken as a large gap."""
    start_l = bag_volume_l if bag_volume_l is not None else numbers["bag_litres"].value
    halvings = _halvings(bag, container, numbers)
    gap = _gap_percent(bag, container)
    hours = _drip_hours(gap, numbers)
    warm_h = _temperature_hours(bag, container, numbers)
    stages = _stages(bag, container, start_l, halvings, hours, numbers)
    harm = _most_nh3(bag, container, stages)
    stale = _stale(harm, bag, travel_hours, numbers)
    method: Method = "drip"
    if stale:
        method = "out of the bag first"
    elif (gap is not None and gap > numbers["too_far_percent"].value) or warm_h > 1.0:
        method = "drip over two days"
    dripping = sum(stage.hours for stage in stages)
    float_min = numbers["float_minutes"].value
    return AcclimationPlan(
        method=method,
        float_minutes=float_min,
        temperature_hours=warm_h,
        stages=stages,
        total_h=max(warm_h, float_min / MINUTES_PER_HOUR + dripping),
        gaps=_gaps(bag, container),
        not_measured=tuple(f.name for f in fields(Water) if getattr(bag, f.name) is None),
        stale=stale,
        most_nh3_mg_l=harm,
        most_c_in_12_h=numbers["slow_c_per_12_h"].value,
        why=_why(bag, container, gap),
    )


def _gaps(bag: Water, container: Water) -> tuple[tuple[str, float], ...]:
    found = []
    for field in fields(Water):
        here, there = getattr(bag, field.name), getattr(container, field.name)
        if here is not None and there is not None:
            found.append((field.name, there - here))
    return tuple(found)


def _gap_percent(bag: Water, container: Water) -> float | None:
    """The larger of the gaps in dissolved solids and hardness, as a share of the smaller value."""
    found = [
        100.0 * abs(there - here) / max(min(here, there), 1e-9)
        for here, there in (
            (bag.solids_mg_l, container.solids_mg_l),
            (bag.gh_dgh, container.gh_dgh),
        )
        if here is not None and there is not None and max(here, there) > 0.0
    ]
    return max(found) if found else None


def _halvings(bag: Water, container: Water, numbers: Mapping[str, Number]) -> int:
    wanted = []
    if bag.solids_mg_l is not None and container.solids_mg_l is not None:
        left = numbers["solids_gap_left_percent"].value / 100.0 * container.solids_mg_l
        wanted.append(halvings_for(container.solids_mg_l - bag.solids_mg_l, max(left, 1.0)))
    if bag.gh_dgh is not None and container.gh_dgh is not None:
        left = numbers["gh_gap_left_dgh"].value
        wanted.append(halvings_for(container.gh_dgh - bag.gh_dgh, left))
    if bag.ph is not None and container.ph is not None:
        wanted.append(halvings_for(container.ph - bag.ph, numbers["ph_gap_left"].value))
    return max(1, *wanted) if wanted else HALVINGS_UNTOLD


def _drip_hours(gap_percent: float | None, numbers: Mapping[str, Number]) -> float:
    least, large = numbers["drip_hours_least"].value, numbers["drip_hours_large_gap"].value
    if gap_percent is None:
        return large
    points = (
        (numbers["solids_gap_left_percent"].value, least),
        (numbers["large_gap_percent"].value, large),
        (numbers["too_far_percent"].value, LONGEST_DRIP_H),
    )
    return along(points, gap_percent)


def _temperature_hours(bag: Water, container: Water, numbers: Mapping[str, Number]) -> float:
    """Hours that the change of temperature needs; a small one is done by floating."""
    if bag.temperature_c is None or container.temperature_c is None:
        return numbers["float_minutes"].value / MINUTES_PER_HOUR
    gap = abs(container.temperature_c - bag.temperature_c)
    if gap <= numbers["floated_gap_c"].value:
        return numbers["float_minutes"].value / MINUTES_PER_HOUR
    return HOURS_PER_HALF_DAY * gap / numbers["slow_c_per_12_h"].value


def _stages(
    bag: Water,
    container: Water,
    start_l: float,
    halvings: int,
    hours: float,
    numbers: Mapping[str, Number],
) -> tuple[Stage, ...]:
    drops = start_l * ML_PER_L * numbers["drops_per_ml"].value
    fastest = numbers["fastest_drops_per_second"].value
    each_h = max(hours / halvings, drops / fastest / SECONDS_PER_HOUR)
    water, stages = bag, []
    for number in range(1, halvings + 1):
        water = _doubled(water, container, start_l)
        stages.append(
            Stage(
                start_l=start_l,
                drip_l=start_l,
                end_l=2.0 * start_l,
                drops_per_second=drops / (each_h * SECONDS_PER_HOUR),
                hours=each_h,
                pour_off_l=start_l if number < halvings else 0.0,
                water=water,
            )
        )
    return tuple(stages)


def _doubled(water: Water, container: Water, start_l: float) -> Water:
    """The vessel's water after as much of the container's has been added."""

    def mixed(name: str) -> float | None:
        here, there = getattr(water, name), getattr(container, name)
        if here is None or there is None:
            return None
        return after_filling(here, there, start_l, start_l)

    values = {f.name: mixed(f.name) for f in fields(Water) if f.name != "ph"}
    return Water(**values, ph=_ph_of(water, container))


def _ph_of(water: Water, container: Water) -> float | None:
    """PH after equal parts, by alkalinity and carbon; None where that cannot be reckoned."""
    buffers = []
    for part in (water, container):
        if part.kh_dkh is None or part.ph is None or part.temperature_c is None:
            return None
        buffers.append(Buffer(part.kh_dkh, part.ph, part.temperature_c))
    try:
        return mixed_ph(buffers[0], buffers[1], 0.5)
    except OutOfRange:
        return None


def _most_nh3(bag: Water, container: Water, stages: tuple[Stage, ...]) -> float | None:
    """The most free ammonia the animals would meet, mg/L as NH3, at the pH of the container: an
    opened bag loses its carbon dioxide and comes near it.
    """
    if bag.tan_mg_l is None or container.ph is None:
        return None
    warm = container.temperature_c if container.temperature_c is not None else bag.temperature_c
    if warm is None:
        return None
    ph = max(container.ph, bag.ph or 0.0)
    tans = [bag.tan_mg_l, *(s.water.tan_mg_l for s in stages if s.water.tan_mg_l is not None)]
    try:
        return nh3_from_n_mg_l(max(unionised_ammonia_mg_l(tan, ph, warm) for tan in tans))
    except OutOfRange:
        return None


def _stale(
    harm: float | None, bag: Water, travel_hours: float | None, numbers: Mapping[str, Number]
) -> bool:
    if harm is not None:
        return harm > numbers["stale_bag_nh3_mg_l"].value
    return travel_hours is not None and travel_hours >= numbers["long_journey_h"].value


def _why(bag: Water, container: Water, gap: float | None) -> tuple[str, ...]:
    lines = []
    if gap is None:
        lines.append("The minerals of the bag were not measured, so it is taken as a large gap.")
    else:
        lines.append(f"The minerals of the two waters differ by {gap:.0f} %.")
    if (
        bag.solids_mg_l is not None
        and container.solids_mg_l is not None
        and container.solids_mg_l < bag.solids_mg_l
    ):
        lines.append("The way goes into thinner water, which is the harder way: take your time.")
    return tuple(lines)
