"""A measured course, written as a log, as points that are held against the container model."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.bowl.against import Point
from diagnose.bowl.description import Quantity
from diagnose.findings.modelled_log import READ

if TYPE_CHECKING:
    from diagnose.findings.timeline import Timeline
    from diagnose.intake.case import Case, Reading

#: What can be held against the model: what it is weighed by, and pH.
HELD: dict[str, tuple[Quantity, float]] = {**READ, "ph": ("ph", 1.0)}


def against_points(
    case: Case, readings: Sequence[Reading], timeline: Timeline
) -> tuple[Point, ...]:
    """The readings of the container as points, in hours from the asking; what the model does not
    know is left out. Raises ValueError where none is left.
    """
    found = []
    for reading in readings:
        if reading.where != "container" or reading.what not in HELD or reading.at is None:
            continue
        ago = timeline.hours_ago(reading.at)
        if ago is None:
            continue
        quantity, factor = HELD[reading.what]
        found.append(Point(-ago, quantity, reading.value * factor))
    if readings and not found:
        raise ValueError(
            "--against: nothing in it can be held against the model; it takes dated readings of "
            f"the container: {', '.join(HELD)}."
        )
    return tuple(found)
