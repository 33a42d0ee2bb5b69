"""A keeper's own table: its separator, its columns, its way to write dates and decimals."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from diagnose.intake.problems import CaseError, CaseErrors, Unreadable
from diagnose.intake.written_readings import reading_name
from diagnose.intake.written_text import STEERING_CODES

SEPARATORS = (";", "\t", "|", ",")
#: More is no log of a container but something else.
MOST_BYTES, MOST_ROWS = 20_000_000, 100_000
#: What columns that hold times are usually called, in the languages of common loggers.
_TIMES = {
    "time": ("at", "time", "datetime", "date time", "timestamp", "zeit", "when", "date/time"),
    "date": ("date", "day", "datum", "fecha"),
    "clock": ("clock", "hour", "uhrzeit"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks"),
}
_UNIT = re.compile(r"\s*[\[(](?P<unit>[^\])]*)[\])]\s*$")
_NUMERIC_DATE = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})(.*)")
_LEFT_OUT = "-"


@dataclass(frozen=True, slots=True)
class Table:
    """A table as text. rows: the line of the file, and the cells by their column."""

    file: str
    columns: tuple[str, ...]
    rows: tuple[tuple[int, dict[str, str]], ...]
    decimal_commas: bool


def read_table(data: bytes, file: str) -> Table:
    """The table in a file's bytes. Raises CaseErrors."""
    if len(data) > MOST_BYTES:
        raise _problem(file, None, "the table is too large.", "Cut it into several.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in text or not text.strip():
        raise _problem(file, None, "this is no table of text.", "Save it as CSV.")
    first = next(line for line in text.split("\n") if line.strip())
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)
    columns: tuple[str, ...] = ()
    rows: list[tuple[int, dict[str, str]]] = []
    try:
        for cells in reader:
            cells = [cell.strip() for cell in cells]
            if not any(cells):
                continue
            if not columns:
                columns = _header(cells, file, reader.line_num)
                continue
            if any(cells[len(columns) :]):
                raise _problem(
                    file,
                    reader.line_num,
                    f"this row has {len(cells)} cells, the header {len(columns)}.",
                    "Part the cells with semicolons where decimals have commas.",
                )
            rows.append((reader.line_num, dict(zip(columns, cells, strict=False))))
            if len(rows) > MOST_ROWS:
                raise _problem(file, reader.line_num, "the table is too long.", "Cut it.")
    except csv.Error:
        raise _problem(
            file, reader.line_num, "this is not readable as a table.", "Look for an open quote."
        ) from None
    return Table(file, columns, tuple(rows), separator != ",")


def _header(cells: Sequence[str], file: str, line: int) -> tuple[str, ...]:
    names = tuple(cell for cell in cells if cell)
    if len(names) < len(cells.copy() if isinstance(cells, list) else cells) and cells[-1]:
        raise _problem(file, line, "a column has no name.", "Name every column.")
    if len(set(names)) < len(names):
        raise _problem(file, line, "two columns have one name.", "Rename one.")
    if any(STEERING_CODES.search(name) for name in names):
        raise _problem(file, line, "a column name holds a hidden control code.", "Type it anew.")
    return names


def guessed(columns: Sequence[str]) -> dict[str, str]:
    """What each column holds by its name; `-` for what no name tells."""
    found: dict[str, str] = {}
    for column in columns:
        plain = " ".join(column.lower().replace("_", " ").split())
        known = next((kind for kind, names in _TIMES.items() if plain in names), None)
        found[column] = known or _reading(column) or _LEFT_OUT
    return found


def _reading(column: str) -> str | None:
    unit = _UNIT.search(column)
    name = column[: unit.start()] if unit else column
    try:
        what = reading_name(name.strip().replace("_", " "))
    except Unreadable:
        return None
    return f"{what} {unit['unit']}" if unit and unit["unit"] else str(what)


def time_reader(
    table: Table, holds: Mapping[str, str]
) -> Callable[[dict[str, str], int], datetime]:
    """Reads the time of a row. Raises CaseErrors where the table does not tell day from month."""
    whole = [c for c, kind in holds.items() if kind.split()[0] in ("time", "date")]
    clock = next((c for c, kind in holds.items() if kind == "clock"), None)
    if not whole:
        raise _problem(table.file, 1, "no column holds a time.", "Say which: --column COLUMN=time.")
    column = whole[0]
    order = _order(table, column, holds[column])

    def read(row: dict[str, str], line: int) -> datetime:
        text = row.get(column, "")
        if clock and row.get(clock):
            text = f"{text} {row[clock]}"
        found = _NUMERIC_DATE.fullmatch(text)
        if found is not None and len(found[1]) < 4:
            first, second, year = int(found[1]), int(found[3]), int(found[4])
            day, month = (first, second) if order == "day" else (second, first)
            year += 2000 if year < 100 else 0
            text = f"{year:04d}-{month:02d}-{day:02d}{found[5]}"
        elif found is not None:
            text = f"{found[1]}-{int(found[3]):02d}-{int(found[4]):02d}{found[5]}"
        return _moment(text, table.file, line, column)

    return read


def _moment(text: str, file: str, line: int, column: str) -> datetime:
    plain = re.sub(r"\s*\.(?=\d{1,2}:)|,", " ", text.strip().rstrip("Z"))
    plain = re.sub(r"[ T]+(\d):", r" 0\1:", plain)
    for pattern in ("%Y-%m-%d %I:%M %p", "%Y-%m-%d %I:%M:%S %p"):
        try:
            return datetime.strptime(" ".join(plain.split()), pattern)
        except ValueError:
            continue
    try:
        found = datetime.fromisoformat(" ".join(plain.split())).replace(tzinfo=None)
    except ValueError:
        raise _problem(
            file,
            line,
            f"`{text}` is no time.",
            "Write 2026-03-14 21:30 or 14.03.2026 21:30.",
            column,
        ) from None
    return found if ":" in plain else found.replace(hour=12)


def _order(table: Table, column: str, kind: str) -> str:
    """Whether the day or the month comes first in dates as 3/4/2026."""
    told = kind.split()[1:]
    if told:
        return "month" if told[0].startswith("month") else "day"
    first = second = 0
    sign = ""
    for _, row in table.rows:
        found = _NUMERIC_DATE.fullmatch(row.get(column, ""))
        if found is not None and len(found[1]) < 4:
            first, second = max(first, int(found[1])), max(second, int(found[3]))
            sign = found[2]
    if sign in ("", ".") or first > 12:  # dates with points have the day first everywhere
        return "day"
    if second > 12:
        return "month"
    raise _problem(
        table.file,
        None,
        "its dates do not tell the day from the month.",
        f'Say which comes first: --column "{column}=date day-first" (or month-first).',
        column,
    )


def number_text(text: str, table: Table) -> str:
    """A cell with a decimal comma as with a point, where commas do not part the cells."""
    if table.decimal_commas or re.fullmatch(r"[<>~]?\s*-?\d+,\d+", text):
        return re.sub(r"(?<=\d),(?=\d)", ".", text)
    return text


def _problem(file: str, line: int | None, problem: str, hint: str, field: str = "") -> CaseErrors:
    return CaseErrors((CaseError(file, line, field, problem, hint),))
