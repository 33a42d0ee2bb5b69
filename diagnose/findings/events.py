"""What was done or happened before the first harm, and how long before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, observed
from diagnose.findings.timeline import (
    FORTNIGHT_H,
    Placed,
    Timeline,
    log_place,
    span_words,
)
from diagnose.intake.rough import rough

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term


def event_observations(
    case: Case, timeline: Timeline, vocabulary: Mapping[str, Term]
) -> list[Observation]:
    """For every kind of event: whether it lay in the fortnight before the first harm, and the
    hours from the latest one to it.

    An event that is not in the log is unknown, not absent; only `not_done` makes an absence. One
    that came after the first harm is no history: `aftermath` says what followed it.
    """
    log: dict[str, list[Placed]] = {}
    for placed in timeline.log:
        log.setdefault(placed.event.what, []).append(placed)
    found: list[Observation] = []
    for name, term in vocabulary.items():
        if term.event is None:
            continue
        logged = log.get(term.event, [])
        if term.kind == "sign":
            found += _done(name, term.event, logged, timeline)
            if term.event in case.not_done:
                statement = f"not_done[{case.not_done.index(term.event)}]"
                because = "asked about and not done"
                found.append(Observation(name, "absent", "told", because, statement=statement))
        elif logged:
            found += _hours_from(name, term.event, logged, timeline)
    return found


def _done(name: str, kind: str, logged: list[Placed], timeline: Timeline) -> Iterator[Observation]:
    """Present if it is in the log within the fortnight. Without a time, or with the first death at
    an unknown one, the log is taken to speak of the fortnight, as its keeper was asked about that.

    A day named without an hour that is also the day of the first harm leaves open which came
    first: then it is held to be either.
    """
    near = [p for p in logged if p.side == "before" and _within_fortnight(p)]
    if near:
        latest = _latest(near)
        ago = f"{span_words(latest.hours or 0.0)} before {timeline.until}"
        because = f"{log_place(latest.event)}: {kind} {ago}"
        yield Observation(name, "present", "told", because, statement=latest.statement)
        return
    same_day = [p for p in logged if p.side == "open"]
    if same_day:
        latest = _latest(same_day)
        because = (
            f"{log_place(latest.event)}: {kind} on the day of {timeline.until}, "
            "before it or after it"
        )
        yield Observation(
            name,
            "present",
            "told",
            because,
            either=("present", "absent"),
            statement=latest.statement,
        )
        return
    for placed in logged:
        words = _at_no_hour(placed, timeline)
        if words is not None:
            because = f"{log_place(placed.event)}: {kind}{words}"
            yield Observation(name, "present", "derived", because, statement=placed.statement)
            return


def _within_fortnight(placed: Placed) -> bool:
    return placed.hours is not None and placed.hours <= FORTNIGHT_H


def _at_no_hour(placed: Placed, timeline: Timeline) -> str | None:
    """How an event without hours is placed, in words; None for one that does not count."""
    if placed.side in ("after", "long_before") or placed.hours is not None:
        return None
    at = placed.event.at
    if placed.side == "before":
        return f", before {timeline.until}"
    if at is None:
        return ", at an untold time of the last weeks"
    since = timeline.hours_ago(at)
    if since is not None and since <= FORTNIGHT_H:
        return f" {span_words(max(0.0, since))} before asking"
    return None


def _hours_from(
    name: str, kind: str, logged: list[Placed], timeline: Timeline
) -> Iterator[Observation]:
    earlier = [p for p in logged if p.side in ("before", "open") and p.hours is not None]
    if not earlier:
        return
    latest = _latest(earlier)
    at, hours = latest.event.at, latest.hours or 0.0
    off = at.slack_h if at is not None else 0.0
    if latest.clear or off:
        because = f"{log_place(latest.event)}: {kind} {_span(latest, timeline)}"
        told = latest.event.ill_within_hours or rough(max(0.0, hours - off), hours + off)
        yield observed(name, told, "derived", because, statement=latest.statement)


def _span(placed: Placed, timeline: Timeline) -> str:
    if placed.event.ill_within_hours is not None:
        return f"{span_words(placed.hours or 0.0)} before the first illness"
    return f"{span_words(placed.hours or 0.0)} before {timeline.until}"


def _latest(placed: Iterable[Placed]) -> Placed:
    return min(placed, key=lambda p: (p.hours or 0.0, repr(p.event.at), repr(p.event)))
