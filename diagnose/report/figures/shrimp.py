"""A dwarf shrimp from the side, drawn from one set of measures, and each sign on it.

Everything is a line or a shape in the drawing's own units (x to the right, y downwards); the animal
looks to the left. A sign is the healthy animal with marks added, changed or left out, so that the
two can be laid side by side; where the sign is a posture, the whole animal is turned or moved.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

Point = tuple[float, float]
Box = tuple[float, float, float, float]

WIDTH, HEIGHT = 320.0, 180.0
#: Back and belly of the tail at the joints of its six rings, from the head shield to the fan.
BACK: tuple[Point, ...] = (
    (150, 56), (177, 51), (201, 56), (221, 67), (237, 82), (249, 99), (258, 115),
)  # fmt: skip
BELLY: tuple[Point, ...] = (
    (148, 101), (170, 98), (190, 99), (207, 106), (220, 114), (232, 122), (244, 129),
)  # fmt: skip
EYE: Point = (87, 72)
NOSE: Point = (42, 60)
#: Where the five pairs of walking legs leave the head shield, and their feet.
LEGS: tuple[tuple[Point, Point, Point], ...] = (
    ((98, 99), (82, 116), (78, 138)),
    ((107, 102), (94, 122), (88, 147)),
    ((117, 104), (112, 128), (104, 155)),
    ((127, 104), (130, 129), (124, 157)),
    ((137, 103), (147, 126), (146, 154)),
)
WHOLE: Box = (0.0, 0.0, WIDTH, HEIGHT)


@dataclass(frozen=True, slots=True)
class Mark:
    """One shape: its SVG path, how it is drawn (a name of `sign`'s looks), and the corners that
    enclose it. size and at: it is drawn so much smaller, and moved there.
    """

    d: str
    kind: str
    box: Box
    size: float = 1.0
    at: Point = (0.0, 0.0)


def _mark(points: Iterable[Point], d: str, kind: str) -> Mark:
    xs, ys = zip(*points, strict=True)
    return Mark(d, kind, (min(xs), min(ys), max(xs), max(ys)))


def line(points: tuple[Point, ...], kind: str = "line") -> Mark:
    """A smooth line through the points."""
    return _mark(points, _through(points), kind)


def shape(points: tuple[Point, ...], kind: str) -> Mark:
    """A smooth closed shape through the points."""
    around = (*points, points[0])
    return _mark(points, f"{_through(around)} Z", kind)


def spot(at: Point, radius: float, kind: str) -> Mark:
    """A round spot."""
    (x, y), r = at, radius
    d = f"M{x - r:.1f} {y:.1f} a{r:g} {r:g} 0 1 0 {2 * r:g} 0 a{r:g} {r:g} 0 1 0 {-2 * r:g} 0 Z"
    return Mark(d, kind, (x - r, y - r, x + r, y + r))


def _through(points: tuple[Point, ...]) -> str:
    """A path through points that bends as little as it can (Catmull and Rom 1974, as Bezier)."""
    said = [f"M{points[0][0]:.1f} {points[0][1]:.1f}"]
    for place in range(len(points) - 1):
        before = points[max(0, place - 1)]
        here, there = points[place], points[place + 1]
        after = points[min(len(points) - 1, place + 2)]
        one = (here[0] + (there[0] - before[0]) / 6, here[1] + (there[1] - before[1]) / 6)
        two = (there[0] - (after[0] - here[0]) / 6, there[1] - (after[1] - here[1]) / 6)
        said.append(
            f"C{one[0]:.1f} {one[1]:.1f} {two[0]:.1f} {two[1]:.1f} {there[0]:.1f} {there[1]:.1f}"
        )
    return " ".join(said)


def ring(place: int, kind: str = "shell") -> Mark:
    """One of the six rings of the tail, counted from the head shield; its side plate hangs down."""
    (ax, ay), (bx, by) = BACK[place], BACK[place + 1]
    (cx, cy), (dx, dy) = BELLY[place + 1], BELLY[place]
    back = ((ax + bx) / 2 + (by - ay) * 0.10, (ay + by) / 2 - (bx - ax) * 0.12)
    plate = ((cx + dx) / 2 - 2.0, max(cy, dy) + 7.0)
    d = (
        f"M{ax:.1f} {ay:.1f} Q{back[0]:.1f} {back[1]:.1f} {bx:.1f} {by:.1f} "
        f"L{cx:.1f} {cy:.1f} Q{plate[0]:.1f} {plate[1]:.1f} {dx:.1f} {dy:.1f} Z"
    )
    return _mark((BACK[place], BACK[place + 1], back, plate, BELLY[place]), d, kind)


def head_shield(kind: str = "shell") -> Mark:
    """The shield over head and chest, with the beak above the eyes."""
    points = ((150, 56), (84, 58), NOSE, (78, 80), (84, 95), (116, 110), (148, 101), (157, 78))
    d = (
        "M150 56 C132 47 106 49 86 59 L42 60 L80 67 C75 77 77 88 84 95 "
        "C100 107 126 110 148 101 C156 88 156 70 150 56 Z"
    )
    return _mark((*points, (110, 48)), d, kind)


def fan(kind: str = "shell") -> Iterator[Mark]:
    """The tail fan: a middle plate and a leaf on each side of it."""
    root = (250.0, 121.0)
    for angle, length, width in ((32, 42, 7.5), (50, 45, 9.0), (68, 43, 9.0), (86, 38, 7.5)):
        turn = math.radians(angle)
        along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))

        def at(far: float, off: float, a: Point = along, c: Point = across) -> Point:
            return root[0] + far * a[0] + off * c[0], root[1] + far * a[1] + off * c[1]

        tip = 0.35 * width
        leaf = (at(0, 0), at(0.55 * length, width), at(length, tip), at(length, -tip))
        yield shape((*leaf, at(0.55 * length, -width)), kind)


def feelers() -> Iterator[Mark]:
    """Two long feelers and two short ones."""
    yield line(((80, 82), (44, 92), (20, 122), (24, 166)), "thin")
    yield line(((80, 80), (40, 74), (14, 92), (6, 130)), "thin")
    yield line(((79, 72), (54, 48), (34, 30)), "thin")
    yield line(((79, 74), (52, 60), (22, 52)), "thin")


def legs() -> Iterator[Mark]:
    """The walking legs; the first two pairs end in a small hand."""
    for place, (hip, knee, foot) in enumerate(LEGS):
        yield line((hip, knee, foot), "line")
        if place < 2:
            yield line((foot, (foot[0] - 4, foot[1] + 7)), "line")
            yield line((foot, (foot[0] + 2, foot[1] + 8)), "line")


def swimmerets() -> Iterator[Mark]:
    """The five pairs of swimming feet under the tail."""
    for place in range(1, 6):
        (x, y) = BELLY[place]
        yield shape(
            ((x - 6, y + 3), (x - 3, y + 12), (x + 3, y + 17), (x + 3, y + 8), (x - 1, y + 2)),
            "shell",
        )


def gut() -> Mark:
    """The gut, seen through the back as a dark line."""
    return line(((128, 66), *((x - 1.5, y + 9) for x, y in BACK[:6])), "thin")


#: Where the animal carries its colour.
_COLOUR: tuple[Point, ...] = (
    (100, 64), (112, 58), (124, 62), (138, 60), (104, 78), (118, 74), (132, 76), (145, 72),
    (98, 90), (114, 90), (130, 92), (144, 88), (163, 62), (178, 64), (166, 78), (182, 80),
    (172, 90), (196, 68), (200, 84), (214, 78), (212, 94), (228, 88), (224, 104), (240, 102),
    (240, 114),
)  # fmt: skip


def colour() -> Iterator[Mark]:
    """The specks that make up the colour."""
    for at in _COLOUR:
        yield spot(at, 1.9, "solid")


def eye() -> Mark:
    """The eye on its stalk."""
    return spot(EYE, 5.5, "solid")


def healthy() -> tuple[Mark, ...]:
    """The animal as it should be, from the far parts to the near ones."""
    return (
        *feelers(),
        *swimmerets(),
        *legs(),
        *fan(),
        *(ring(place) for place in range(5, -1, -1)),
        head_shield(),
        gut(),
        *colour(),
        eye(),
    )


@dataclass(frozen=True, slots=True)
class Sign:
    """How a sign is drawn. where: the box that holds all in which it differs from the healthy
    animal; turn: degrees the whole animal is turned by about its middle, move: by how much it is
    moved, after that; scene: what stands around it.
    """

    marks: tuple[Mark, ...]
    where: Box
    turn: float = 0.0
    move: Point = (0.0, 0.0)
    scene: tuple[Mark, ...] = ()


def _white_ring() -> Sign:
    band = ((147, 53), (156, 52), (163, 76), (156, 103), (147, 104), (155, 78))
    edges = (
        line(((148, 53), (156, 77), (148, 103)), "line"),
        line(((157, 53), (165, 77), (156, 102)), "line"),
    )
    marks = (*healthy(), shape(band, "pale"), *edges)
    return Sign(marks, (142, 46, 170, 110))


def _half_cast_skin() -> Sign:
    """The old skin hangs on behind: its empty rings stand off from the new ones."""
    off = [(x + 15.0, y - 9.0) for x, y in BACK]
    under = [(x + 15.0, y + 4.0) for x, y in BELLY]
    old = (
        line((*off, (286, 128)), "dashed"),
        line((*under, (282, 152)), "dashed"),
        *(line((off[n], under[n]), "dashed") for n in range(1, 7)),
        line(((286, 128), (300, 142), (282, 152)), "dashed"),
        line((BACK[0], off[0]), "dashed"),
    )
    return Sign((*healthy(), *old), (144, 40, 312, 170))


def _milky_muscle() -> Sign:
    white = tuple(ring(place, "milky") for place in range(2, 6))
    return Sign((*healthy(), *white), (190, 48, 262, 140))


def _rust_spots() -> Sign:
    spots = (
        ((112, 70), 6.0),
        ((134, 84), 4.5),
        ((176, 74), 6.5),
        ((208, 88), 5.0),
        ((103, 88), 3.5),
    )
    marks: list[Mark] = [*healthy()]
    for at, size in spots:
        marks += [spot(at, size, "rust"), spot(at, size * 0.45, "solid")]
    return Sign(tuple(marks), (96, 62, 216, 96))


def _green_tuft() -> Sign:
    strands = []
    for place in range(13):
        x, y = 170 + 4.6 * place, 104 + 1.4 * place
        bend = 7 if place % 2 else -6
        strands.append(line(((x, y), (x + bend * 0.5, y + 11), (x + bend, y + 24)), "green"))
    return Sign((*healthy(), *strands), (160, 98, 240, 150))


def _nose_threads() -> Sign:
    threads = []
    for place in range(6):
        x, y = 52.0 + 6.0 * place, 60.0 - 0.3 * place
        lean = -5.0 if place % 2 else 4.0
        tip = (x + 1.6 * lean, y - 20)
        threads += [line(((x, y), (x + lean * 0.2, y - 10), tip), "line"), spot(tip, 2.4, "pale")]
    return Sign((*healthy(), *threads), (40, 34, 96, 66))


def _pale_faded() -> Sign:
    """The specks are gone and the shell is clear."""
    specks = set(colour())
    marks = tuple(
        replace(mark, kind="clear") if mark.kind == "shell" else mark
        for mark in healthy()
        if mark not in specks
    )
    return Sign(marks, WHOLE)


def _lying_on_side() -> Sign:
    ground = (line(((6, 158), (80, 154), (170, 159), (314, 155)), "line"), *_gravel(162))
    return Sign(healthy(), WHOLE, turn=172.0, move=(0.0, 14.0), scene=ground)


def _at_surface() -> Sign:
    waves = tuple((4.0 + 39 * place, 20.0 - 4 * (place % 2)) for place in range(9))
    water = line(waves, "line")
    rings = (
        line(((20, 27), (36, 30), (52, 27)), "thin"),
        line(((14, 33), (36, 37), (58, 33)), "thin"),
    )
    return Sign(healthy(), WHOLE, turn=17.0, move=(4.0, 2.0), scene=(water, *rings))


def _hiding() -> Sign:
    """A leaf and a stone cover all but the head."""
    stone = shape(((104, 166), (96, 120), (126, 74), (190, 52), (258, 66), (300, 112), (312, 168)),
                  "stone")  # fmt: skip
    leaf = shape(((92, 40), (150, 22), (236, 30), (292, 58), (224, 66), (150, 64)), "leaf")
    vein = line(((92, 40), (180, 44), (292, 58)), "thin")
    return Sign((*healthy(), stone, leaf, vein), (88, 18, 316, 172))


def _saddle_seen() -> Sign:
    saddle = shape(((112, 60), (124, 52), (142, 54), (150, 62), (140, 72), (120, 71)), "eggs")
    return Sign((*healthy(), saddle), (108, 48, 154, 76))


def _berried_seen() -> Sign:
    eggs = []
    for row in range(3):
        for place in range(9 - row):
            x = 169 + 7.2 * place + 3.4 * row
            eggs.append(spot((x, 106 + 6.2 * row + 2.0 * place), 4.0, "egg"))
    return Sign((*healthy(), *eggs), (160, 98, 240, 148))


def _skins_found() -> Sign:
    """Above an empty skin, clear and split behind the shield; below a body, clouded and whole."""
    clear = [replace(mark, kind="dashed") for mark in (head_shield(), *(ring(n) for n in range(6)))]
    skin = _scaled((*clear, *(replace(m, kind="thin") for m in (*legs(), *fan()))), 0.6, (0, -14))
    split = _scaled((line(((144, 44), (154, 62), (166, 40)), "line"),), 0.6, (0, -14))
    body = _scaled(
        tuple(replace(m, kind="cloudy") if m.kind == "shell" else m for m in healthy()),
        0.6,
        (124, 72),
    )
    return Sign((*skin, *split, *body), WHOLE)


def _scaled(marks: Iterable[Mark], size: float, to: Point) -> tuple[Mark, ...]:
    """The marks made smaller and moved."""
    found = []
    for mark in marks:
        x0, y0, x1, y1 = mark.box
        box = (x0 * size + to[0], y0 * size + to[1], x1 * size + to[0], y1 * size + to[1])
        found.append(replace(mark, box=box, size=size, at=to))
    return tuple(found)


def _gravel(y: float) -> Iterator[Mark]:
    for place in range(18):
        yield spot((14 + 17.5 * place, y + 5 + (place * 7) % 5), 2.4, "clear")


SIGNS: dict[str, Callable[[], Sign]] = {
    "survivors_normal": lambda: Sign(healthy(), (0.0, 0.0, 0.0, 0.0)),
    "white_ring": _white_ring,
    "half_cast_skin": _half_cast_skin,
    "milky_muscle": _milky_muscle,
    "rust_spots": _rust_spots,
    "green_tuft": _green_tuft,
    "nose_threads": _nose_threads,
    "lying_on_side": _lying_on_side,
    "at_surface": _at_surface,
    "pale_faded": _pale_faded,
    "hiding": _hiding,
    "saddle_seen": _saddle_seen,
    "berried_seen": _berried_seen,
    "skins_found": _skins_found,
}
