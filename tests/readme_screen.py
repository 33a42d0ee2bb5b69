"""The screen in the README: made from the command itself, and put in place by running this module.

`python -m tests.readme_screen` rewrites the README; a test fails when the two differ.
"""

from __future__ import annotations

import contextlib
import io
from pathlib import Path

from diagnose.cli import main

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
CASE = "cases/glaze-room-jar-after-new-moss.yaml"
START, END = "<!-- screen: from here -->\n```\n", "```\n<!-- to here -->\n"
#: The screen goes on after this heading; the README shows what comes before it.
CUT_BEFORE = "Then"


def screen() -> str:
    """What the command prints for the README's case, up to the later steps."""
    shown = io.StringIO()
    with contextlib.redirect_stdout(shown):
        main(["triage", str(ROOT / CASE)])
    lines = [line.rstrip() for line in shown.getvalue().splitlines()]
    return f"$ bowlside triage {CASE}\n" + "\n".join(lines[: lines.index(CUT_BEFORE)]) + "...\n"


def in_readme() -> str:
    """The screen as the README has it."""
    text = README.read_text(encoding="utf-8")
    return text.split(START)[1].split(END)[0]


def put_in_readme() -> None:
    """Writes the current screen into the README."""
    before, rest = README.read_text(encoding="utf-8").split(START)
    after = rest.split(END)[1]
    README.write_text(before + START + screen() + END + after, encoding="utf-8")


if __name__ == "__main__":
    put_in_readme()
