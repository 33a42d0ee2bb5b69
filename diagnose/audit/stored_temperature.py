"""Writes a fitted temperature into ranking.yaml, leaving every other line as it is."""

from __future__ import annotations

import os
import re
from datetime import date
from pathlib import Path

from diagnose.audit.calibration import Calibration

#: Digits kept: more than the cases can tell apart.
DIGITS = 2


def note(found: Calibration, on: date) -> str:
    """When and on what the temperature was fitted, and what it is worth on unseen cases."""
    return (
        f"fitted {on.isoformat()} by log loss on {found.cases} worked cases of the tune split; "
        f"{len(found.folds)}-fold cross-validated log loss {found.log_loss:.3f}, "
        f"against {found.log_loss_at_one:.3f} at temperature 1"
    )


def with_temperature(text: str, found: Calibration, on: date) -> str:
    """The text of a ranking.yaml with the fitted temperature and its note.

    Raises ValueError for a text without exactly one line of each.
    """
    text = _with_line(text, "temperature", f"{found.temperature:.{DIGITS}f}")
    return _with_line(text, "temperature_note", f'"{note(found, on)}"')


def _with_line(text: str, key: str, value: str) -> str:
    """The text with another value on the line of a key; a comment behind it stays."""
    line = re.compile(rf'^{key}:[ \t]*(?:"[^"\n]*"|[^#\n]*?)([ \t]*#.*)?$', re.MULTILINE)
    found = line.findall(text)
    if len(found) != 1:
        raise ValueError(f"there must be one line `{key}: ...`, and there are {len(found)}.")
    return line.sub(lambda hit: f"{key}: {value}{hit.group(1) or ''}", text)


def store(file: Path, found: Calibration, on: date) -> None:
    """Puts the fitted temperature into the file; it is replaced as a whole or not at all.

    Raises OSError where it cannot be read or written, ValueError where it is no ranking.yaml.
    """
    try:
        text = with_temperature(file.read_text(encoding="utf-8"), found, on)
    except UnicodeDecodeError:
        raise ValueError(f"{file}: the file is not UTF-8 text.") from None
    except ValueError as error:
        raise ValueError(f"{file}: {error}") from None
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)
