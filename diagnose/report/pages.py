"""A page of headings and lines, on a terminal of 80 columns or as Markdown.

Everything can be read without colour; text is never taken as markup.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.report.markdown import literal
from diagnose.report.wording import plain

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

#: Narrowest column that text beside a lead is given.
NARROWEST = 24


@dataclass(frozen=True, slots=True)
class PageLine:
    """One line: what hangs before it, the text, and quieter lines below it."""

    text: str
    lead: str = "-"
    below: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing with its heading; svg is markup of this program's own making. Only a page of HTML
    shows it.
    """

    heading: str
    svg: str


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with an optional note, its lines, a table whose first row names the columns, and
    drawings.
    """

    heading: str
    lines: tuple[PageLine, ...]
    note: str = ""
    table: tuple[tuple[str, ...], ...] = ()
    figures: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """A title with an optional note, what matters most in a sentence or two, and the sections."""

    title: str
    first: tuple[str, ...]
    sections: tuple[Section, ...]
    note: str = ""


def section(heading: str, texts: tuple[str, ...], note: str = "") -> Section:
    """A section of plain lines."""
    return Section(heading, tuple(PageLine(text) for text in texts), note)


def show_page(page: Page, console: Console) -> None:
    """Prints the page; empty sections are left out."""
    from rich.padding import Padding
    from rich.text import Text

    from diagnose.report.terminal import HEADING, QUIET, STRONG

    def say(text: Text, indent: int = 0) -> None:
        console.print(Padding(text, (0, 0, 0, indent)), markup=False, highlight=False)

    def hang(lead: str, text: str, indent: int = 0, style: str = "") -> None:
        lead = f"{lead} " if lead else ""
        width = max(NARROWEST, console.width - indent - len(lead))
        for number, part in enumerate(Text(text, style=style).wrap(console, width)):
            part.rstrip()
            line = Text(lead if number == 0 else " " * len(lead))
            line.append_text(part)
            say(line, indent)

    title = Text(page.title, style=STRONG)
    if page.note:
        title.append(f"  {page.note}", style=QUIET)
    say(title)
    for number, text in enumerate(page.first):
        hang("", text, style=STRONG if number == 0 else "")
    for part in page.sections:
        if not (part.lines or part.table):
            continue
        console.print()
        heading = Text(part.heading, style=HEADING)
        if part.note:
            heading.append(f"  {part.note}", style=QUIET)
        say(heading)
        if part.table:
            console.print(_grid(part.table))
        for line in part.lines:
            hang(line.lead, line.text)
            for below in line.below:
                hang("", below, indent=len(line.lead) + 1, style=QUIET)


def _grid(rows: tuple[tuple[str, ...], ...]) -> Table:
    from rich.table import Table
    from rich.text import Text

    grid = Table(box=None, pad_edge=False)
    for place, title in enumerate(rows[0]):
        texts = place == 0 or any(row[place][:1].isalpha() for row in rows[1:])
        grid.add_column(Text(title), justify="left" if texts else "right", overflow="fold")
    for row in rows[1:]:
        grid.add_row(*(Text(plain(cell)) for cell in row))
    return grid


def page_markdown(page: Page) -> str:
    """The page as Markdown, everything from a case file taken literally."""
    return "\n".join(_markdown(page)) + "\n"


def _markdown(page: Page) -> Iterator[str]:
    yield f"# {literal(page.title)}"
    if page.note:
        yield ""
        yield literal(page.note)
    for number, text in enumerate(page.first):
        yield ""
        yield f"**{literal(text)}**" if number == 0 else literal(text)
    for part in page.sections:
        if not (part.lines or part.table):
            continue
        yield ""
        yield f"## {literal(part.heading)}" + (f" ({literal(part.note)})" if part.note else "")
        yield ""
        for place, row in enumerate(part.table):
            yield f"| {' | '.join(literal(cell) for cell in row)} |"
            if place == 0:
                yield f"|{' --- |' * len(row)}"
        if part.table and part.lines:
            yield ""
        for line in part.lines:
            lead = "" if line.lead in ("-", "") else f"{literal(line.lead.strip())} "
            yield f"- {lead}{literal(line.text)}"
            for below in line.below:
                yield f"  - {literal(below)}"
