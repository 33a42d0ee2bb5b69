"""The drawing of a sign as SVG that stands alone or in a page."""

from __future__ import annotations

from html import escape

from diagnose.report.figures import jar, shrimp
from diagnose.report.figures.shrimp import HEIGHT, WIDTH, Mark, Sign
from diagnose.report.wording import plain

#: Ink and paper are those of the page around it; nothing is told by colour alone.
_LOOKS: dict[str, dict[str, str]] = {
    "line": {"fill": "none", "stroke-width": "2.4"},
    "thin": {"fill": "none", "stroke-width": "1.3"},
    "dashed": {"fill": "none", "stroke-width": "1.6", "stroke-dasharray": "5 4"},
    "shell": {"fill": "#c8553d", "fill-opacity": ".42", "stroke-width": "1.8"},
    "clear": {"fill": "none", "stroke-width": "1.2", "stroke-opacity": ".6"},
    "solid": {"fill": "currentColor", "stroke": "none"},
    "pale": {"fill": "#fff", "stroke-width": "1.2"},
    "milky": {
        "fill": "#fff",
        "fill-opacity": ".88",
        "stroke-width": "1.8",
        "stroke-dasharray": "1.5 2.5",
    },
    "cloudy": {"fill": "#dfb3a6", "stroke-width": "2.4"},
    "rust": {"fill": "#8a4b1c", "fill-opacity": ".75", "stroke-width": "1.4"},
    "green": {"fill": "none", "stroke": "#3c7a2f", "stroke-width": "2.6"},
    "leaf": {"fill": "#5c8f4e", "fill-opacity": ".65", "stroke-width": "1.4"},
    "stone": {"fill": "#8c918d", "stroke-width": "2"},
    "eggs": {"fill": "#d9b23c", "fill-opacity": ".85", "stroke-width": "1.4"},
    "egg": {"fill": "#e8d9a0", "stroke-width": "1.2"},
}


def drawn_signs() -> tuple[str, ...]:
    """The observations that have a drawing."""
    return (*shrimp.SIGNS, *jar.SIGNS)


def sign_of(name: str) -> Sign:
    """How an observation is drawn. Raises KeyError for one without a drawing."""
    made = {**shrimp.SIGNS, **jar.SIGNS}
    return made[name]()


def sign_svg(name: str, title: str, says: str) -> str:
    """The drawing as one SVG element. says: what to look for, for who cannot see it."""
    sign = sign_of(name)
    turned = "".join(map(_path, sign.marks))
    if sign.turn or sign.move != (0.0, 0.0):
        (x, y), middle = sign.move, f"{WIDTH / 2:g} {HEIGHT / 2:g}"
        turned = (
            f'<g transform="translate({x:g} {y:g}) rotate({sign.turn:g} {middle})">{turned}</g>'
        )
    scene = "".join(map(_path, sign.scene))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'aria-labelledby="sign-{name}-title sign-{name}-says" fill="none" stroke="currentColor" '
        f'stroke-linecap="round" stroke-linejoin="round">'
        f'<title id="sign-{name}-title">{escape(plain(title))}</title>'
        f'<desc id="sign-{name}-says">{escape(plain(says))}</desc>{turned}{scene}</svg>'
    )


def _path(mark: Mark) -> str:
    """The mark as an element; its looks are attributes, which no page's policy forbids."""
    looks = "".join(f' {name}="{value}"' for name, value in _LOOKS[mark.kind].items())
    if mark.size == 1.0:
        return f'<path{looks} d="{mark.d}"/>'
    x, y = mark.at
    return f'<path{looks} transform="translate({x:g} {y:g}) scale({mark.size:g})" d="{mark.d}"/>'
