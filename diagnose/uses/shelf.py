"""A shelf of jars: every case of a folder answered, in one table."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.table import Table
from rich.text import Text

from diagnose.report.answer import Answer
from diagnose.report.wording import percent
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.triage import triage_file

#: A second process costs about as much to start as this many cases take to answer.
CASES_WORTH_A_PROCESS = 24
BAD_INPUT = 3


@dataclass(frozen=True, slots=True)
class Row:
    """One case of the shelf: its answer, or why there is none."""

    file: str
    answer: Answer | None
    problem: str


def answered(file: Path, rulebook: Rulebook, now: datetime, ranges_in: Path | None = None) -> Row:
    """The row of one case file; a file that cannot be read gives a row that says so."""
    try:
        return Row(file.name, triage_file(file, rulebook, now=now, ranges_in=ranges_in).answer, "")
    except (ValueError, OSError) as error:
        return Row(file.name, None, str(error).splitlines()[0])


def rows(
    files: list[Path], rulebook: Rulebook, now: datetime, ranges_in: Path | None = None
) -> Iterator[Row]:
    """The rows of all files in order, in several processes where it pays."""
    work = partial(answered, rulebook=rulebook, now=now, ranges_in=ranges_in)
    processes = min(os.cpu_count() or 1, len(files) // CASES_WORTH_A_PROCESS)
    if processes < 2:
        yield from map(work, files)
        return
    with ProcessPoolExecutor(processes) as pool:
        yield from pool.map(work, files, chunksize=max(1, len(files) // (4 * processes)))


def triage_folder(
    folder: Path,
    rulebook: Rulebook,
    console: Console,
    *,
    now: datetime,
    ranges_in: Path | None = None,
) -> int:
    """Prints one table for all cases of a folder; returns 3 if any of them could not be read.

    ranges_in: the folder with the container model's parameters; None makes no estimates.
    Raises ValueError for a folder without case files.
    """
    files = sorted(folder.glob("*.yaml"))
    if not files:
        raise ValueError(f"{folder}: no case files here. They end in .yaml.")
    found: list[Row] = []
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("Looking at the jars", total=len(files))
        for row in rows(files, rulebook, now, ranges_in):
            found.append(row)
            progress.advance(task)
    console.print(_table(found))
    unread = [row for row in found if row.answer is None]
    for row in unread:
        console.print(Text(row.problem))
    return BAD_INPUT if unread else 0


def _table(found: list[Row]) -> Table:
    table = Table(box=None, pad_edge=False)
    for title in ("jar", "act", "likeliest cause", "belief"):
        table.add_column(title, overflow="fold")
    for row in found:
        if row.answer is None:
            table.add_row(Text(row.file), "", Text("could not be read, see below"), "")
            continue
        first = row.answer.ranking[0]
        also = "".join(f"; also {item.title}" for item in row.answer.also_at_work[:1])
        table.add_row(
            Text(row.answer.case),
            row.answer.urgency.replace("-", " "),
            Text(first.title + also),
            percent(first.belief),
        )
    return table
