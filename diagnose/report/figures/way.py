"""How one cause works: from what brought it about, by what happens in the water and in the animal,
to what was seen.
"""

from __future__ import annotations

from diagnose.report.figures.svg import ROW, WIDTH, Drawing

#: Room inside a frame, and length of the arrow between two.
INSIDE, ARROW = 10.0, 26.0


def way(parts: tuple[tuple[str, str], ...], name: str = "way") -> str:
    """Frames with a heading and a text each, one leading to the next, as SVG."""
    drawing = Drawing(name)
    for place, (heading, text) in enumerate(parts):
        if place:
            _arrow(drawing)
        top = drawing.height
        drawing.room(INSIDE)
        drawing.lines(heading, INSIDE, WIDTH - 2 * INSIDE, "strong")
        drawing.lines(text, INSIDE, WIDTH - 2 * INSIDE)
        drawing.box(1.0, top + 1.0, WIDTH - 2.0, drawing.height - top + INSIDE / 2, "frame")
    drawing.room(2.0)
    says = ", then ".join(f"{heading}: {text}" for heading, text in parts)
    return drawing.finished("How it works", says)


def _arrow(drawing: Drawing) -> None:
    x, top = WIDTH / 2, drawing.height + 2.0
    tip = top + ARROW - 4.0
    drawing.path([(x, top), (x, tip)], "axis")
    drawing.path([(x - ROW / 4, tip - ROW / 4), (x, tip), (x + ROW / 4, tip - ROW / 4)], "axis")
    drawing.room(4.0)
