"""The rulebook as a handbook: one HTML file, linked, printable, without a script or anything from
elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup, escape

from diagnose import __version__
from diagnose.reasons.overview import overview
from diagnose.reasons.page import NOTHING_TO_DO, Page, page_names, page_of
from diagnose.reasons.setting import Setting
from diagnose.reasons.text import KIND_WORDS, PHASE_WORDS
from diagnose.reasons.worked import Worked
from diagnose.report.figures.sign import drawn_signs, sign_svg
from diagnose.rulebook.terms import Rulebook

FILE = "index.html"
TEMPLATE = "handbook.html.jinja"
#: Stands in every handbook, so that a file of somebody else is never written over.
MARK = '<meta name="generator" content="bowlside">'
#: The drawing, in its own units; it scales with the page.
WIDTH, ROW, LEFT, RIGHT, GAP = 320.0, 22.0, 120.0, 108.0, 6.0
THICK, TEXT_RISE = 14.0, 4.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sum with its drawing."""

    worked: Worked
    drawing: Markup


@dataclass(frozen=True, slots=True)
class DrawnSign:
    """A sign with its question, what to look for, and its drawing."""

    asks: str
    says: str
    svg: Markup


def write_handbook(rulebook: Rulebook, at: Setting, folder: Path) -> Path:
    """Writes the handbook into a folder, which is made if there is none, and returns its file.

    Raises ValueError where another file of that name would be written over, OSError where the
    folder cannot be written.
    """
    file = folder / FILE
    if file.exists() and MARK not in file.read_text(encoding="utf-8", errors="replace"):
        raise ValueError(
            f"{file}: there is a file already that is no handbook; choose another folder."
        )
    folder.mkdir(parents=True, exist_ok=True)
    file.write_text(handbook_html(rulebook, at), encoding="utf-8")
    return file


def handbook_html(rulebook: Rulebook, at: Setting) -> str:
    """The whole handbook as HTML."""
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.from_string(
        files("diagnose.reasons").joinpath(TEMPLATE).read_text(encoding="utf-8")
    )
    pages = [page_of(rulebook, name, at) for name in page_names(rulebook)]
    used = {source.id: source for page in pages for source in page.sources}
    return template.render(
        mark=Markup(MARK),
        version=__version__,
        setting=at,
        groups=overview(rulebook),
        causes=[page for page in pages if page.kind == "cause"],
        mechanisms=[page for page in pages if page.kind == "mechanism"],
        sources=[used[name] for name in sorted(used)],
        drawn=_drawn(pages),
        phase_words=PHASE_WORDS,
        kind_words=KIND_WORDS,
        nothing_to_do=NOTHING_TO_DO,
        signs={
            name: DrawnSign(term.asks, term.drawn, Markup(sign_svg(name, term.asks, term.drawn)))
            for name in drawn_signs()
            if (term := rulebook.vocabulary.get(name)) is not None and term.drawn
        },
    )


def _drawn(pages: list[Page]) -> dict[str, Drawn]:
    return {item.id: Drawn(item, drawing(item)) for page in pages for item in page.worked}


def drawing(item: Worked) -> Markup:
    """The bars of a sum as SVG: labels on the left, values behind the bars; one's own is marked by
    `>` and an outline, so that colour is not needed.
    """
    height = ROW * len(item.bars)
    space = WIDTH - LEFT - RIGHT - GAP
    said = "; ".join(f"{bar.label}: {bar.shown}" for bar in item.bars)
    parts = [
        f'<svg viewBox="0 0 {WIDTH:g} {height:g}" role="img" '
        f'aria-label="{escape(item.title)}. {escape(said)}">'
    ]
    for row, bar in enumerate(item.bars):
        size = max(1.0, space * max(0.0, bar.value) / item.longest)
        top, middle = row * ROW + (ROW - THICK) / 2, row * ROW + ROW / 2 + TEXT_RISE
        label = f"> {bar.label}" if bar.mine else bar.label
        kind = "bar mine" if bar.mine else "bar"
        parts.append(
            f'<text x="{LEFT - GAP:g}" y="{middle:g}" text-anchor="end">{escape(label)}</text>'
            f'<rect class="{kind}" x="{LEFT:g}" y="{top:g}" width="{size:.1f}" height="{THICK:g}"/>'
            f'<text x="{LEFT + size + GAP:.1f}" y="{middle:g}">{escape(bar.shown)}</text>'
        )
    return Markup("".join([*parts, "</svg>"]))
