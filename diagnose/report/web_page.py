"""Answers as pages of HTML: one file each that loads nothing, runs nothing, reads on a phone and
prints, and carries the case as told and the answer as data.

Needs jinja2, imported only when a page is asked for. The same answer gives the same bytes.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Callable
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from diagnose.intake.carried import ELEMENT, FORMAT
from diagnose.report.answer import Answer, as_data, not_now
from diagnose.report.figures.balance import balance
from diagnose.report.figures.course import Mark, course
from diagnose.report.figures.sign import sign_svg
from diagnose.report.figures.small_course import small_courses
from diagnose.report.figures.way import way
from diagnose.report.pages import Figure, Page
from diagnose.report.shelf import TITLE, Jar, first_cause, jar_line, summary
from diagnose.report.wording import PHASE_TITLES, instead_of_guessing, percent, plain

if TYPE_CHECKING:
    from jinja2 import Environment

Told = tuple[tuple[str, str], ...]
#: What a page may do: nothing, but for its own style, known by its digest, and its empty icon.
POLICY = (
    "default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
    "form-action 'none'"
)


def triage_html(
    answer: Answer,
    *,
    told: Told = (),
    marks: tuple[Mark, ...] = (),
    works: tuple[tuple[str, str], ...] = (),
) -> str:
    """The answer of a triage. told: the case's files; marks: its time line; works: how the first
    cause works, step by step.
    """
    drawn = (
        Figure("For and against", balance(answer)),
        Figure("What happened when", course(marks)),
        Figure("How it works", way(works) if works else ""),
    )
    return _rendered(
        "triage.html.jinja",
        answer.case,
        answer,
        told,
        answer=answer,
        steps={
            phase: [step for step in answer.steps if step.phase == phase] for phase in PHASE_TITLES
        },
        phases=PHASE_TITLES,
        not_now=not_now(answer),
        caution_texts={caution.id: caution.text for caution in answer.cautions},
        percent=percent,
        instead_of_guessing=instead_of_guessing,
        figures=drawn,
        signs={
            check.name: Figure(check.asks, sign_svg(check.name, check.asks, check.drawn))
            for check in answer.checks
            if check.drawn
        },
    )


def shelf_html(jars: list[Jar]) -> str:
    """The page of a shelf: who needs eyes first on top, with what to do and what is due."""
    courses = [
        small_courses(jar.temperatures, jar.counts, jar.prefer, f"jar-{place}")
        for place, jar in enumerate(jars, start=1)
    ]
    return _rendered(
        "shelf.html.jinja",
        TITLE,
        [jar_line(jar) for jar in jars],
        (),
        jars=list(zip(jars, courses, strict=True)),
        summary=summary(jars),
        first_cause=first_cause,
        percent=percent,
        phases=PHASE_TITLES,
    )


def page_html(
    page: Page, data: object, *, told: Told = (), figures: tuple[Figure, ...] = ()
) -> str:
    """Any other answer: its headings and lines, with drawings where there are any. data: the
    answer that the page carries.
    """
    return _rendered("page.html.jinja", page.title, data, told, page=page, figures=figures)


def _rendered(template: str, title: str, data: object, told: Told, **values: Any) -> str:
    """A page, in characters that every encoding of an output knows."""
    from markupsafe import Markup

    style = _part("page.css")
    digest = b64encode(sha256(style.encode("utf-8")).digest()).decode("ascii")
    carried = {
        "format": FORMAT,
        "told": [{"name": name, "text": text} for name, text in told],
        "answer": as_data(data),
    }
    if "figures" in values:
        values["figures"] = [one for one in values["figures"] if one.svg]
    text = (
        _environment()
        .get_template(template)
        .render(
            title=title,
            policy=POLICY.format(digest=digest),
            style=Markup(style),
            element=ELEMENT,
            carried=Markup(_harmless_json(carried)),
            told=told,
            drawn=lambda figure: Markup(figure.svg),
            **values,
        )
    )
    return text.encode("ascii", "xmlcharrefreplace").decode("ascii")


def _harmless_json(data: object) -> str:
    """JSON that no reader of HTML takes for markup."""
    text = json.dumps(data, ensure_ascii=True, sort_keys=False)
    for character in "<>&":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text


def _part(name: str) -> str:
    return files("diagnose.report").joinpath("templates", name).read_text(encoding="utf-8")


def _environment() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    load: Callable[[str], str] = _part

    def shown(value: Any) -> Any:
        return plain(value) if isinstance(value, str) and not isinstance(value, Markup) else value

    return Environment(
        autoescape=True,
        loader=FunctionLoader(load),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shown,
    )
