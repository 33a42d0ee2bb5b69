"""The readings of temperature of one container, small enough for a list of many."""

from __future__ import annotations

from diagnose.report.figures.course import ago
from diagnose.report.figures.svg import WIDTH, Drawing
from diagnose.report.wording import Preference, quantity

#: Height of the field, and what is left free at its sides.
FIELD, SIDE = 44.0, 10.0
#: Degrees C over which a course that hardly moves is spread.
LEAST_SPAN_C = 2.0


def small_course(
    points: tuple[tuple[float, float], ...], prefer: Preference, name: str = "warmth"
) -> str:
    """The course as SVG; points: hours before the asking and degC, oldest first. Empty for fewer
    than two.
    """
    if len(points) < 2:
        return ""
    values = [value for _, value in points]
    span = max(LEAST_SPAN_C, max(values) - min(values))
    middle = (max(values) + min(values)) / 2
    oldest, newest = points[0][0], points[-1][0]
    placed = [
        (
            SIDE + (WIDTH - 2 * SIDE) * (oldest - hours) / max(1.0, oldest - newest),
            SIDE + FIELD * (0.5 + (middle - value) / span),
        )
        for hours, value in points
    ]
    drawing = Drawing(name)
    drawing.path(placed, "middle")
    for x, y in placed:
        drawing.diamond(x, y, "reading", 4.0)
    drawing.room(SIDE)
    said = (
        f"Temperature: {quantity(min(values), 'degC', prefer)} to "
        f"{quantity(max(values), 'degC', prefer)}, last {quantity(values[-1], 'degC', prefer)}"
    )
    drawing.lines(said, 0.0, WIDTH, "quiet")
    told = "; ".join(f"{ago(hours)} {quantity(value, 'degC', prefer)}" for hours, value in points)
    return drawing.finished("Temperature", f"{said}. {told}.")
