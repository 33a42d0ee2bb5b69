"""The few marks that the drawings are made of, as SVG text that sits in a page and takes its
colours from the page's own styles.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, field
from html import escape

from diagnose.report.wording import plain

#: Width of every drawing in its own units: a phone of 360 px less its margins, so that one unit is
#: one pixel there.
WIDTH = 328.0
#: Height of letters and of a line of them, in the same units.
LETTER, ROW = 16.0, 22.0
#: Width of a letter as a share of its height: a wide sans serif, so that text is never cut.
LETTER_WIDTH = 0.56
#: From the top of a line of text to its base, as a share of its height.
BASE = 0.76


def wrapped(text: str, width: float) -> list[str]:
    """The text in lines that fit the width; words too long for one are broken."""
    letters = max(4, int(width / (LETTER * LETTER_WIDTH)))
    return textwrap.wrap(plain(text), letters, break_on_hyphens=False)


def text_width(text: str) -> float:
    """About how wide the text is, rather more than less."""
    return len(text) * LETTER * LETTER_WIDTH


@dataclass(slots=True)
class Drawing:
    """A drawing that grows downwards. name: of its own within the page. `kind` of a mark is its
    class in the page's styles.
    """

    name: str
    height: float = 0.0
    _parts: list[str] = field(default_factory=list)

    def words(self, text: str, x: float, y: float, kind: str = "", anchor: str = "start") -> None:
        """One line of text whose top is at y."""
        self._parts.append(
            f'<text{_kind(kind)} x="{x:.1f}" y="{y + LETTER * BASE:.1f}" text-anchor="{anchor}">'
            f"{escape(plain(text))}</text>"
        )
        self._reach(y + ROW)

    def lines(self, text: str, x: float, width: float, kind: str = "") -> None:
        """Text below all that was drawn, wrapped to the width."""
        for line in wrapped(text, width):
            self.words(line, x, self.height, kind)

    def box(self, x: float, y: float, width: float, height: float, kind: str) -> None:
        """A rectangle; of the kind `against` it is striped."""
        fill = f' fill="url(#{self.name}-stripes)"' if kind == "against" else ""
        self._parts.append(
            f'<rect{_kind(kind)} x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" '
            f'height="{height:.1f}"{fill}/>'
        )
        self._reach(y + height)

    def path(self, points: list[tuple[float, float]], kind: str, *, closed: bool = False) -> None:
        """A line through points, or the shape that they enclose."""
        drawn = " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self._parts.append(f'<path{_kind(kind)} d="M{drawn}{" Z" if closed else ""}"/>')
        self._reach(max(y for _, y in points))

    def dot(self, x: float, y: float, kind: str, size: float = 6.0) -> None:
        """A round mark."""
        self._parts.append(f'<circle{_kind(kind)} cx="{x:.1f}" cy="{y:.1f}" r="{size:g}"/>')

    def diamond(self, x: float, y: float, kind: str, size: float = 7.0) -> None:
        """A mark on its tip."""
        corners = [(x, y - size), (x + size, y), (x, y + size), (x - size, y)]
        self.path(corners, kind, closed=True)

    def cross(self, x: float, y: float, kind: str, size: float = 6.0) -> None:
        """Two crossed strokes."""
        self.path([(x - size, y - size), (x + size, y + size)], kind)
        self.path([(x - size, y + size), (x + size, y - size)], kind)

    def room(self, height: float) -> None:
        """Leaves a gap below all that was drawn."""
        self.height += height

    def finished(self, title: str, says: str) -> str:
        """The drawing as one SVG element. says: in words what it shows, for who cannot see it."""
        return (
            f'<svg viewBox="0 0 {WIDTH:g} {self.height:.1f}" role="img" '
            f'aria-labelledby="{self.name}-title {self.name}-says">'
            f'<title id="{self.name}-title">{escape(plain(title))}</title>'
            f'<desc id="{self.name}-says">{escape(plain(says))}</desc>'
            f'<defs><pattern id="{self.name}-stripes" width="6" height="6" '
            'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            '<path class="stripe" d="M0 0V6"/></pattern></defs>' + "".join(self._parts) + "</svg>"
        )

    def _reach(self, y: float) -> None:
        self.height = max(self.height, y)


def _kind(kind: str) -> str:
    return f' class="{kind}"' if kind else ""
