"""What was done or happened before the first death, and how long before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation
from diagnose.findings.timeline import (
    FORTNIGHT_H,
    Timeline,
    distinct_events,
    log_place,
    span_words,
)

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Event
    from diagnose.intake.names import Term


def event_observations(
    case: Case, timeline: Timeline, vocabulary: Mapping[str, Term]
) -> list[Observation]:
    """For every kind of event: whether it lay in the fortnight before the first death, and the
    hours from the latest one to it.

    An event that is not in the log is unknown, not absent; only `not_done` makes an absence.
    """
    log: dict[str, list[Event]] = {}
    for event in distinct_events(case):
        log.setdefault(event.what, []).append(event)
    found: list[Observation] = []
    for name, term in vocabulary.items():
        if term.event is None:
            continue
        logged = log.get(term.event, [])
        if term.kind == "sign":
            found += _done(name, term.event, logged, timeline)
            if term.event in case.not_done:
                found.append(Observation(name, "absent", "told", "asked about and not done"))
        elif logged:
            found += _hours_from(name, term.event, logged, timeline)
    return found


def _done(name: str, kind: str, logged: list[Event], timeline: Timeline) -> Iterator[Observation]:
    """Present if it is in the log within the fortnight. Without a time, or with the first death at
    an unknown one, the log is taken to speak of the fortnight, as its keeper was asked about that.
    """
    placed = [
        (hours, event)
        for event in logged
        if event.at is not None and (hours := timeline.hours_before(event.at)) is not None
    ]
    near = [(hours, event) for hours, event in placed if 0.0 <= hours <= FORTNIGHT_H]
    if near:
        hours, event = min(near, key=_nearest)
        ago = f"{span_words(hours)} before" if hours > 0.0 else "on the day of"
        because = f"{log_place(event)}: {kind} {ago} {timeline.until}"
        yield Observation(name, "present", "told", because)
        return
    for event in logged:
        if event.at is None:
            because = f"{log_place(event)}: {kind}, at an untold time of the last weeks"
            yield Observation(name, "present", "derived", because)
            return
        since = timeline.hours_ago(event.at)
        if timeline.hours_before(event.at) is None and since is not None and since <= FORTNIGHT_H:
            because = f"{log_place(event)}: {kind} {span_words(max(0.0, since))} before asking"
            yield Observation(name, "present", "derived", because)
            return


def _hours_from(
    name: str, kind: str, logged: list[Event], timeline: Timeline
) -> Iterator[Observation]:
    earlier = [
        (hours, event)
        for event in logged
        if event.at is not None
        and (hours := timeline.hours_before(event.at)) is not None
        and hours >= 0.0
    ]
    if not earlier:
        return
    hours, event = min(earlier, key=_nearest)
    if event.at is not None and timeline.hours_are_clear(event.at, hours):
        because = f"{log_place(event)}: {kind} {span_words(hours)} before {timeline.until}"
        yield Observation(name, hours, "derived", because)


def _nearest(placed: tuple[float, Event]) -> tuple[float, str, str]:
    hours, event = placed
    return hours, repr(event.at), repr(event)
