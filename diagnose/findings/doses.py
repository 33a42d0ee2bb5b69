"""How much was dosed against the label, as the log tells it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation
from diagnose.findings.timeline import Timeline, distinct_events, log_place

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Event

FERTILISER = "fertiliser"
#: What a dose is called where only fertiliser is asked about: not measured is as good as more.
_OF_FERTILISER = {"below_label": "as_label", "as_label": "as_label"}
MORE = "above_label"


def dose_observations(case: Case, timeline: Timeline) -> Iterator[Observation]:
    """The latest dose before the first death that was held against its label, and that of
    fertiliser. One without a time counts if there is no other.
    """
    dosed = [event for event in distinct_events(case) if event.dose is not None]
    last = _latest(dosed, timeline)
    if last is not None and last.dose is not None:
        because = f"{log_place(last)}: {last.what}"
        yield Observation("last_dose", last.dose, "told", because)
    last = _latest([event for event in dosed if event.what == FERTILISER], timeline)
    if last is not None and last.dose is not None:
        word = _OF_FERTILISER.get(last.dose, MORE)
        yield Observation("fertiliser_dose", word, "told", f"{log_place(last)}: {last.what}")


def _latest(dosed: list[Event], timeline: Timeline) -> Event | None:
    placed: list[tuple[float, str, Event]] = []
    for event in dosed:
        hours = None if event.at is None else timeline.hours_before(event.at)
        if hours is not None and hours >= 0.0:
            placed.append((hours, repr(event), event))
    if placed:
        return min(placed, key=lambda item: item[:2])[2]
    undated = [event for event in dosed if event.at is None]
    return min(undated, key=repr, default=None)
