"""The animals, the log and the readings of a case as the container model takes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from diagnose.bowl.description import Event, EventKind, Habits, Quantity, Reading, Stage, Stock
from diagnose.findings.density import adults_told, animals_told
from diagnose.findings.model_notes import Notes
from diagnose.findings.portions import portion
from diagnose.findings.readings import Sample, samples
from diagnose.findings.timeline import Timeline, distinct_counts, distinct_events
from diagnose.water.nitrogen import NO3_PER_N

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.case import Event as LoggedEvent

HOURS_PER_DAY: Final = 24
PERCENT: Final = 100.0
FEMALE_SHARE_UNTOLD: Final = 0.5
#: What an unusually large feed weighs, as a share of the animals' mass: ten times the usual ration
#: of 1.5 % a day (from memory).
HEAVY_FEED_SHARE: Final = 0.15
#: A body is found within half a day; one that was said to lie unnoticed, after two days.
BODY_FOUND_H, BODY_UNNOTICED_H = 12, 48
#: Of the nitrifying film, what scrubbing everything or a medicine takes (from memory). What a
#: filter that stands still loses is a range of the model's.
FILM_LOST: Final = {"scrubbed": 0.8, "medicine": 0.3}
#: What a hot spell or a cold night does to a room, if nobody read a thermometer (from memory).
ROOM_SHIFTS: Final = {"heat-wave": (5.0, 72.0), "cold-spell": (-6.0, 12.0)}
#: Where the room is told by its lowest and highest, the spell may be in that or not: of the
#: shift above, from nothing to all (from memory).
TOLD_ROOM_SHIFT: Final = (0.0, 0.2, 1.2)
#: Errors of readings beyond those of the kit: of a thermometer told from memory, and of a reading
#: on a day without an hour, which the day's swing blurs (from memory).
TOLD_SD_C: Final = 1.5
UNCLOCKED_SD: Final[dict[Quantity, float]] = {"temperature_c": 1.5, "oxygen_mg_l": 2.5}
#: Feeds needed in the log before it speaks for all feeding.
FEEDS_NEEDED: Final = 3
READ: Final[dict[str, tuple[Quantity, float]]] = {
    "temperature": ("temperature_c", 1.0),
    "oxygen": ("oxygen_mg_l", 1.0),
    "ammonia": ("tan_mg_l", 1.0),
    "nitrite": ("nitrite_mg_l", 1.0),
    "nitrate": ("nitrate_n_mg_l", 1.0 / NO3_PER_N),
    "solids": ("solids_mg_l", 1.0),
    "gh": ("gh_dgh", 1.0),
    "ph": ("ph", 1.0),
}


def stock_and_moves(
    case: Case,
    timeline: Timeline,
    notes: Notes,
    masses: tuple[float, float, float, float],
    first_hour: int,
) -> tuple[Stock, list[Event]]:
    """The animals at the first hour, and the events that move them since.

    A case counts the animals before the losses began; what was added in the run up to then was
    not there at its first hour.
    """
    told = case.stock
    adults = float(adults_told(case) or 0)
    if adults_told(case) is None:
        adults = float(animals_told(case) or 0)
    females = float(told.females) if told.females is not None else None
    if females is None:
        males = float(told.males) if told.males is not None else None
        females = adults - males if males is not None else adults * FEMALE_SHARE_UNTOLD
    # A count that names one sex and the adults leaves the rest to the other.
    females = min(max(females, 0.0), adults)
    counts: dict[Stage, float] = {
        "hatchlings": float(told.hatchlings or 0),
        "juveniles": float(told.juveniles or 0),
        "females": females,
        "males": adults - females,
    }
    events: list[Event] = []
    death_at = first_death_hour(timeline)
    for event in distinct_events(case):
        hour = hour_of(timeline, event)
        if event.what != "new-animals" or not event.count or hour is None or hour < first_hour:
            continue
        for stage in ("females", "males"):
            half = 0.5 * event.count
            if death_at is None or hour <= death_at:
                half = min(half, counts[stage])
                counts[stage] -= half
            events.append(Event(hour, "animals_added", stage=stage, count=half))
    events += _deaths(case, timeline, counts, first_hour, notes)
    stock = Stock(
        **counts,
        berried=min(float(told.berried or 0), counts["females"]),
        masses_mg=masses,
    )
    return stock, events


def first_death_hour(timeline: Timeline) -> int | None:
    if timeline.first_death is None:
        return None
    ago = timeline.hours_ago(timeline.first_death)
    return None if ago is None else -round(max(ago, 0.0))


def _deaths(
    case: Case,
    timeline: Timeline,
    counts: Mapping[Stage, float],
    first_hour: int,
    notes: Notes,
) -> list[Event]:
    dead: list[tuple[int, float]] = []
    counted = distinct_counts(case)
    first = first_death_hour(timeline)
    if counted:
        for moment, number in counted:
            ago = timeline.hours_ago(moment)
            if ago is not None:
                dead.append((-round(max(ago, 0.0)), float(number)))
    elif case.deaths is not None and case.deaths.dead and first is not None:
        dead.append((first, float(case.deaths.dead)))
    else:
        dead += [
            (hour, float(event.count or 1))
            for event in distinct_events(case)
            if event.what == "death" and (hour := hour_of(timeline, event)) is not None
        ]
    left_lying = "body_left_inside" in case.seen
    found: list[Event] = []
    for at, many in dead:
        if at < first_hour:
            continue
        found += _by_sex(at, many, counts)
        if not left_lying:
            found.append(Event(at + BODY_FOUND_H, "bodies_removed", share=1.0))
    for event in distinct_events(case):
        since = hour_of(timeline, event)
        if event.what == "death-unnoticed" and since is not None and since >= first_hour:
            found += _by_sex(since, float(event.count or 1), counts)
            found.append(Event(since + BODY_UNNOTICED_H, "bodies_removed", share=1.0))
    if dead and not left_lying:
        notes.assumed.append("Bodies are taken to have been lifted out within half a day.")
    return found


def _by_sex(hour: int, number: float, counts: Mapping[Stage, float]) -> list[Event]:
    adults = counts["females"] + counts["males"]
    share = counts["females"] / adults if adults else FEMALE_SHARE_UNTOLD
    return [
        Event(hour, "deaths", stage="females", count=number * share),
        Event(hour, "deaths", stage="males", count=number * (1.0 - share)),
    ]


def hour_of(timeline: Timeline, event: LoggedEvent) -> int | None:
    if event.at is None:
        return None
    ago = timeline.hours_ago(event.at)
    return None if ago is None or ago < 0.0 else -round(ago)


def log_events(
    case: Case,
    timeline: Timeline,
    notes: Notes,
    stock: Stock,
    first_hour: int,
    habits: Habits,
) -> tuple[list[Event], tuple[EventKind, ...], int]:
    """Events of the log that the water feels, and from which hour on the log speaks for which."""
    found: list[Event] = []
    box = case.container
    for event in distinct_events(case):
        hour = hour_of(timeline, event)
        if event.what in ROOM_SHIFTS:
            if box.room_min_c is not None and box.room_max_c is not None:
                notes.widened["room_shift_factor"] = TOLD_ROOM_SHIFT
            else:
                notes.forced.add(event.what)
        if hour is None or hour < first_hour:
            continue
        made = _as_event(event, hour, stock, habits, box.volume_l or 1.0)
        if made is not None:
            found.append(made)
    days_since = case.told.get("days_since_change")
    changed: list[float] = [event.hour for event in found if event.kind == "water_change"]
    if not changed and isinstance(days_since, int | float):
        anchor = first_death_hour(timeline) or 0
        at = anchor - round(float(days_since) * HOURS_PER_DAY)
        changed.append(float(at))
        if at >= first_hour:
            found.append(Event(at, "water_change", share=habits.change_share))
    silent: list[EventKind] = []
    starts: list[float] = []
    if changed:
        silent.append("water_change")
        starts.append(min(changed))
    fed = [event.hour for event in found if event.kind == "feeding"]
    if len(fed) >= FEEDS_NEEDED:
        silent.append("feeding")
        starts.append(min(fed))
    filled = [event.hour for event in found if event.kind == "top_up"]
    if filled:
        silent.append("top_up")
        starts.append(min(filled))
    return found, tuple(silent), round(max(min(starts, default=0.0), first_hour))


def _as_event(
    event: LoggedEvent, hour: int, stock: Stock, habits: Habits, volume_l: float
) -> Event | None:
    if event.what == "water-change":
        share = habits.change_share
        if event.share_percent is not None:
            share = event.share_percent / PERCENT
        elif event.volume_l is not None:
            share = event.volume_l / volume_l
        return Event(
            hour,
            "water_change",
            share=min(share, 1.0),
            temperature_c=event.temperature_c,
            solids_mg_l=event.solids_mg_l,
            gh_dgh=event.gh_dgh,
        )
    if event.what == "top-up":
        return Event(hour, "top_up", pure=habits.topup == "mineral_free")
    if event.what in ("feed", "heavy-feed"):
        weight = portion(event.amount)
        if weight is not None:
            return Event(hour, "feeding", mg=weight.mg)
        heavy = HEAVY_FEED_SHARE * mass_mg(stock) if event.what == "heavy-feed" else 0.0
        return Event(hour, "feeding", mg=heavy)
    if event.what in FILM_LOST:
        return Event(hour, "biofilm_lost", share=FILM_LOST[event.what])
    if event.what == "filter-stopped":
        return Event(hour, "biofilm_lost", guessed=True)
    if event.what in ROOM_SHIFTS:
        shift, lasts = ROOM_SHIFTS[event.what]
        return Event(hour, "room_shift", shift_c=shift, hours=lasts, guessed=True)
    return None


def mass_mg(stock: Stock) -> float:
    """Wet mass of all the animals [mg]."""
    numbers = (stock.hatchlings, stock.juveniles, stock.females, stock.males)
    return sum(n * mass for n, mass in zip(numbers, stock.masses_mg, strict=True))


def readings_of(case: Case, timeline: Timeline) -> tuple[Reading, ...]:
    found: list[Reading] = []
    for what, (quantity, factor) in READ.items():
        found += [_as_reading(sample, quantity, factor) for sample in samples(case, timeline, what)]
    told = case.told.get("temperature_c")
    if isinstance(told, int | float) and not any(r.quantity == "temperature_c" for r in found):
        found.append(Reading(0, "temperature_c", float(told), TOLD_SD_C))
    return tuple(sorted(found, key=lambda r: (r.hour, r.quantity, r.value)))


def _as_reading(sample: Sample, quantity: Quantity, factor: float) -> Reading:
    sd = None
    if not (sample.timed and sample.clock_told):
        sd = UNCLOCKED_SD.get(quantity)
    return Reading(-round(max(sample.hours_ago, 0.0)), quantity, sample.value * factor, sd)
