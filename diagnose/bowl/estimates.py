"""What the model makes of things nobody measured, as bands (low, middle, high).

Names are those of the rulebook's vocabulary where it has one; ammonia and nitrite as N, nitrate as
NO3, as there.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np

from diagnose.bowl.bands import Band, band
from diagnose.bowl.description import Event
from diagnose.bowl.parameters import Array
from diagnose.bowl.simulate import Run
from diagnose.water.nitrogen import NO3_PER_N

HOURS_PER_DAY: Final = 24
# Peaks count from the last feeding or death, but at most this far back.
LONGEST_LOOK_BACK_H: Final = 14 * HOURS_PER_DAY


def estimates(
    run: Run, events: Iterable[Event] = (), at_hour: int = 0, weights: Array | None = None
) -> dict[str, Band]:
    """Bands of everything worth knowing at an hour of a run (0: now), by name.

    Highest, lowest and before dawn are of the 24 hours up to then; peaks are since the last
    feeding that stands out in the log (one with an amount) or death. solids_rise_percent is
    against the tap.
    """
    row = at_hour - run.first_hour
    day = slice(max(row - HOURS_PER_DAY, 0), row + 1)
    since = slice(_since(run, events, at_hour) - run.first_hour, row + 1)
    temperature = run.temperature_c[day]
    warmest, coldest = temperature.max(axis=0), temperature.min(axis=0)
    tan, nh3 = run.tan_mg_l, run.nh3_mg_l
    tap_solids = run.bowl.tap.solids_mg_l
    values: dict[str, Array] = {
        "temperature_c": run.temperature_c[row],
        "temperature_max_c": warmest,
        "temperature_min_c": coldest,
        "temperature_swing_c": warmest - coldest,
        "oxygen_mg_l": run.oxygen_mg_l[row],
        "oxygen_dawn_mg_l": run.oxygen_mg_l[day].min(axis=0),
        "tan_mg_l": tan[row],
        "tan_peak_mg_l": tan[since].max(axis=0),
        "nh3_mg_l": nh3[row],
        "nh3_peak_mg_l": nh3[since].max(axis=0),
        "nitrite_mg_l": run.nitrite_mg_l[row],
        "nitrate_mg_l": run.nitrate_n_mg_l[row] * NO3_PER_N,
        "gh_dgh": run.gh_dgh[row],
        "solids_mg_l": run.solids_mg_l[row],
    }
    if tap_solids > 0.0:
        values["solids_rise_percent"] = 100.0 * (run.solids_mg_l[row] / tap_solids - 1.0)
    return {name: band(value, weights) for name, value in values.items()}


def _since(run: Run, events: Iterable[Event], at_hour: int) -> int:
    marks = [
        round(event.hour)
        for event in events
        if event.hour <= at_hour
        and (event.kind == "deaths" or (event.kind == "feeding" and event.mg > 0.0))
    ]
    latest = max(marks, default=at_hour - 2 * HOURS_PER_DAY)
    # A peak needs time to come: at least two days are looked at.
    from_hour = min(latest, at_hour - 2 * HOURS_PER_DAY)
    return max(from_hour, at_hour - LONGEST_LOOK_BACK_H, run.first_hour)


def safe_members(run: Run, from_hour: int, oxygen_mg_l: float, nh3_mg_l: float) -> Array:
    """Whether each member keeps above an oxygen and below an un-ionised ammonia [mg/L, as N] all
    the time from an hour on (1 or 0).
    """
    rows = slice(from_hour - run.first_hour, None)
    airy = run.oxygen_mg_l[rows].min(axis=0) >= oxygen_mg_l
    clean = run.nh3_mg_l[rows].max(axis=0) <= nh3_mg_l
    return np.asarray(airy & clean, dtype=np.float64)
