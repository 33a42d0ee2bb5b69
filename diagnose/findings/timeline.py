"""When things happened, counted back from the first death (from the asking, if nobody is said to
have died).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from diagnose.intake.moments import Moment, hours_before_asking, hours_before_first_death

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Event

HOURS_PER_DAY = 24.0
HOURS_PER_WEEK = 168.0
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
        "death_time",
        "bodies",
    }
)
_SIGNS_OF_DEATH = frozenset({"deaths_go_on", "berried_died_first", "died_at_moult"})
#: Hours from which a span reads better in days, and in weeks.
_IN_DAYS_FROM_H, _IN_WEEKS_FROM_H = 72.0, 4 * HOURS_PER_WEEK

Died = Literal["some", "none", "untold"]


@dataclass(frozen=True, slots=True)
class Timeline:
    """The two fixed points of a case: the time of asking and, if told, the first death.

    died: whether anybody did, `untold` where the case says nothing of it.
    """

    asked_at: datetime
    first_death: Moment | None
    died: Died

    def hours_ago(self, moment: Moment) -> float | None:
        """Hours from the moment to the asking; None if it hangs on an unknown first death."""
        return hours_before_asking(moment, asked_at=self.asked_at, first_death=self.first_death)

    def hours_before(self, moment: Moment) -> float | None:
        """Hours from the moment to the first death, or to the asking where no death is told.

        Negative for later; None when the first death is unknown but there was one. Where a day was
        named without an hour and lies so close that the order is open, the moment counts as before
        (0 h): a log is kept of what led up to the deaths.
        """
        if self.died == "some" or moment.kind == "from_first_death":
            hours = hours_before_first_death(
                moment, asked_at=self.asked_at, first_death=self.first_death
            )
        else:
            hours = self.hours_ago(moment)
        open_order = hours is not None and -DAY_SLACK_H <= hours < 0.0 and not self._exact(moment)
        return 0.0 if open_order else hours

    def hours_are_clear(self, moment: Moment, hours: float) -> bool:
        """Whether that many hours mean something: not if the days were named without an hour and
        lie so close that even their order is open.
        """
        return hours >= DAY_SLACK_H or self._exact(moment)

    def _exact(self, moment: Moment) -> bool:
        """Whether the hour was told of both ends that hours are counted between."""
        if moment.kind == "from_first_death" or self.died != "some" or self.first_death is None:
            return moment.clock_told
        return moment.clock_told and self.first_death.clock_told

    @property
    def until(self) -> str:
        """What hours are counted to, in words."""
        return "the first death" if self.died == "some" else "asking"


def timeline_of(case: Case, now: datetime) -> Timeline:
    """The fixed points of a case. now: the time of asking where the case tells none."""
    asked_at = case.asked_at or now
    return Timeline(asked_at, _first_death(case, asked_at), _died(case))


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
    relative = any(at is not None and at.kind == "from_first_death" for at in said)
    logged = any(event.what == "death" and event.count != 0 for event in case.events)
    counted = deaths is not None and bool(
        deaths.dead
        or deaths.first
        or deaths.over_hours
        or deaths.share_percent
        or deaths.left is not None
        or distinct_counts(case)
    )
    if counted or logged or relative or (shape is not None and shape != "none"):
        return "some"
    if shape == "none" or (deaths is not None and 0 in (deaths.dead, deaths.share_percent)):
        return "none"
    return "some" if told or signs else "untold"


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
