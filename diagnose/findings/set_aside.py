"""What a case says that no observation is made of, each with the reason why."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from diagnose.findings.aftermath import (
    HARM_FOLLOWS,
    NO_ACT,
    followed,
    follows_word,
    tried_afterwards,
)
from diagnose.findings.readings import THINNED, age_of, renewed_hours_ago
from diagnose.findings.timeline import (
    FORTNIGHT_H,
    Placed,
    Timeline,
    span_words,
    timeline_of,
)

if TYPE_CHECKING:
    from diagnose.findings.observation import Observation
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term


class SetAside(NamedTuple):
    """A statement of the case (`events[2]`, `readings[0]`) that nothing is made of, and why."""

    statement: str
    why: str


def set_aside(case: Case, vocabulary: Mapping[str, Term], *, now: datetime) -> tuple[SetAside, ...]:
    """Events and readings that no observation is made of, in the order of the file.

    now: the time of asking where the case tells none.
    """
    timeline = timeline_of(case, now, vocabulary)
    events = [
        SetAside(placed.statement, why)
        for placed in sorted(timeline.log, key=lambda item: item.row)
        if (why := _event(case, timeline, vocabulary, placed))
    ]
    return (*events, *_readings(case, timeline))


def _event(case: Case, timeline: Timeline, vocabulary: Mapping[str, Term], placed: Placed) -> str:
    """Why nothing is made of an event; empty where something is."""
    event = placed.event
    if event.what in NO_ACT:
        return ""
    term = vocabulary.get(HARM_FOLLOWS)
    if event.harm_each_time and (term is None or follows_word(placed) not in term.choices):
        return "no rule asks about harm that comes back with this."
    if event.harm_each_time is not None:
        return ""
    if placed.side == "long_before":
        return "it is told as long past, and did not lead up to this."
    if placed.side == "after":
        if followed(case, timeline, placed) is None:
            return (
                f"it came after {timeline.until}, so it is no part of what led up to that; what "
                "followed is not told (`followed: helped`, `nothing` or `worse`)."
            )
        return ""
    if placed.side == "untold" and event.at is not None and not tried_afterwards(placed):
        ago = timeline.hours_ago(event.at)
        if ago is None and event.at.kind == "month":
            return "neither the date nor the season of asking is told to count back from."
        if ago is not None and ago > FORTNIGHT_H:
            return f"it lies {span_words(ago)} back, and when the first one died is not told."
    return ""


def _readings(case: Case, timeline: Timeline) -> Iterator[SetAside]:
    """Readings too old to say how the water was, or taken of water that was changed to help.

    Older readings that still show how the water drifted or how far it swung are in use.
    """
    renewed = renewed_hours_ago(timeline)
    for index, reading in enumerate(case.readings):
        ago = None if reading.at is None else timeline.hours_ago(reading.at)
        if ago is None or reading.where != "container":
            continue
        before = ago - timeline.harm_hours_ago()
        longest = _longest_use_h(timeline, reading.what)
        if before > longest:
            until = timeline.until
            yield SetAside(
                f"readings[{index}]",
                f"it was taken {span_words(before)} before {until}; {reading.what} says "
                f"something of it for {span_words(longest)}.",
            )
        elif renewed is not None and reading.what in THINNED and ago < renewed:
            earlier = [
                other
                for other in case.readings
                if other.what == reading.what
                and other.where == "container"
                and other.at is not None
                and renewed
                <= (timeline.hours_ago(other.at) or 0.0)
                <= timeline.harm_hours_ago() + age_of(timeline, reading.what).holds_h
            ]
            if earlier:
                yield SetAside(
                    f"readings[{index}]",
                    "it is of the water changed to help; the reading before that counts.",
                )


def unheard(
    case: Case, dropped: Iterable[str], observe: Callable[[Case], Collection[Observation]]
) -> Iterator[SetAside]:
    """Events, readings and other animals without which exactly the same would follow, those left
    out that are known to be `dropped`.

    observe: what follows from a case.
    """
    found = observe(case)
    known = {*dropped, *(item.statement for item in found)}
    for statement, fewer in _without_each(case, known):
        if observe(fewer) == found:
            yield SetAside(statement, "nothing follows from it that the rest does not say.")


def _without_each(case: Case, known: Collection[str]) -> Iterator[tuple[str, Case]]:
    """The case without each of the statements that are not `known`, in the order of the file."""
    for index, event in enumerate(case.events):
        if f"events[{index}]" not in known and event.what not in NO_ACT:
            rest = case.events[:index] + case.events[index + 1 :]
            yield f"events[{index}]", case.model_copy(update={"events": rest})
    for index in range(len(case.readings)):
        if f"readings[{index}]" not in known:
            fewer = case.readings[:index] + case.readings[index + 1 :]
            yield f"readings[{index}]", case.model_copy(update={"readings": fewer})
    others = case.stock.others
    for index in range(len(others)):
        stock = case.stock.model_copy(update={"others": others[:index] + others[index + 1 :]})
        yield f"stock.others[{index}]", case.model_copy(update={"stock": stock})


#: Extremes and drifts that are made of the readings of a kind.
_MADE_OF = {
    "temperature": (
        "temperature_max_c",
        "temperature_min_c",
        "temperature_swing_c",
        "temperature_rate_c_per_h",
    ),
    "ph": ("ph_swing", "ph_fall"),
    "oxygen": ("oxygen_dawn_mg_l",),
    "solids": ("solids_rise_percent",),
    "conductivity": ("solids_rise_percent",),
    "gh": ("solids_rise_percent",),
}


def _longest_use_h(timeline: Timeline, what: str) -> float:
    """For how long before the first harm a reading of a kind can be of any use."""
    matters = [
        timeline.ages[name].matters_h for name in _MADE_OF.get(what, ()) if name in timeline.ages
    ]
    return (
        max(age_of(timeline, what).holds_h, *matters) if matters else age_of(timeline, what).holds_h
    )
