"""What the log of events says: what was done in the fortnight before the first death, and how
long before.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.findings.clock import Clock
from diagnose.findings.observation import Observation, Vocabulary
from diagnose.intake.case import Case, Event

#: An event counts as done "before the deaths" when it lies within two weeks of the first one.
FORTNIGHT_H = 14 * 24.0
HOURS_A_DAY = 24.0
#: A moment named by its day alone may lie this much after the first death and still be before it.
DAY_SLACK_H = 12.0


def place(event: Event) -> str:
    """Where an event was found, for the trace."""
    source = event.logged or "log"
    return f"{source}: {event.what}" + (f", {event.at.text}" if event.at else "")


def events(case: Case, vocabulary: Vocabulary, clock: Clock) -> Iterator[Observation]:
    """did_X and hours_from_X for every kind of event that the log holds."""
    signs = {t.event: n for n, t in vocabulary.items() if t.event and t.kind == "sign"}
    delays = {t.event: n for n, t in vocabulary.items() if t.event and t.kind == "number"}
    for kind in dict.fromkeys(event.what for event in case.events):
        if kind not in signs:
            continue
        of_kind = [event for event in case.events if event.what == kind]
        timed = [(h, e) for e in of_kind if (h := _before_h(clock, e)) is not None and h >= 0.0]
        untimed = [event for event in of_kind if _before_h(clock, event) is None]
        if timed:
            hours, latest = min(timed, key=lambda pair: (pair[0], place(pair[1])))
            if hours <= FORTNIGHT_H:
                yield Observation(signs[kind], "present", "told", place(latest))
            ago = f"{place(latest)}, {hours:.0f} h before the first death"
            if kind in delays:
                yield Observation(delays[kind], hours, "derived", ago)
        elif untimed:
            event = min(untimed, key=place)
            asked = clock.before_asking_h(event.at)
            if asked is None or asked <= 2 * FORTNIGHT_H:
                yield Observation(signs[kind], "present", "told", place(event))


def _before_h(clock: Clock, event: Event) -> float | None:
    hours = clock.before_trouble_h(event.at)
    if hours is not None and event.at is not None and not event.at.clock_told:
        return 0.0 if -DAY_SLACK_H <= hours < 0.0 else hours
    return hours


def water_changes(case: Case, clock: Clock) -> Iterator[Observation]:
    """Days since the last change, the usual interval and size, and how the last new water
    differed.
    """
    changes = [event for event in case.events if event.what == "water-change"]
    timed = sorted(
        ((h, e) for e in changes if (h := _before_h(clock, e)) is not None and h >= 0.0),
        key=lambda pair: (pair[0], place(pair[1])),
    )
    if timed:
        hours, last = timed[0]
        yield Observation("days_since_change", hours / HOURS_A_DAY, "derived", place(last))
    gaps = [(b - a) / HOURS_A_DAY for (a, _), (b, _) in pairwise(timed)]
    usual = sorted(gaps)[len(gaps) // 2] if gaps else 0.0
    if usual > 0:
        because = f"the middle one of {len(gaps)} intervals in the log"
        yield Observation("change_interval_days", usual, "derived", because)
    latest = timed[0][1] if timed else (changes[-1] if len(changes) == 1 else None)
    if latest is not None:
        yield from _last_change(case, latest)


def _last_change(case: Case, event: Event) -> Iterator[Observation]:
    share = event.share_percent
    volume = case.container.volume_l
    if share is None and event.volume_l is not None and volume:
        share = min(100.0, 100.0 * event.volume_l / volume)
    if share is not None:
        yield Observation("last_change_share", share, "derived", place(event))
    use = {"full": "always", "part": "missed", "none": "missed"}.get(event.conditioner or "")
    if use is not None:
        if event.conditioner == "none" and case.container.conditioner == "never":
            use = "never"
        yield Observation("conditioner_use", use, "told", place(event))
    untreated = event.conditioner == "none" or (
        event.conditioner is None and case.container.conditioner in ("missed", "never")
    )
    if share is not None and untreated and case.container.water_source in (None, "tap"):
        yield Observation("untreated_share_percent", share, "derived", place(event))
    elif share is not None and event.conditioner == "full":
        yield Observation("untreated_share_percent", 0.0, "derived", place(event))
