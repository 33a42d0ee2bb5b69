"""How a command puts its answer out: a console, JSON, lines of text, a page."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from diagnose.report.pages import Figure, Page
    from diagnose.report.web_page import Told


def console(*, stderr: bool = False) -> Console:
    """A console of at most 80 columns that honours NO_COLOR and pipes."""
    from rich.console import Console

    from diagnose.report.terminal import WIDTH

    found = Console(highlight=False, soft_wrap=False, stderr=stderr)
    found.width = min(found.width, WIDTH) if found.is_terminal else WIDTH
    return found


def print_json(data: object) -> int:
    """Prints JSON; 0, the exit code."""
    import json

    print(json.dumps(data, indent=2, ensure_ascii=False))
    return 0


def print_each(answers: Sequence[object]) -> None:
    """Prints JSON lines, one for each answer of a shelf."""
    import json

    from diagnose.report.answer import as_data

    for answer in answers:
        print(json.dumps(as_data(answer), ensure_ascii=False))


def print_lines(lines: Sequence[str]) -> None:
    """Lines of text, wrapped at the width of the page; what is wrapped is set in."""
    import textwrap

    width = console().width
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 2)
        print(textwrap.fill(line, width, subsequent_indent=indent, break_on_hyphens=False))


def print_page(
    page: Page,
    data: object,
    options: argparse.Namespace,
    *,
    told: Told = (),
    figures: Callable[[], tuple[Figure, ...]] = tuple,
) -> int:
    """Prints an answer in the format that the options ask for; 0, the exit code.

    told: the case's files, and figures: what draws them, for a page of HTML.
    """
    from diagnose.report.answer import as_data
    from diagnose.report.pages import page_markdown, show_page

    if options.format == "json":
        return print_json(as_data(data))
    if options.format == "markdown":
        sys.stdout.write(page_markdown(page))
        return 0
    if options.format == "html":
        from diagnose.report.web_page import page_html

        sys.stdout.write(page_html(page, data, told=told, figures=figures()))
        return 0
    show_page(page, console())
    return 0


def print_schema(answer: type, form: str) -> int:
    """Prints the JSON Schema of an answer; 0, the exit code."""
    from diagnose.report.versioned import schema_of

    return print_json(schema_of(answer, form))
