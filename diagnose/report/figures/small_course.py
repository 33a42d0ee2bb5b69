"""The readings of temperature and the counts of one container, small enough for a list of many."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.report.figures.course import ago
from diagnose.report.figures.svg import WIDTH, Drawing
from diagnose.report.pages import Figure
from diagnose.report.wording import Preference, quantity

#: Height of the field, and what is left free at its sides.
FIELD, SIDE = 40.0, 10.0
#: More points than this are a line alone, and told in words by their ends.
EACH_SHOWN = 40
#: Hours before the asking and a value, oldest first.
Points = tuple[tuple[float, float], ...]


class _Kind(NamedTuple):
    """What is drawn: its title, its unit, and over how much of it a course that hardly moves is
    spread.
    """

    title: str
    unit: str
    least_span: float


_WARMTH = _Kind("Temperature", "degC", 2.0)
_COUNTS = _Kind("Shrimp counted", "", 4.0)


def small_courses(
    temperatures: Points, counts: Points, prefer: Preference, name: str
) -> tuple[Figure, ...]:
    """The courses of one container, those left out that have fewer than two points. name: of its
    own within the page.
    """
    drawn = ((_WARMTH, temperatures, "warmth"), (_COUNTS, counts, "counts"))
    return tuple(
        Figure(kind.title, _course(kind, points, prefer, f"{name}-{end}"))
        for kind, points, end in drawn
        if len(points) > 1
    )


def _course(kind: _Kind, points: Points, prefer: Preference, name: str) -> str:
    values = [value for _, value in points]
    span = max(kind.least_span, max(values) - min(values))
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
    if len(points) <= EACH_SHOWN:
        for x, y in placed:
            drawing.diamond(x, y, "reading", 4.0)
    drawing.height = FIELD + 2 * SIDE

    def told(value: float) -> str:
        return quantity(value, kind.unit, prefer)

    said = (
        f"{told(min(values))} to {told(max(values))}, last {told(values[-1])}; since {ago(oldest)}"
    )
    drawing.lines(said, 0.0, WIDTH, "quiet")
    each = points if len(points) <= EACH_SHOWN else ()
    listed = "".join(f" {ago(hours)} {told(value)};" for hours, value in each)
    return drawing.finished(kind.title, f"{said}.{listed}")
