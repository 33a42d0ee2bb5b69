"""What was measured: the latest reading of each kind, extremes, swings and drifts over the log."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.findings.clock import Clock
from diagnose.findings.observation import Observation
from diagnose.intake.case import Case, Reading
from diagnose.water import conductivity

#: Kind of reading in a case -> observation.
NAMES = {
    "temperature": "temperature_c",
    "ph": "ph",
    "ammonia": "tan_mg_l",
    "unionised_ammonia": "nh3_mg_l",
    "nitrite": "nitrite_mg_l",
    "nitrate": "nitrate_mg_l",
    "gh": "gh_dgh",
    "kh": "kh_dkh",
    "solids": "solids_mg_l",
    "oxygen": "oxygen_mg_l",
    "oxygen_percent": "oxygen_percent",
    "co2": "co2_mg_l",
    "chlorine": "chlorine_mg_l",
    "copper": "copper_mg_l",
}
#: Extremes are looked for in the fortnight before the trouble; drifts over everything logged.
EXTREMES_WITHIN_H = 14 * 24.0
#: Readings closer than this are of one time, not a rate.
SAME_TIME_H = 0.25
#: A drift needs readings at least this far apart.
DRIFT_OVER_H = 7 * 24.0
DAY_H = 24.0
DAWN_HOURS = (3.0, 8.0)

Timed = tuple[float, Reading]


def place(reading: Reading) -> str:
    """Where a reading was found, for the trace."""
    source = reading.logged or "reading"
    written = reading.as_written or f"{reading.value:g}"
    return f"{source}: {reading.what} {written}" + (f", {reading.at.text}" if reading.at else "")


def readings(case: Case, clock: Clock) -> Iterator[Observation]:
    """The latest reading of each kind in the container."""
    for kind, name in NAMES.items():
        latest = _latest(case, clock, kind)
        if latest is not None:
            yield Observation(name, latest.value, "measured", place(latest))
    if _latest(case, clock, "solids") is None:
        metered = _latest(case, clock, "conductivity")
        if metered is not None:
            solids = conductivity.dissolved_solids_mg_l(metered.value)
            yield Observation("solids_mg_l", solids, "derived", place(metered))


def _latest(case: Case, clock: Clock, kind: str) -> Reading | None:
    """The reading nearest to the asking; readings without a time count as taken at the asking."""
    found = [r for r in case.readings if r.what == kind and r.where == "container"]
    if not found:
        return None
    return min(found, key=lambda r: (clock.before_asking_h(r.at) or 0.0, -r.value, place(r)))


def series(case: Case, clock: Clock, kind: str, within_h: float | None = None) -> list[Timed]:
    """Timed readings of one kind in the container, oldest first, as (hours before asking,
    reading).
    """
    found = [
        (hours, reading)
        for reading in case.readings
        if reading.what == kind
        and reading.where == "container"
        and (hours := clock.before_asking_h(reading.at)) is not None
    ]
    start = _trouble_h(clock) + within_h if within_h is not None else None
    kept = [(h, r) for h, r in found if start is None or h <= start]
    return sorted(kept, key=lambda pair: (-pair[0], pair[1].value))


def _trouble_h(clock: Clock) -> float:
    return clock.before_asking_h(clock.first_death) or 0.0


def temperatures(case: Case, clock: Clock) -> Iterator[Observation]:
    """Warmest, coldest, daily swing and fastest change of the water in the log."""
    found = series(case, clock, "temperature", EXTREMES_WITHIN_H)
    if len(found) < 2:
        for reading in (r for _, r in found):
            yield Observation("temperature_max_c", reading.value, "measured", place(reading))
        return
    warmest = max(found, key=lambda pair: (pair[1].value, place(pair[1])))[1]
    coldest = min(found, key=lambda pair: (pair[1].value, place(pair[1])))[1]
    yield Observation("temperature_max_c", warmest.value, "measured", place(warmest))
    yield Observation("temperature_min_c", coldest.value, "measured", place(coldest))
    swings = [
        (abs(b.value - a.value), a, b)
        for i, (ha, a) in enumerate(found)
        for hb, b in found[i + 1 :]
        if SAME_TIME_H < ha - hb <= DAY_H
    ]
    if swings:
        swing, one, other = max(swings, key=lambda item: (item[0], place(item[1])))
        because = f"{place(one)}; {place(other)}"
        yield Observation("temperature_swing_c", swing, "derived", because)
    rates = [
        (abs(b.value - a.value) / (ha - hb), a, b)
        for (ha, a), (hb, b) in pairwise(found)
        if ha - hb > SAME_TIME_H
    ]
    if rates:
        rate, one, other = max(rates, key=lambda item: (item[0], place(item[1])))
        because = f"{place(one)}; {place(other)}"
        yield Observation("temperature_rate_c_per_h", rate, "derived", because)


def drifts(case: Case, clock: Clock) -> Iterator[Observation]:
    """pH within a day and over weeks, and the creep of dissolved minerals."""
    ph = series(case, clock, "ph")
    within = [
        abs(a.value - b.value)
        for i, (ha, a) in enumerate(ph)
        for hb, b in ph[i + 1 :]
        if SAME_TIME_H < ha - hb <= DAY_H
    ]
    if within:
        yield Observation("ph_swing", max(within), "derived", "pH readings of one day in the log")
    if len(ph) > 1 and ph[0][0] - ph[-1][0] >= DRIFT_OVER_H:
        fall = max(0.0, ph[0][1].value - ph[-1][1].value)
        because = f"{place(ph[0][1])}; {place(ph[-1][1])}"
        yield Observation("ph_fall", fall, "derived", because)
    for kind in ("solids", "conductivity", "gh"):
        found = series(case, clock, kind)
        if len(found) > 1 and found[0][0] - found[-1][0] >= DRIFT_OVER_H and found[0][1].value > 0:
            rise = max(0.0, 100.0 * (found[-1][1].value / found[0][1].value - 1.0))
            because = f"{place(found[0][1])}; {place(found[-1][1])}"
            yield Observation("solids_rise_percent", rise, "derived", because)
            return


def dawn_oxygen(case: Case, clock: Clock) -> Iterator[Observation]:
    """A reading of oxygen taken before the light comes on."""
    from datetime import timedelta

    for hours, reading in reversed(series(case, clock, "oxygen")):
        if reading.at is None or not reading.at.clock_told:
            continue
        at = clock.asked_at - timedelta(hours=hours)
        if DAWN_HOURS[0] <= at.hour + at.minute / 60.0 <= DAWN_HOURS[1]:
            yield Observation("oxygen_dawn_mg_l", reading.value, "measured", place(reading))
            return


def step_at_change(case: Case, clock: Clock) -> Iterator[Observation]:
    """How far the new water (or the bag) was from the container's, in degrees and in dissolved
    minerals.
    """
    here = {k: _latest(case, clock, k) for k in ("temperature", "solids", "conductivity", "gh")}
    changes = [e for e in case.events if e.what == "water-change"]
    for event in changes:
        reading = here["temperature"]
        if event.temperature_c is not None and reading is not None:
            step = abs(event.temperature_c - reading.value)
            because = f"log: water-change with {event.temperature_c:g} C; {place(reading)}"
            yield Observation("change_temperature_step_c", step, "derived", because)
    other = [r for r in case.readings if r.where in ("new_water", "bag")]
    for reading in other:
        mine = here.get(reading.what)
        if mine is None:
            continue
        because = f"{reading.where.replace('_', ' ')} {place(reading)}; {place(mine)}"
        if reading.what == "temperature" and reading.where == "new_water":
            step = abs(reading.value - mine.value)
            yield Observation("change_temperature_step_c", step, "derived", because)
        elif reading.what in ("solids", "conductivity", "gh"):
            low, high = sorted((reading.value, mine.value))
            if low > 0:
                jump = 100.0 * (high / low - 1.0)
                if reading.where == "new_water":
                    jump *= (changes[-1].share_percent or 100.0) / 100.0 if changes else 1.0
                yield Observation("change_solids_step_percent", jump, "derived", because)
