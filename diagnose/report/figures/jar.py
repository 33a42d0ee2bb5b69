"""A planted jar from the side, and what the signs of a container look like on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from diagnose.report.figures.shrimp import Box, Mark, Point, Sign, line, shape, spot

LEFT, RIGHT, TOP, BOTTOM = 92.0, 228.0, 14.0, 170.0
SURFACE, GROUND = 44.0, 146.0


def glass() -> Iterator[Mark]:
    """The jar itself."""
    yield line(((LEFT + 8, TOP), (LEFT, TOP + 16), (LEFT, 120), (LEFT + 6, BOTTOM - 4)), "line")
    yield line(((RIGHT - 8, TOP), (RIGHT, TOP + 16), (RIGHT, 120), (RIGHT - 6, BOTTOM - 4)), "line")
    yield line(((LEFT + 6, BOTTOM - 4), (160, BOTTOM), (RIGHT - 6, BOTTOM - 4)), "line")
    yield line(((LEFT + 4, TOP), (160, TOP + 4), (RIGHT - 4, TOP)), "thin")


def water() -> Iterator[Mark]:
    """The surface, a little lower in the middle, and the ground."""
    yield line(((LEFT + 1, SURFACE), (160, SURFACE + 2), (RIGHT - 1, SURFACE)), "line")
    yield line(((LEFT + 3, GROUND), (140, GROUND - 3), (190, GROUND + 1), (RIGHT - 3, GROUND - 2)),
               "line")  # fmt: skip
    for place in range(15):
        x = LEFT + 12 + 8.2 * place
        yield spot((x, GROUND + 8 + (place * 5) % 9), 1.8, "clear")


def stem(x: float, height: float, *, melting: bool = False) -> Iterator[Mark]:
    """A stem plant with leaves; a melting one hangs and has holes."""
    bend = 14.0 if melting else 3.0
    top = (x + bend, GROUND - height)
    yield line(((x, GROUND), (x + bend * 0.3, GROUND - height * 0.5), top), "line")
    for place in range(1, 6):
        y = GROUND - height * place / 5.5
        middle = x + bend * (place / 5.5) ** 2
        drop = 12.0 if melting else -6.0
        for side in (-1.0, 1.0):
            tip: Point = (middle + side * 15, y + drop)
            if melting:
                yield line(((middle, y), (middle + side * 9, y + 3), tip), "dashed")
            else:
                yield shape(((middle, y), (middle + side * 8, y - 6), tip, (middle + side * 8, y)),
                            "leaf")  # fmt: skip


def healthy() -> tuple[Mark, ...]:
    """The jar as it should be: two stems, open surface, clean ground."""
    return (*glass(), *water(), *stem(128, 66), *stem(190, 82))


def _film() -> Sign:
    """Patches with a skin's wrinkles on the surface."""
    skin = [
        shape(((LEFT + 4, SURFACE - 3), (150, SURFACE - 6), (RIGHT - 4, SURFACE - 3),
               (RIGHT - 4, SURFACE + 3), (150, SURFACE + 5), (LEFT + 4, SURFACE + 3)), "pale")
    ]  # fmt: skip
    for place in range(9):
        x = LEFT + 12 + 14.0 * place
        skin.append(line(((x, SURFACE - 2), (x + 4, SURFACE + 1.5), (x + 9, SURFACE - 2)), "line"))
    return Sign((*healthy(), *skin), (LEFT, SURFACE - 9, RIGHT, SURFACE + 9))


def _crust() -> Sign:
    """White grains in a band on the glass, above the water."""
    grains = [
        spot((x + dx, SURFACE - 4 - 3.2 * row), 1.7, "egg")
        for row in range(4)
        for x, dx in ((LEFT + 3, 2.0 * (row % 2)), (LEFT + 9, -1.5 * (row % 2)),
                      (RIGHT - 4, -2.0 * (row % 2)), (RIGHT - 10, 1.5 * (row % 2)))
    ]  # fmt: skip
    rim = line(((LEFT + 2, SURFACE - 17), (160, SURFACE - 15), (RIGHT - 2, SURFACE - 17)), "dashed")
    return Sign((*healthy(), *grains, rim), (LEFT - 2, SURFACE - 22, RIGHT + 2, SURFACE))


def _black_patches() -> Sign:
    """Dark stains with bubbles in the ground, seen through the glass."""
    stains = (
        shape(((104, 152), (122, 149), (138, 154), (128, 163), (108, 162)), "solid"),
        shape(((168, 154), (188, 150), (208, 155), (200, 164), (176, 164)), "solid"),
        spot((122, 140), 2.6, "clear"),
        spot((124, 131), 2.0, "clear"),
        spot((190, 140), 2.6, "clear"),
    )
    return Sign((*healthy(), *stains), (98, 124, 214, 170))


def _plants_melting() -> Sign:
    marks = (*glass(), *water(), *stem(128, 60, melting=True), *stem(184, 72, melting=True))
    return Sign(marks, (LEFT, SURFACE, RIGHT, GROUND + 2))


def _closed_surface() -> Sign:
    """Floating leaves from glass to glass, roots hanging from them."""
    leaves: list[Mark] = []
    for place in range(8):
        x = LEFT + 9 + 16.8 * place
        leaves.append(
            shape(((x - 9, SURFACE), (x - 4, SURFACE - 5), (x + 5, SURFACE - 5), (x + 9, SURFACE),
                   (x, SURFACE + 3)), "leaf")
        )  # fmt: skip
        leaves += [
            line(((x + off, SURFACE + 3), (x + off * 1.6, SURFACE + 14), (x + off, SURFACE + 24)),
                 "thin")
            for off in (-3.0, 0.0, 3.0)
        ]  # fmt: skip
    box: Box = (LEFT - 4, SURFACE - 9, RIGHT + 4, SURFACE + 28)
    return Sign((*healthy(), *leaves), box)


SIGNS: dict[str, Callable[[], Sign]] = {
    "surface_film": _film,
    "white_crust": _crust,
    "black_patches": _black_patches,
    "plants_melting": _plants_melting,
    "floating_cover": _closed_surface,
}
