"""The room hour by hour: its temperature, the sun through the window, the lamp.

Everything is constant within an hour (its mean), so that steps never straddle a jump.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.bowl.description import Bowl, Event, Window
from diagnose.bowl.parameters import Array, Members

HOURS_PER_DAY: Final = 24
# A heated room is warmest in mid-afternoon and coldest before dawn (common practice, no source).
WARMEST_HOUR: Final = 16.0
# Peak irradiance on a vertical pane under a clear sky [W/m2]: between 40 and 50 degrees north,
# computed with a solar library for south and east; west mirrors east; north is diffuse light
# alone (from memory).
WINDOW_PEAK_W_M2: Final[dict[Window, float]] = {
    "none": 0.0,
    "north": 100.0,
    "east": 690.0,
    "south": 650.0,
    "west": 690.0,
}
# Middle of the sunny hours by window (common practice, no source).
WINDOW_NOON: Final[dict[Window, float]] = {
    "none": 12.0,
    "north": 12.5,
    "east": 9.0,
    "south": 12.5,
    "west": 16.0,
}
# Less than a minute of sun is none.
SHORTEST_SUN_H: Final = 1.0 / 60.0
# Sun behind a clean pane at its strongest [W/m2], against which the air's rise is told.
FULL_SUN_W_M2: Final = 500.0
DAYLIGHT: Final = (7.0, 19.0)
# Of the swing of the air at a window sill, what is left in the middle of the room (from memory).
SWING_AWAY_FROM_WINDOW: Final = 0.4


@dataclass(frozen=True)
class Surroundings:
    """Hourly means: room_c and light_umol (hours, members); sun_w_m2 at the pane (hours).

    light_umol is photosynthetic light among the plants [umol/m2/s]; lamp_on is 0 to 1 by hour.
    """

    room_c: Array
    sun_w_m2: Array
    lamp_on: Array
    light_umol: Array
    hour_of_day: Array


def surroundings(
    bowl: Bowl, events: tuple[Event, ...], first_hour: int, hours: int, members: Members
) -> Surroundings:
    """The room over `hours` hours from `first_hour` (relative to asking), for every member."""
    hours_on = np.arange(hours, dtype=np.float64)
    of_day: Array = (bowl.hour_of_day + first_hour + hours_on) % HOURS_PER_DAY
    room_c = (
        _measured_room(bowl.room.measured, first_hour + hours_on + 0.5, members)
        if bowl.room.measured
        else _room_temperature(bowl, of_day + 0.5, members)
    )
    for event in events:
        if event.kind == "room_shift":
            start = round(event.hour) - first_hour
            span = slice(max(start, 0), max(start + round(event.hours), 0))
            room_c[span] += event.shift_c * (members["room_shift_factor"] if event.guessed else 1.0)
    sun = sun_w_m2(bowl.room.window, bowl.room.sun_hours, of_day)
    for event in events:
        if event.kind == "shaded":
            start = max(round(event.hour) - first_hour, 0)
            sun[start:] *= 1.0 - event.share
            if bowl.room.min_c is None and bowl.room.max_c is None:
                _calm(room_c[start:], event.share)
    if not bowl.room.measured:
        behind = sun[:, None] * sun_behind_glass(members)
        room_c += members["sill_air_rise_c"] * (behind / FULL_SUN_W_M2)
    container = bowl.container
    lamp = overlap_h(of_day, container.lights_on_hour, container.light_hours)
    for event in events:
        if event.kind == "lamp_set":
            start = max(round(event.hour) - first_hour, 0)
            lamp[start:] = overlap_h(of_day[start:], container.lights_on_hour, event.hours)
    day = overlap_h(of_day, DAYLIGHT[0], DAYLIGHT[1] - DAYLIGHT[0])
    behind_glass = sun[:, None] * sun_behind_glass(members)
    light = (
        lamp[:, None] * members["lamp_par"]
        + day[:, None] * members["room_par"]
        + behind_glass * members["sun_par_per_w"]
    )
    return Surroundings(room_c, sun, lamp, light, of_day)


def sun_behind_glass(members: Members) -> Array:
    """Of the sun on the pane under a clear sky for the hours told, what comes in."""
    return np.asarray(members["window_gain"] * members["clear_sky_share"] * members["sun_dose"])


def _calm(room_c: Array, share: float) -> None:
    """Draws the air's swing in, in place: away from the window it is that of the room."""
    if len(room_c):
        kept = 1.0 - share * (1.0 - SWING_AWAY_FROM_WINDOW)
        middle = room_c.mean(axis=0)
        room_c[:] = middle + kept * (room_c - middle)


def _room_temperature(bowl: Bowl, of_day: Array, members: Members) -> Array:
    low, high = bowl.room.min_c, bowl.room.max_c
    error: Array | float = members["room_error_c"]
    swing = members["room_swing_c"]
    if low is not None and high is not None:
        middle: Array | float = 0.5 * (low + high)
        swing = np.full_like(swing, high - low)
    elif low is not None:
        middle = low + 0.5 * swing
    elif high is not None:
        middle = high - 0.5 * swing
    else:
        middle, error = members["room_mean_c"], 0.0
    wave = np.cos((of_day - WARMEST_HOUR) * (2.0 * np.pi / HOURS_PER_DAY))[:, None]
    # A power below 1 flattens the tops: heating by the clock holds a room at either end for hours.
    shape = np.sign(wave) * np.abs(wave) ** members["room_wave_power"]
    return np.asarray(middle + error + 0.5 * swing * shape, dtype=np.float64)


def _measured_room(
    measured: tuple[tuple[float, float], ...], hours: Array, members: Members
) -> Array:
    """Air temperature [degC] (hours, members) by what was read beside the container."""
    at, read_c = zip(*sorted(measured), strict=True)
    one: Array = np.ones_like(members["room_error_c"])
    return np.asarray(np.interp(hours, at, read_c)[:, None] * one, dtype=np.float64)


def overlap_h(of_day: Array, begins: float, lasts: float) -> Array:
    """Share of each hour [of_day, of_day + 1) that a daily span covers, midnight included."""
    total = np.zeros_like(of_day)
    for shift in (-HOURS_PER_DAY, 0, HOURS_PER_DAY):
        start, end = begins + shift, begins + shift + lasts
        total += np.clip(np.minimum(of_day + 1.0, end) - np.maximum(of_day, start), 0.0, 1.0)
    return np.minimum(total, 1.0)


def sun_w_m2(window: Window, sun_hours: float, of_day: Array) -> Array:
    """Sun on the pane [W/m2], hourly: half a sine wave over the sunny hours, clear sky.

    Source: clear-sky irradiance on vertical panes at 40 and 50 degrees north (`WINDOW_PEAK_W_M2`).
    """
    if sun_hours < SHORTEST_SUN_H or window == "none":
        return np.zeros_like(of_day)
    begins = WINDOW_NOON[window] - 0.5 * sun_hours
    since = (of_day + 0.5 - begins) % HOURS_PER_DAY
    # Past the sunny hours the phase is held at half a turn, where the sine is nothing.
    shape = np.sin(np.pi * np.minimum(since / sun_hours, 1.0))
    return np.asarray(WINDOW_PEAK_W_M2[window] * shape, dtype=np.float64)
