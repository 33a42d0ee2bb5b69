"""The week as a calendar file (RFC 5545), by the icalendar library."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Calendar, Event

from diagnose.care.week import Task, Week

PRODUCT = "-//bowlside//care//EN"
#: A year of entries; a plan should be made anew long before.
WEEKS_AHEAD = 52


def calendar(plan: Week, title: str, *, now: datetime) -> bytes:
    """The calendar file of a plan: one all-day entry, repeated, for each task that has a day.

    title: the container's name. now: the time stamp of the entries, taken as UTC. The same plan
    at the same time gives the same bytes.
    """
    found = Calendar()
    found.add("prodid", PRODUCT)
    found.add("version", "2.0")
    found.add("x-wr-calname", title)
    for task in plan.tasks:
        if task.first is not None and task.every_days is not None:
            found.add_component(_entry(task, task.first, task.every_days, title, plan, now))
    return bytes(found.to_ical())


def _entry(
    task: Task, first: date, every_days: float, title: str, plan: Week, now: datetime
) -> Event:
    entry = Event()
    name = f"{title}|{task.topic}|{task.rhythm}|{task.what}"
    entry.add("uid", f"{hashlib.sha256(name.encode()).hexdigest()[:24]}@bowlside")
    entry.add("dtstamp", now.replace(tzinfo=UTC, microsecond=0))
    entry.add("dtstart", first)
    entry.add("dtend", first + timedelta(days=1))
    entry.add("summary", f"{title}: {task.topic}")
    entry.add("description", f"{task.what}\n{task.why}")
    interval = max(1, round(every_days))
    until = datetime.combine(plan.asked_on + timedelta(weeks=WEEKS_AHEAD), time())
    entry.add("rrule", {"freq": "daily", "interval": interval, "until": until.date()})
    entry.add("transp", "TRANSPARENT")
    return entry
