"""When things happened, counted back from the first death (from the asking, if nobody is said to
have died).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Literal, NamedTuple

from diagnose.intake.moments import (
    MIDDLE_OF_MONTH,
    SEASON_MONTHS,
    WITHOUT_DEATHS,
    Moment,
    hours_before_asking,
    hours_before_first_death,
)

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Event
    from diagnose.intake.names import Term

HOURS_PER_DAY = 24.0
HOURS_PER_WEEK = 168.0
#: Every month has a day of this number.
LAST_OF_MONTH = 28
#: "Lately" everywhere in the vocabulary of events: the two weeks before the first death.
FORTNIGHT_H = 14 * HOURS_PER_DAY
#: A day named without an hour counts as noon, so its events may lie half a day to either side.
DAY_SLACK_H = 12.0
#: Told answers that speak of the dead: with one of them, somebody has died.
_SPEAK_OF_DEATH = frozenset(
    {
        "deaths_share",
        "deaths_span_hours",
        "died_sizes",
        "died_newcomers",
        "bodies",
        "death_course",
    }
)
_SIGNS_OF_DEATH = frozenset(
    {
        "deaths_go_on",
        "berried_died_first",
        "died_at_moult",
        "body_outside",
        "body_in_equipment",
        "body_left_inside",
    }
)
#: Hours from which a span reads better in days, and in weeks.
_IN_DAYS_FROM_H, _IN_WEEKS_FROM_H = 72.0, 4 * HOURS_PER_WEEK

Died = Literal["some", "none", "untold"]


#: A quantity whose readings carry no age holds for a quarter of a year (rule of this program, no
#: source).
HOLDS_UNTOLD_H = 90 * HOURS_PER_DAY
Side = Literal["before", "after", "open", "untold", "long_before"]


class Age(NamedTuple):
    """For how many hours a reading holds as the present state, and how many hours before the first
    harm one can still matter to it.
    """

    holds_h: float = HOLDS_UNTOLD_H
    matters_h: float = HOLDS_UNTOLD_H


class Placed(NamedTuple):
    """An event with its place: the statement it stands in, its side of the first harm, the hours
    from it to that (None where unknown), and whether these hours are clear. row: its
    place among them.
    """

    event: Event
    statement: str
    side: Side
    hours: float | None
    clear: bool
    row: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """The fixed points of a case: the time of asking and, if told, the first death.

    died: whether anybody did, `untold` where the case says nothing of it. first_ill: when the first
    animals fell ill, where that was told. ages: for how long readings hold, by observation.
    log: the events of the case, placed. months_asked_at: from when months and seasons are counted
    back; None where neither a date nor a season of the asking was told.
    """

    asked_at: datetime
    first_death: Moment | None
    died: Died
    first_ill: Moment | None = None
    ages: Mapping[str, Age] = field(default_factory=dict)
    log: tuple[Placed, ...] = ()
    months_asked_at: datetime | None = None

    def hours_ago(self, moment: Moment) -> float | None:
        """Hours from the moment to the asking; None if it hangs on an unknown first death."""
        asked_at = self._asked_for(moment)
        if asked_at is None:
            return None
        return hours_before_asking(moment, asked_at=asked_at, first_death=self.first_death)

    def _asked_for(self, moment: Moment) -> datetime | None:
        """The time of asking to count from; None where that of a month or a season would hang on
        the day the program runs.
        """
        return self.months_asked_at if moment.kind == "month" else self.asked_at

    def hours_before(self, moment: Moment) -> float | None:
        """Hours from the moment to the first illness told or the first death, whichever came first;
        to the asking where neither is told.

        Negative for later; None when the first death is unknown but there was one. Where a day was
        named without an hour and lies so close that the order is open, the moment counts as before
        (0 h): a log is kept of what led up to the deaths.
        """
        if self.died == "some" or moment.kind == "from_first_death":
            hours = self._to_first_death(moment)
        else:
            hours = self.hours_ago(moment)
        hours = self._to_illness(moment, hours)
        open_order = hours is not None and -self._slack_h(moment) <= hours < 0.0
        return 0.0 if open_order else hours

    def _to_first_death(self, moment: Moment) -> float | None:
        """Hours from the moment to the first death; None where one of them is not placed."""
        first = self.first_death
        if moment.kind == "from_first_death" or first is None:
            return hours_before_first_death(moment, asked_at=self.asked_at, first_death=first)
        if first.kind in ("from_first_death", "beside_deaths", "long_before"):
            return None
        then, death = self.hours_ago(moment), self.hours_ago(first)
        return None if then is None or death is None else then - death

    def side(self, moment: Moment) -> Side:
        """Whether the moment lies before the first harm or after it; `open` where a day without an
        hour leaves that open, `untold` where nothing places it; `long_before` where it is told as
        long past, so that it led up to nothing.
        """
        if moment.kind == "long_before":
            return "long_before"
        if moment.kind == "beside_deaths":
            return "before" if moment.hours < 0.0 else "after"
        hours = self.hours_before(moment)
        if hours is None:
            return "untold"
        if hours < 0.0:
            return "after"
        counted_to = self.died == "some" or self.first_ill is not None
        return "before" if not counted_to or self.hours_are_clear(moment, hours) else "open"

    def _to_illness(self, moment: Moment, hours: float | None) -> float | None:
        """The hours to the first death, less those from the first illness to it."""
        if self.first_ill is None:
            return hours
        ill_ago = self.hours_ago(self.first_ill)
        if hours is None:
            ago = self.hours_ago(moment)
            return None if ago is None or ill_ago is None else ago - ill_ago
        lead = ill_ago
        if self.died == "some":
            lead = self._to_first_death(self.first_ill)
        return hours if lead is None else hours - max(lead, 0.0)

    def hours_are_clear(self, moment: Moment, hours: float) -> bool:
        """Whether that many hours mean something: not if the days were named without an hour, or
        so roughly, that even their order is open.
        """
        return hours >= self._slack_h(moment)

    def _slack_h(self, moment: Moment) -> float:
        """By how much the order of a moment and the first harm is open: half a day for days named
        without an hour, and half of what a rough time may be off, as it seldom is off so far.
        """
        told_from_harm = moment.kind == "from_first_death" and moment.slack_h > 0.0
        day = 0.0 if told_from_harm or self._exact(moment) else DAY_SLACK_H
        return day + moment.slack_h / 2.0

    def _exact(self, moment: Moment) -> bool:
        """Whether the hour was told of both ends that hours are counted between."""
        if moment.kind == "from_first_death" or self.died != "some" or self.first_death is None:
            return moment.clock_told
        return moment.clock_told and self.first_death.clock_told

    @property
    def until(self) -> str:
        """What hours are counted to, in words."""
        if self.first_ill is not None:
            return "the first illness"
        return "the first death" if self.died == "some" else "asking"

    def harm_hours_ago(self) -> float:
        """Hours from the first illness or death to the asking; 0 where neither is placed."""
        placed = [
            hours
            for moment in (self.first_ill, self.first_death)
            if moment is not None and (hours := self.hours_ago(moment)) is not None
        ]
        return max(0.0, *placed) if placed else 0.0


def timeline_of(
    case: Case, now: datetime, vocabulary: Mapping[str, Term] | None = None
) -> Timeline:
    """The fixed points of a case. now: the time of asking where the case tells none. vocabulary:
    says for how long readings hold; without it they hold as long as `Age` says.
    """
    asked_at = case.asked_at or now
    ages = {
        name: Age(term.holds_h or HOLDS_UNTOLD_H, term.matters_h or HOLDS_UNTOLD_H)
        for name, term in (vocabulary or {}).items()
        if term.holds_h is not None or term.matters_h is not None
    }
    ill = case.deaths.ill_since if case.deaths is not None else None
    months = _months_asked_at(case, asked_at)
    timeline = Timeline(
        asked_at, _first_death(case, asked_at), _died(case), ill, ages, months_asked_at=months
    )
    return replace(timeline, log=_placed(case, timeline))


def _months_asked_at(case: Case, asked_at: datetime) -> datetime | None:
    """From when months and seasons are counted back: the asking, where it was dated; else the end
    of the month of the first death, or the middle of the season told. What day it is today says
    nothing of an undated case.
    """
    if case.asked_at is not None:
        return asked_at
    first = case.deaths.first if case.deaths is not None else None
    if first is not None and first.kind == "month":
        month, day = first.days, LAST_OF_MONTH
    elif case.container.season is not None:
        month, day = SEASON_MONTHS[case.container.season], MIDDLE_OF_MONTH
    else:
        return None
    return asked_at.replace(month=month, day=day)


def _placed(case: Case, timeline: Timeline) -> tuple[Placed, ...]:
    """The events of the log, each once and in a fixed order, with their side of the first harm.

    An event without a time lies after the deaths if it is written below a death, and before them if
    it is written above one: a log is kept from top to bottom. Where its dated rows are not in order
    of time the place tells nothing.
    """
    distinct = distinct_events(case)
    first = {id(event): index for index, event in reversed(tuple(enumerate(case.events)))}
    rows = {first[id(event)]: event for event in distinct}
    below = _written_below_a_death(dict(sorted(rows.items())), timeline)
    found = []
    for event in distinct:
        row = first[id(event)]
        side: Side = below.get(row, "untold") if event.at is None else timeline.side(event.at)
        hours = None if event.at is None else timeline.hours_before(event.at)
        clear = (
            event.at is not None and hours is not None and timeline.hours_are_clear(event.at, hours)
        )
        if event.ill_within_hours is not None and side != "after":
            # Told how soon they fell ill after it, it came before, by so many hours.
            side, hours, clear = "before", event.ill_within_hours, True
        found.append(Placed(event, f"events[{row}]", side, hours, clear, row))
    return tuple(found)


def _written_below_a_death(rows: Mapping[int, Event], timeline: Timeline) -> dict[int, Side]:
    """For events without a time: which side of the first death of the log they are written on.
    rows: each event once, by its place, from top to bottom.
    """
    dated = [
        hours
        for event in rows.values()
        if event.at is not None and (hours := timeline.hours_ago(event.at)) is not None
    ]
    deaths = [i for i, e in rows.items() if e.what == "death" and e.count != 0]
    if not deaths or dated != sorted(dated, reverse=True):
        return {}
    return {
        index: "after" if index > deaths[0] else "before"
        for index, event in rows.items()
        if event.at is None
    }


def distinct_events(case: Case) -> tuple[Event, ...]:
    """The events of the log in a fixed order, each once: a row written twice happened once."""
    found: dict[tuple[object, ...], Event] = {}
    for event in case.events:
        key = tuple(value for name, value in event if name not in ("logged", "note"))
        known = found.get(key)
        if known is None or _first_written(event, known):
            found[key] = event
    return tuple(found[key] for key in sorted(found, key=repr))


def _first_written(event: Event, other: Event) -> bool:
    """Whether an event stands before its like: in the case before its log, then by line."""
    return (len(event.logged), event.logged) < (len(other.logged), other.logged)


def log_place(event: Event | None) -> str:
    """Where an event is written, for the trace: the line of its log, or the log of the case."""
    return event.logged if event is not None and event.logged else "log"


def distinct_counts(case: Case) -> tuple[tuple[Moment, int], ...]:
    """The counts of bodies with their times, each once, zeros left out."""
    if case.deaths is None:
        return ()
    return tuple(sorted({item for item in case.deaths.counts if item[1]}, key=repr))


def last_death_hours_ago(case: Case, timeline: Timeline) -> float | None:
    """Hours from the newest body to the asking; None where no later body than the first is told."""
    said = [moment for moment, _ in distinct_counts(case)]
    if case.deaths is not None and case.deaths.last is not None:
        said.append(case.deaths.last)
    said += [
        event.at
        for event in case.events
        if event.what == "death" and event.at is not None and event.count != 0
    ]
    ago = [hours for moment in said if (hours := timeline.hours_ago(moment)) is not None]
    return min(ago, default=None)


def when(moment: Moment) -> str:
    """The moment as it was written, or its date."""
    return moment.text or (f"{moment.at:%Y-%m-%d %H:%M}" if moment.at else "an untold time")


def span_words(hours: float) -> str:
    """A span of time as a keeper says it: hours, then days, then weeks."""
    if hours >= _IN_WEEKS_FROM_H:
        return f"{hours / HOURS_PER_WEEK:.0f} weeks"
    if hours >= _IN_DAYS_FROM_H:
        return f"{hours / HOURS_PER_DAY:.0f} days"
    return f"{hours:.3g} h"


def _died(case: Case) -> Died:
    shape = case.told.get("death_shape")
    deaths = case.deaths
    told = any(
        name in _SPEAK_OF_DEATH and value != 0 and value != "skin_only"
        for name, value in case.told.items()
    )
    signs = any(name in _SIGNS_OF_DEATH for name in case.seen) or any(
        name in _SIGNS_OF_DEATH and value in ("present", True) for name, value in case.told.items()
    )
    said = [event.at for event in case.events] + [reading.at for reading in case.readings]
    relative = any(at is not None and _names_the_deaths(at) for at in said)
    logged = any(event.what == "death" and event.count != 0 for event in case.events)
    counted = deaths is not None and bool(
        deaths.dead
        or deaths.first
        or (deaths.last and deaths.dead != 0)
        or deaths.over_hours
        or deaths.share_percent
        or deaths.whom
        or deaths.young_percent
        or deaths.left is not None
        or distinct_counts(case)
    )
    if counted or logged or (shape is not None and shape != "none"):
        return "some"
    if shape == "none" or (deaths is not None and 0 in (deaths.dead, deaths.share_percent)):
        return "none"
    return "some" if relative or told or signs else "untold"


def _names_the_deaths(at: Moment) -> bool:
    """Whether a time is counted from deaths; `later` alone speaks of none."""
    if at.kind == "beside_deaths":
        return re.fullmatch(WITHOUT_DEATHS, at.text.lower()) is None
    return at.kind == "from_first_death"


def _first_death(case: Case, asked_at: datetime) -> Moment | None:
    if case.deaths is not None and case.deaths.first is not None:
        return case.deaths.first
    said = [moment for moment, _ in distinct_counts(case)]
    said += [
        event.at
        for event in distinct_events(case)
        if event.what == "death" and event.at is not None and event.count != 0
    ]
    placed = [
        (hours, repr(moment), moment)
        for moment in said
        if (hours := hours_before_asking(moment, asked_at=asked_at, first_death=None)) is not None
    ]
    if placed:
        return max(placed, key=lambda item: item[:2])[2]
    if case.deaths is not None and case.deaths.over_hours is not None:
        hours = case.deaths.over_hours
        return Moment("before_asking", hours=hours, clock_told=False, text="by the span of deaths")
    return None
