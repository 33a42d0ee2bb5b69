"""The log beside a case: a CSV table, one reading or event a line, oldest first.

The header names the columns. `at` and `what` must be there; `what` is the name of a reading (then
`value` counts, with `unit`, `as`, `where`) or the kind of an event.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from diagnose.intake.case import Event, Reading
from diagnose.intake.moments import Moment, hours_before_asking
from diagnose.intake.problems import CaseError, CaseErrors, Unreadable
from diagnose.intake.validation_faults import faults_of, unknown_key
from diagnose.intake.written_readings import reading_name
from diagnose.intake.written_text import STEERING_CODES
from diagnose.intake.yaml_document import decode, one_problem

NEEDED_COLUMNS = ("at", "what")
READING_COLUMNS = ("at", "what", "value", "unit", "as", "where", "note")
EVENT_COLUMNS = (
    "at",
    "what",
    "share",
    "volume",
    "temperature",
    "conditioner",
    "solids",
    "gh",
    "amount",
    "product",
    "count",
    "note",
)
COLUMNS = (*READING_COLUMNS, *(name for name in EVENT_COLUMNS if name not in READING_COLUMNS))
MAX_ROWS = 5000
RIGHT_TABLE = "Save the table with commas between the cells and a point in decimals (0.25)."


@dataclass(frozen=True, slots=True)
class Log:
    """What a log file holds, in its own order."""

    readings: tuple[Reading, ...]
    events: tuple[Event, ...]


def read_log(
    data: bytes, file: str, *, units: str, asked_at: datetime, first_death: Moment | None
) -> Log:
    """The log in `data`; `file` is the name used in messages.

    Raises CaseErrors with every problem found.
    """
    text = decode(data, file)
    header, rows = _table(text, file)
    problems: list[CaseError] = []
    readings: list[Reading] = []
    events: list[Event] = []
    latest: tuple[float, str] | None = None
    for line, cells in rows:
        row = _row(header, cells, file, line, problems)
        if row is None:
            continue
        entry = _entry(row, file, line, units, problems)
        if entry is None:
            continue
        if isinstance(entry, Reading):
            readings.append(entry)
        else:
            events.append(entry)
        if entry.at is None:
            continue
        hours = hours_before_asking(entry.at, asked_at=asked_at, first_death=first_death)
        if hours is None:
            continue
        if latest is not None and hours > latest[0]:
            problem = f"`{entry.at.text}` is earlier than the row before it (`{latest[1]}`)."
            problems.append(CaseError(file, line, "at", problem, "Sort the rows, oldest first."))
        else:
            latest = (hours, entry.at.text)
    if problems:
        raise CaseErrors(tuple(problems))
    return Log(tuple(readings), tuple(events))


def _table(text: str, file: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, skipinitialspace=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(rows) > MAX_ROWS:
                raise one_problem(
                    file,
                    reader.line_num,
                    f"the log has more than {MAX_ROWS} rows.",
                    "Keep the last three months.",
                )
    except csv.Error:
        raise one_problem(
            file,
            reader.line_num,
            "this is not readable as CSV.",
            "Look for a quote that is not closed.",
        ) from None
    if not rows:
        raise one_problem(
            file, None, "the log is empty.", f"Begin with the header `{','.join(READING_COLUMNS)}`."
        )
    line, header = rows[0]
    names = [name.lower() for name in header]
    if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
        mark = "semicolons" if ";" in names[0] else "tabs"
        raise one_problem(file, line, f"the cells are parted by {mark}.", RIGHT_TABLE)
    _check_header(names, file, line)
    return names, rows[1:]


def _check_header(names: list[str], file: str, line: int) -> None:
    problems: list[CaseError] = []
    for name in NEEDED_COLUMNS:
        if name not in names:
            problems.append(
                CaseError(
                    file,
                    line,
                    "",
                    f"the column `{name}` is missing.",
                    f"The columns are: {', '.join(COLUMNS)}.",
                )
            )
    for name in sorted(set(names)):
        if STEERING_CODES.search(name):
            problems.append(
                CaseError(
                    file, line, "", "a column name holds a hidden control code.", "Type it anew."
                )
            )
        elif name not in COLUMNS:
            problem, hint = unknown_key(name or "(empty)", COLUMNS)
            problems.append(CaseError(file, line, "", problem.replace("field", "column"), hint))
        elif names.count(name) > 1:
            problems.append(
                CaseError(file, line, "", f"two columns are called `{name}`.", "Rename one.")
            )
    if problems:
        raise CaseErrors(tuple(problems))


def _row(
    header: list[str], cells: list[str], file: str, line: int, problems: list[CaseError]
) -> dict[str, Any] | None:
    for name, cell in zip(header, cells, strict=False):
        if STEERING_CODES.search(cell):
            problems.append(
                CaseError(
                    file, line, name, "the text holds a hidden control code.", "Type the text anew."
                )
            )
            return None
    if len(cells) > len(header):
        problems.append(
            CaseError(
                file,
                line,
                "",
                f"this row has {len(cells)} cells, the header {len(header)}.",
                "A decimal comma makes two cells of one: write 0.25, or put the text in quotes.",
            )
        )
        return None
    return {name: cell for name, cell in zip(header, cells, strict=False) if cell}


def _entry(
    row: dict[str, Any], file: str, line: int, units: str, problems: list[CaseError]
) -> Reading | Event | None:
    missing = [name for name in NEEDED_COLUMNS if name not in row]
    for name in missing:
        problems.append(CaseError(file, line, name, f"`{name}` is empty.", "Fill it in."))
    if missing:
        return None
    model: type[Reading] | type[Event]
    model = Reading if _is_reading(row["what"]) or "value" in row else Event
    columns = READING_COLUMNS if model is Reading else EVENT_COLUMNS
    kind = "a reading" if model is Reading else "an event"
    for name in row:
        if name not in columns:
            problem = f"`{row['what']}` is {kind}, and {kind} has no `{name}`."
            problems.append(CaseError(file, line, name, problem, "Leave the cell empty."))
            return None
    if model is Reading and "value" not in row:
        problems.append(
            CaseError(
                file, line, "value", f"`{row['what']}` has no value.", "Fill in what was measured."
            )
        )
        return None
    try:
        entry = model.model_validate(row, context=units, by_alias=True, by_name=False)
    except ValidationError as error:
        problems.extend(faults_of(error, model, file, lambda path: line))
        return None
    return entry.model_copy(update={"logged": f"{file}, line {line}"})


def _is_reading(what: str) -> bool:
    try:
        reading_name(what)
    except Unreadable:
        return False
    return True
