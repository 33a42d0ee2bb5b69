"""A folder of cases in the place of one: every command that answers a case answers all of them."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from diagnose.commands.printing import print_each, print_page

if TYPE_CHECKING:
    from diagnose.report.pages import Page, PageLine

#: A case could not be answered.
BAD_INPUT = 3


class Answered(NamedTuple):
    """The answer to one case: as a page, as data, and the lines that a list of many has of it;
    the smaller its place, the further up it stands.
    """

    page: Page
    data: object
    lines: tuple[PageLine, ...]
    place: int


def print_folder(
    folder: Path, title: str, answer: Callable[[Path], Answered], options: argparse.Namespace
) -> int:
    """Prints the answers to all cases of a folder: one page, or a line of JSON for each.

    Returns 3 where a case could not be answered; the others are. Raises ValueError for a folder
    without cases.
    """
    from diagnose.report.answer import as_data
    from diagnose.report.pages import Page, PageLine, Section
    from diagnose.uses.shelf import cases_in

    found: list[tuple[str, Answered]] = []
    problems: list[tuple[str, str]] = []
    for file in cases_in(folder):
        try:
            found.append((file.name, answer(file)))
        except (ValueError, OSError) as error:
            problems.append((file.name, str(error).splitlines()[0]))
    found.sort(key=lambda one: (one[1].place, one[0]))
    if options.format == "json":
        print_each([{"file": name, "answer": as_data(one.data)} for name, one in found])
        print_each([{"file": name, "problem": problem} for name, problem in problems])
        return BAD_INPUT if problems else 0
    sections = [
        Section(
            one.page.title,
            (*(PageLine(text, lead="") for text in one.page.first), *one.lines),
            note=name,
        )
        for name, one in found
    ]
    unread = tuple(PageLine(f"{name}: {problem}") for name, problem in problems)
    page = Page(
        title,
        (f"{len(found)} container{'' if len(found) == 1 else 's'} answered.",),
        (Section("Could not be answered", unread), *sections),
    )
    print_page(page, [one.data for _, one in found], options)
    return BAD_INPUT if problems else 0
