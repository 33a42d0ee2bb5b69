"""What can be wrong with a log on disk, as sentences for the keeper."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class LogFault(ValueError):
    """The log cannot be used for this; nothing of it was changed."""


@contextmanager
def told_plainly(file: Path) -> Iterator[None]:
    """SQLite's own errors as LogFault, with what would mend them."""
    try:
        yield
    except sqlite3.Error as error:
        raise LogFault(f"{file}: {_sentence(error)}") from error


def _sentence(error: sqlite3.Error) -> str:
    said = str(error).lower()
    code = getattr(error, "sqlite_errorname", "")
    if "SQLITE_NOTADB" in code or "not a database" in said:
        return "this is no log of bowlside. Name another file with --log, or move this one away."
    if "SQLITE_FULL" in code or "full" in said:
        return "the disk is full. Nothing was written; make room and jot it again."
    if "SQLITE_READONLY" in code or "readonly" in said:
        return "it cannot be written to. Nothing was kept; look at the rights of file and folder."
    if "SQLITE_BUSY" in code or "locked" in said:
        return "another terminal is writing to it. Nothing was kept; try once more in a moment."
    if "SQLITE_CORRUPT" in code or "malformed" in said:
        return "the file is damaged. Take it back from a copy; `log unpack` reads an archive."
    if "SQLITE_CANTOPEN" in code or "unable to open" in said:
        return "it cannot be opened. Look whether the folder is there and may be written to."
    return f"the log cannot be used ({error})."
