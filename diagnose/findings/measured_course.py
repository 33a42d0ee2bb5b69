"""A measured course, written as a log, as points that are held against the container model."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.bowl.against import Point
from diagnose.findings.modelled_log import READ

if TYPE_CHECKING:
    from diagnose.findings.timeline import Timeline
    from diagnose.intake.case import Case, Reading

HOURS_PER_DAY = 24
#: A day without a clock is taken at noon.
NOON_H = 12.0


def against_points(
    case: Case, readings: Sequence[Reading], timeline: Timeline
) -> tuple[Point, ...]:
    """The readings of the container as points, in hours from the asking; what the model does not
    know is left out. Raises ValueError where none is left.
    """
    found = []
    for reading in readings:
        if reading.where != "container" or reading.what not in READ or reading.at is None:
            continue
        ago = timeline.hours_ago(reading.at)
        if ago is None:
            continue
        quantity, factor = READ[reading.what]
        found.append(Point(-ago, quantity, reading.value * factor))
    if readings and not found:
        raise ValueError(
            "--against: nothing in it can be held against the model; it takes dated readings of "
            f"the container: {', '.join(READ)}."
        )
    return tuple(found)
