"""The weeks of one container or of many as a calendar file (RFC 5545), by the icalendar library."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Alarm, Calendar, Event

from diagnose.care.week import Task, Week

PRODUCT = "-//bowlside//care//EN"
#: A year of entries; a plan should be made anew long before.
WEEKS_AHEAD = 52
#: An alarm rings this long after the start of the day; what is done every day has none.
ALARM_AFTER = timedelta(hours=9)


def calendar(plans: Sequence[tuple[str, Week]], *, now: datetime) -> bytes:
    """The calendar file of plans: one all-day entry, repeated, with an alarm, for each task of each
    container that has a day.

    plans: the name of a container and its week. now: the time stamp of the entries, taken as UTC.
    The same plans at the same time give the same bytes.
    """
    found = Calendar()
    found.add("prodid", PRODUCT)
    found.add("version", "2.0")
    found.add("x-wr-calname", plans[0][0] if len(plans) == 1 else "Shrimp on the shelf")
    for title, plan in plans:
        for task in plan.tasks:
            if task.first is not None and task.every_days is not None:
                found.add_component(_entry(task, task.first, task.every_days, title, plan, now))
    return bytes(found.to_ical())


def _entry(
    task: Task, first: date, every_days: float, title: str, plan: Week, now: datetime
) -> Event:
    entry = Event()
    name = f"{title}|{task.topic}|{task.rhythm}|{task.named or task.what}"
    interval = max(1, round(every_days))
    until = datetime.combine(plan.asked_on + timedelta(weeks=WEEKS_AHEAD), time())
    entry.add("uid", f"{hashlib.sha256(name.encode()).hexdigest()[:24]}@bowlside")
    entry.add("dtstamp", now.replace(tzinfo=UTC, microsecond=0))
    entry.add("dtstart", first)
    entry.add("dtend", first + timedelta(days=1))
    summary = f"{title}: {task.named or task.topic}"
    entry.add("summary", summary)
    entry.add("description", f"{task.what}\n{task.why}")
    entry.add("rrule", {"freq": "daily", "interval": interval, "until": until.date()})
    entry.add("transp", "TRANSPARENT")
    if interval > 1:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", summary)
        alarm.add("trigger", ALARM_AFTER)
        entry.add_component(alarm)
    return entry
