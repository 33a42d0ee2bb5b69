"""A keeper's habits written out as events, so that the model sees one list of things done."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from diagnose.bowl.description import Bowl, Event, EventKind

HOURS_PER_DAY: Final = 24
# People feed when they come home (common practice, no source).
FEEDING_HOUR: Final = 18
CHANGE_HOUR: Final = 19
# Water that has evaporated is made good about twice a week (common practice, no source).
TOP_UP_DAYS: Final = 3


def with_habits(
    bowl: Bowl,
    events: Iterable[Event],
    first_hour: int,
    last_hour: int,
    logged: Iterable[EventKind] = (),
    log_hours: tuple[int, int] = (0, 0),
) -> tuple[Event, ...]:
    """All events of a run: the told ones, and the routine wherever the log does not speak.

    Within `log_hours` (from, up to) the kinds in `logged` come from the log alone. A feeding
    without an amount (mg 0) is a usual one: `simulate` gives it the usual ration.
    """
    told = tuple(events)
    silent = frozenset(logged)
    routine = [
        event
        for event in _routine(bowl, first_hour, last_hour)
        if not (event.kind in silent and log_hours[0] <= event.hour < log_hours[1])
    ]
    return tuple(sorted((*told, *routine), key=lambda event: (event.hour, event.kind)))


def _routine(bowl: Bowl, first_hour: int, last_hour: int) -> Iterable[Event]:
    habits = bowl.habits
    today = _hour_today(bowl, 0)
    feed_every = round(7.0 * HOURS_PER_DAY / habits.feeds_per_week) if habits.feeds_per_week else 0
    for hour in _every(feed_every, today + FEEDING_HOUR, first_hour, last_hour):
        yield Event(hour, "feeding", protein_share=habits.feed_protein_share)
    change_every = round(habits.change_interval_days * HOURS_PER_DAY)
    if habits.change_share > 0.0:
        # When the last change was is not known here: half an interval ago is the likeliest.
        half = round(0.5 * habits.change_interval_days) * HOURS_PER_DAY
        for hour in _every(change_every, today + CHANGE_HOUR - half, first_hour, last_hour):
            yield Event(hour, "water_change", share=habits.change_share)
    if habits.topup != "nothing":
        top_every = TOP_UP_DAYS * HOURS_PER_DAY
        for hour in _every(top_every, today + CHANGE_HOUR - HOURS_PER_DAY, first_hour, last_hour):
            yield Event(hour, "top_up", pure=habits.topup == "mineral_free")


def _hour_today(bowl: Bowl, of_day: int) -> int:
    return of_day - round(bowl.hour_of_day)


def _every(interval_h: int, anchor: int, first_hour: int, last_hour: int) -> range:
    """Hours from `first_hour` up to `last_hour`, `interval_h` apart, one of them `anchor`."""
    if interval_h <= 0:
        return range(0)
    return range(first_hour + (anchor - first_hour) % interval_h, last_hour, interval_h)
