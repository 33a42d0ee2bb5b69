"""What a check of the rulebook found, for a person and for a program."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from diagnose.audit.rulebook_check import Checked

FORMAT = "bowlside-rulebook-check/1"


def as_data(checked: Checked) -> dict[str, Any]:
    """Everything, for a program."""
    return {
        "format": FORMAT,
        "folder": checked.folder,
        "laid_over": list(checked.laid_over),
        "errors": checked.errors,
        "advice": len(checked.findings) - checked.errors,
        "findings": [asdict(finding) for finding in checked.findings],
    }


def as_lines(checked: Checked) -> list[str]:
    """One paragraph for each finding: where, which check, what is wrong, how to mend it."""
    lines = []
    for found in checked.findings:
        place = found.file if found.line is None else f"{found.file}:{found.line}"
        about = f"{found.entry}: " if found.entry else ""
        lines += [
            f"{place}: {found.level} {found.check}",
            f"  {about}{found.says}",
            f"  {found.mend}",
        ]
    over = f", laid over {', '.join(checked.laid_over)}" if checked.laid_over else ""
    advice = len(checked.findings) - checked.errors
    if checked.findings:
        lines.append(f"{checked.folder}{over}: {_many(checked.errors, 'error')}, {advice} advice.")
    else:
        lines.append(f"{checked.folder}{over}: nothing to mend.")
    return lines


def _many(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
