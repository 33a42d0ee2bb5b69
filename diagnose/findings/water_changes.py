"""The last water change before the first death: how much, how warm, how mineral, how treated."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, observed
from diagnose.findings.readings import Sample, samples
from diagnose.findings.timeline import (
    DAY_SLACK_H,
    FORTNIGHT_H,
    HOURS_PER_DAY,
    Placed,
    Timeline,
    distinct_events,
    log_place,
    span_words,
)
from diagnose.intake.rough import ends, image, rough

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Event

CHANGE = "water-change"
TOP_UP = "top-up"
#: A reading of the new water belongs to a change within so many hours of it.
SAME_CHANGE_H = 24.0
#: The old water is as it was read up to so long before the change.
OLD_WATER_H = 14 * HOURS_PER_DAY
#: After so many hours a changed bowl is back at the temperature of its place (a few litres follow
#: the room within hours; common practice, no source).
BACK_AT_ROOM_H = 12.0
#: How far an unheated container in a room, or a heated one, is from what the thermometer on the
#: wall or the dial says, degC (common practice, no source).
ROOM_SLACK_C, HEATER_SLACK_C = 2.0, 1.0
#: Logged changes needed before their usual distance is called a habit.
HABIT_NEEDS = 3
#: Kinds of water that never were tap water.
_NOT_FROM_THE_TAP = ("well", "rain", "mineral_free", "remineralised", "bottled")
#: Of these, none holds chlorine or a keeper's reason to treat it; a well is its owner's to judge.
_NOTHING_TO_TREAT = ("rain", "mineral_free", "remineralised", "bottled")


@dataclass(frozen=True, slots=True)
class Change:
    """The last water change before the first death.

    hours_ago: from it to the asking, None if unknown. share_percent: new water over all water
    afterwards, from the log or else the habit.
    """

    event: Event | None
    hours_before: float | None
    hours_ago: float | None
    share_percent: float | None
    share_because: str


def change_observations(case: Case, timeline: Timeline) -> list[Observation]:
    """What is known of the last water change and of the habit."""
    change = last_change(case, timeline)
    row = {id(event): index for index, event in reversed(tuple(enumerate(case.events)))}

    def said(items: Iterable[Observation], water: Change) -> list[Observation]:
        place = "container.change" if water.event is None else f"events[{row[id(water.event)]}]"
        return [replace(item, statement=item.statement or place) for item in items]

    found = [*_times(case, timeline, change), *_conditioner(case, change)]
    if change.share_percent is not None:
        found.append(
            observed("last_change_share", change.share_percent, "told", change.share_because)
        )
    poured = [change]
    topup = last_change(case, timeline, TOP_UP)
    if topup.event is not None and (topup.event.share_percent or topup.event.volume_l):
        # So much water that its share was told acts as a change does, where that says nothing.
        poured.append(topup)
    for look in (_temperature_step, _mineral_step, _untreated):
        made = ((water, [*look(case, timeline, water)]) for water in poured)
        water, items = next(((w, items) for w, items in made if items), (change, []))
        found += said(items, water)
    return said(found, change)


def last_change(case: Case, timeline: Timeline, what: str = CHANGE) -> Change:
    """The latest water change (or other pouring in) before the first death; one without a time only
    if there is no other. With none in the log, the habit alone.
    """
    placed: list[tuple[float, str, Event]] = []
    undated: list[Placed] = []
    for item in timeline.log:
        event = item.event
        if event.what != what or item.side in ("after", "long_before"):
            continue
        hours = item.hours
        if hours is None and event.at is not None:
            hours = timeline.hours_ago(event.at)
        if hours is None:
            undated.append(item)
        elif hours >= 0.0:
            placed.append((hours, repr(event), event))
    last: Event | None = None
    if placed:
        last = min(placed, key=lambda item: item[:2])[2]
    elif len(undated) == 1 or any(item.side == "before" for item in undated):
        last = max(undated, key=lambda item: (item.side == "before", item.row)).event
    at = last.at if last is not None else None
    share, because = _share(case, last)
    if last is None and len(undated) > 1:
        share, because = _any_share(case, [item.event for item in undated], (share, because))
    return Change(
        event=last,
        hours_before=timeline.hours_before(at) if at is not None else None,
        hours_ago=timeline.hours_ago(at) if at is not None else None,
        share_percent=share,
        share_because=because,
    )


def _any_share(
    case: Case, events: list[Event], usual: tuple[float | None, str]
) -> tuple[float | None, str]:
    """The share of one of several undated changes, nobody knows which was the last."""
    told = [_share(case, event) for event in events]
    shares = [share for share, _ in told if share is not None]
    if len(shares) < len(events):
        return usual
    low = min(ends(share)[0] for share in shares)
    high = max(ends(share)[1] for share in shares)
    return rough(low, high), "log: one of the water changes"


def _share(case: Case, event: Event | None) -> tuple[float | None, str]:
    if event is not None and event.share_percent is not None:
        return event.share_percent, f"{log_place(event)}: the last water change"
    whole = case.container.volume_l
    if event is not None and event.volume_l is not None and whole:
        percent = _percent(event.volume_l, whole)
        return percent, f"{log_place(event)}: litres of the last water change"
    if case.container.change_share_percent is not None:
        return case.container.change_share_percent, "the usual change"
    if case.container.change_volume_l is not None and whole:
        return _percent(case.container.change_volume_l, whole), "litres of the usual change"
    return None, ""


def _percent(litres: float, whole: float) -> float:
    """Litres as a share of all the water, percent."""
    return image(lambda part, all_of_it: min(100.0, 100.0 * part / all_of_it), litres, whole)


def _times(case: Case, timeline: Timeline, change: Change) -> Iterator[Observation]:
    if change.hours_before is not None:
        hours = max(0.0, change.hours_before)
        place, span = log_place(change.event), span_words(hours)
        because = f"{place}: {CHANGE} {span} before {timeline.until}"
        yield Observation("days_since_change", hours / HOURS_PER_DAY, "derived", because)
    times = sorted(
        {
            ago
            for event in distinct_events(case)
            if event.what == CHANGE
            and event.at is not None
            and (ago := timeline.hours_ago(event.at)) is not None
        }
    )
    if len(times) >= HABIT_NEEDS:
        gaps = [later - earlier for earlier, later in pairwise(times)]
        because = f"log: the middle one of {len(gaps)} intervals between water changes"
        days = sorted(gaps)[len(gaps) // 2] / HOURS_PER_DAY
        yield Observation("change_interval_days", days, "derived", because)


def _conditioner(case: Case, change: Change) -> Iterator[Observation]:
    """The last change counts, as the question asks; the habit where the log does not tell."""
    used = change.event.conditioner if change.event is not None else None
    habit, source = case.container.conditioner, case.container.water_source
    because = f"{log_place(change.event)}: the last water change"
    if used is None:
        if habit is not None:
            because, statement = "told of the container", "container.conditioner"
            yield Observation("conditioner_use", habit, "told", because, statement=statement)
    elif used == "full":
        yield Observation("conditioner_use", "always", "told", because)
    elif used == "none" and (habit == "not_needed" or source in _NOTHING_TO_TREAT):
        yield Observation("conditioner_use", "not_needed", "told", because)
    elif source != "well":
        word = "never" if used == "none" and habit == "never" else "missed"
        yield Observation("conditioner_use", word, "told", because)


def _temperature_step(case: Case, timeline: Timeline, change: Change) -> Iterator[Observation]:
    new = _new_water(case, timeline, change, "temperature")
    if new is None:
        return
    before = _old_water(case, timeline, change, "temperature")
    if before is not None:
        because = f"{new:.3g} C into {before.value:.3g} C"
        step = _apart(new, before.value)
        yield observed("change_temperature_step_c", step, "derived", because)
        return
    usual = _usual_temperature(case, timeline, change)
    if usual is not None:
        kept, slack, words = usual
        step = abs(new - kept)
        band = (max(0.0, step - slack), step, step + slack)
        because = f"{new:.3g} C into water at about {kept:.3g} C, {words}"
        yield Observation("change_temperature_step_c", step, "estimated", because, band)


def _apart(one: float, other: float) -> float:
    """How far two numbers are apart; from nothing where their intervals meet."""
    gap = image(lambda a, b: a - b, one, other)
    low, high = ends(gap)
    nearest = 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
    return rough(nearest, max(abs(low), abs(high)))


def _usual_temperature(
    case: Case, timeline: Timeline, change: Change
) -> tuple[float, float, str] | None:
    """About how warm the container is when left alone: degC, how far off that may be, and why."""
    told = case.told.get("temperature_c")
    if isinstance(told, float | int) and not isinstance(told, bool):
        return float(told), ROOM_SLACK_C, "as told"
    if change.hours_ago is not None:
        settled = [
            sample
            for sample in samples(case, timeline, "temperature")
            if BACK_AT_ROOM_H <= change.hours_ago - sample.hours_ago <= FORTNIGHT_H
        ]
        if settled:
            return settled[-1].value, ROOM_SLACK_C, "as it was read later"
    box = case.container
    if box.heater == "working" and box.heater_setpoint_c is not None:
        return box.heater_setpoint_c, HEATER_SLACK_C, "as the heater is set"
    if box.heater in (None, "none") and box.room_temperature_c is not None:
        return box.room_temperature_c, ROOM_SLACK_C, "as the room is"
    return None


def _mineral_step(case: Case, timeline: Timeline, change: Change) -> Iterator[Observation]:
    """By how much dissolved solids, or else hardness, jumped in the container at the change; or
    between bag and container for animals that were moved. The larger jump counts.
    """
    jumps = [
        jump
        for jump in (_jump_at_change(case, timeline, change), _jump_from_bag(case, timeline))
        if jump is not None
    ]
    if jumps:
        percent, because = max(jumps)
        yield observed("change_solids_step_percent", percent, "derived", because)


def _jump_at_change(case: Case, timeline: Timeline, change: Change) -> tuple[float, str] | None:
    if change.event is None:
        return None
    for what, words in _MINERALS:
        old = _old_water(case, timeline, change, what)
        if old is None or old.value <= 0.0:
            continue
        new = _new_water(case, timeline, change, what)
        if new is not None and change.share_percent is not None:
            jump = image(
                lambda share, step, before: share * step / max(before, LEAST_MINERALS),
                change.share_percent,
                _apart(new, old.value),
                old.value,
            )
            return (
                jump,
                f"{words}: {new:.3g} into {old.value:.3g}, {change.share_percent:.3g} % new",
            )
        after = _read_after(case, timeline, change, what)
        if after is not None:
            jump = _percent_apart(after.value, old.value)
            return jump, f"{words}: {old.value:.3g} before the change, {after.value:.3g} after it"
    return None


def _jump_from_bag(case: Case, timeline: Timeline) -> tuple[float, str] | None:
    for what, words in _MINERALS:
        bag, inside = samples(case, timeline, what, "bag"), samples(case, timeline, what)
        if bag and inside and bag[0].value > 0.0:
            jump = _percent_apart(inside[0].value, bag[0].value)
            return jump, f"{words}: {bag[0].value:.3g} in the bag, {inside[0].value:.3g} inside"
    return None


#: Of a rough reading that may be nothing, so much at least, in its own unit: a jump from nothing
#: has no share (rule of this program, no source).
LEAST_MINERALS = 0.1


def _percent_apart(after: float, before: float) -> float:
    return image(
        lambda step, start: 100.0 * step / max(start, LEAST_MINERALS),
        _apart(after, before),
        before,
    )


_MINERALS = (
    ("solids", "dissolved solids"),
    ("conductivity", "conductivity"),
    ("gh", "hardness"),
)


def _new_water(case: Case, timeline: Timeline, change: Change, what: str) -> float | None:
    """A value of the water poured in: from the entry of the change, else read in the new water,
    else, for minerals of plain tap water, read at the tap.
    """
    event = change.event
    if event is None:
        return None
    noted = {
        "temperature": event.temperature_c,
        "solids": event.solids_mg_l,
        "conductivity": None,
        "gh": event.gh_dgh,
    }[what]
    if noted is not None:
        return noted
    for sample in samples(case, timeline, what, "new_water"):
        if not sample.timed or change.hours_ago is None:
            return sample.value
        if abs(sample.hours_ago - change.hours_ago) <= SAME_CHANGE_H:
            return sample.value
    if what != "temperature" and case.container.water_source == "tap":
        tap = samples(case, timeline, what, "tap")
        return tap[0].value if tap else None
    return None


def _old_water(case: Case, timeline: Timeline, change: Change, what: str) -> Sample | None:
    """The reading in the container next before the change."""
    if change.hours_ago is None:
        return None
    limit = OLD_WATER_H if what == "temperature" else FORTNIGHT_H * 4
    before = [
        sample
        for sample in samples(case, timeline, what)
        if sample.timed and 0.0 <= sample.hours_ago - change.hours_ago <= limit
    ]
    # A day without an hour may as well have come after the change.
    sure = [s for s in before if s.clock_told or s.hours_ago - change.hours_ago >= DAY_SLACK_H]
    return sure[0] if sure else None


def _read_after(case: Case, timeline: Timeline, change: Change, what: str) -> Sample | None:
    """The reading in the container next after the change, within a few days of it."""
    if change.hours_ago is None:
        return None
    after = [
        sample
        for sample in samples(case, timeline, what)
        if sample.timed and 0.0 < change.hours_ago - sample.hours_ago <= 3 * SAME_CHANGE_H
    ]
    sure = [s for s in after if s.clock_told or change.hours_ago - s.hours_ago >= DAY_SLACK_H]
    return sure[-1] if sure else None


def _untreated(case: Case, timeline: Timeline, change: Change) -> Iterator[Observation]:
    """The share of untreated tap water poured in last, and the chlorine it brought."""
    share = _untreated_share(case, change)
    if share is None:
        return
    yield share
    tap = [
        sample
        for where in ("tap", "new_water")
        for sample in samples(case, timeline, "chlorine", where)[:1]
    ]
    if not tap or not isinstance(share.value, float):
        return
    from diagnose.water.chlorine import HIGHEST_TAP_MG_L, untreated_share_chlorine_mg_l

    strength = min(tap[0].value, HIGHEST_TAP_MG_L)

    def left(percent: float) -> float:
        return untreated_share_chlorine_mg_l(strength, percent / 100.0)

    because = f"{strength:.3g} mg/L in {share.value:.3g} % untreated water; {tap[0].because}"
    band = None if share.band is None else tuple(left(bound) for bound in share.band)
    amount = share.value if isinstance(share.said, str) else share.said
    yield observed(
        "estimated_chlorine_mg_l",
        image(left, amount),
        share.origin,
        because,
        None if band is None else (band[0], band[1], band[2]),
    )


def _untreated_share(case: Case, change: Change) -> Observation | None:
    source = case.container.water_source
    share = change.share_percent
    if source in _NOT_FROM_THE_TAP:
        because = f"the new water is {str(source).replace('_', '-')} water"
        return Observation("untreated_share_percent", 0.0, "derived", because)
    used = change.event.conditioner if change.event is not None else None
    habit = case.container.conditioner
    if used == "full" or (used is None and habit == "always"):
        return Observation("untreated_share_percent", 0.0, "derived", "the new water was treated")
    # Who notes that no conditioner went in speaks of tap water; a habit may speak of any.
    if share is None or (source is None and used != "none"):
        return None
    if used == "none" or (used is None and habit == "never"):
        because = f"{share:.3g} % new tap water without conditioner"
        return observed("untreated_share_percent", share, "derived", because)
    if used == "part":
        because = f"{share:.3g} % new tap water with too little conditioner"
        band = (0.0, share / 2.0, share)
        return Observation("untreated_share_percent", share / 2.0, "estimated", because, band)
    return None
