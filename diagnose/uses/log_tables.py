"""Tables taken into a log, and a log written out as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from diagnose.intake.case import Case, Event, Reading
from diagnose.intake.csv_log import COLUMNS, NEEDED_COLUMNS, read_log
from diagnose.intake.moments import Moment
from diagnose.intake.names import check_names
from diagnose.intake.problems import CaseError, CaseErrors
from diagnose.intake.validation_faults import faults_of
from diagnose.intake.written_text import STEERING_CODES
from diagnose.log.as_case import jots_of
from diagnose.log.entry import Entry, Jot
from diagnose.log.store import Store
from diagnose.log.table import Table, guessed, number_text, read_table, time_reader

if TYPE_CHECKING:
    from diagnose.rulebook.terms import Rulebook

_NO = frozenset(("", "no", "n", "0", "-", "false"))


@dataclass(frozen=True, slots=True)
class Taken:
    """How a table was read, how many entries were new and how many the log held already."""

    mapping: tuple[tuple[str, str], ...]
    added: int
    known: int


def take_table(
    store: Store,
    name: str,
    file: Path,
    rulebook: Rulebook,
    *,
    columns: Sequence[str] = (),
    now: datetime,
) -> Taken:
    """Takes a table in, whole or not at all. columns: `COLUMN=NAME`, what a column holds.

    Raises CaseErrors with every problem found, LogFault, and OSError.
    """
    data = file.read_bytes()
    table = read_table(data, file.name)
    header = "\n".join(table.columns)
    if set(NEEDED_COLUMNS) <= set(table.columns) <= set(COLUMNS):
        holds = {column: column for column in table.columns}
        log = read_log(data, file.name, units="metric", asked_at=now, first_death=None)
        case = Case(case="table", readings=log.readings, events=log.events)
        jots = list(jots_of(check_names(case, rulebook.vocabulary, file=file.name), now=now))
    else:
        holds = {**guessed(table.columns), **store.mapping(header), **_told(columns, table)}
        jots = _jots(table, holds, rulebook, now)
    added = store.take_new(name, jots, header, holds, now=now)
    return Taken(tuple(holds.items()), added, len(jots) - added)


def _told(columns: Sequence[str], table: Table) -> dict[str, str]:
    told: dict[str, str] = {}
    for text in columns:
        column, sign, holds = text.rpartition("=")
        if not sign or column not in table.columns or not holds.strip():
            raise ValueError(
                f"--column {text}: write COLUMN=NAME with a column of this table: "
                f"{', '.join(table.columns)}."
            )
        told[column] = " ".join(holds.split())
    return told


def _jots(table: Table, holds: dict[str, str], rulebook: Rulebook, now: datetime) -> list[Jot]:
    when = time_reader(table, holds)
    problems: list[CaseError] = []
    readings: list[Reading] = []
    events: list[Event] = []
    jots: list[Jot] = []
    for line, row in table.rows:
        try:
            at = when(row, line)
        except CaseErrors as error:
            problems += error.problems
            continue
        if at > now + timedelta(days=1):
            hint = "Look at the year, and which of day and month comes first."
            problems.append(CaseError(table.file, line, "", "this lies in the future.", hint))
            continue
        for column, kind in holds.items():
            cell = row.get(column, "")
            if kind == "-" or kind.split()[0] in ("time", "date", "clock") or not cell:
                continue
            if STEERING_CODES.search(cell):
                problem = "the text holds a hidden control code."
                problems.append(CaseError(table.file, line, column, problem, "Type it anew."))
                continue
            if kind == "note":
                jots.append(Jot("note", at, {"text": cell}))
                continue
            model: type[Reading] | type[Event] = Event if kind.startswith("event ") else Reading
            if model is Event and cell.lower() in _NO:
                continue
            moment = Moment("absolute", at)
            written = _written(kind, cell, table) | {"at": moment}
            try:
                made: Any = model.model_validate(
                    written | {"at": f"{at:%Y-%m-%d %H:%M}"},
                    context="metric",
                    by_alias=True,
                    by_name=False,
                )
            except ValidationError as error:
                problems += faults_of(error, model, table.file, partial(_same, line))
                continue
            made = made.model_copy(update={"at": moment, "logged": f"{table.file}, line {line}"})
            (readings if model is Reading else events).append(made)
    if problems:
        raise CaseErrors(tuple(problems))
    case = Case(case="table", readings=tuple(readings), events=tuple(events))
    return [*jots_of(check_names(case, rulebook.vocabulary, file=table.file), now=now), *jots]


def _same(line: int, path: object) -> int:
    return line


def _written(kind: str, cell: str, table: Table) -> dict[str, Any]:
    """What stands in one cell, as a case file would have it."""
    if kind.startswith("event "):
        share = {"share": number_text(cell, table)} if "%" in cell else {}
        return {"what": kind.removeprefix("event ").strip(), **share}
    what, _, unit = kind.partition(" ")
    return {"what": what, "value": number_text(cell, table)} | ({"unit": unit} if unit else {})


def table_of(entries: Sequence[Entry]) -> str:
    """The readings and events of a log as the table that lies beside a case, oldest first."""
    rows = [
        {
            "at": f"{entry.jot.at:%Y-%m-%d %H:%M}",
            **{key: _cell(value) for key, value in entry.jot.content.items() if key in COLUMNS},
        }
        for entry in entries
        if entry.jot.at is not None and entry.jot.kind in ("reading", "event")
    ]
    used = [column for column in COLUMNS if any(column in row for row in rows)]
    out = io.StringIO()
    writer = csv.DictWriter(out, used or list(NEEDED_COLUMNS), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _cell(value: object) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)
