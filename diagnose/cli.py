"""The command `bowlside`: parse, call a use-case, render. Everything heavy is imported only when
it is needed.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from diagnose import __version__
from diagnose.commands import (
    care,
    case,
    log,
    mix,
    outlook,
    practice,
    reasons,
    round,
    rulebook,
    stocking,
    triage,
)

#: In the order of the help.
COMMANDS = (triage, log, round, stocking, care, outlook, case, reasons, practice, mix, rulebook)
#: The input cannot be used; the message says what would be right.
BAD_INPUT = 3
#: The program itself failed (the code that sysexits.h gives an internal software error).
OWN_FAULT = 70
#: Columns of an error message: what the narrowest usual terminal shows.
ERROR_WIDTH = 80


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command line and returns the exit code: 0 done, 1 rules in error, 2 misused, 3 bad
    input."""
    _make_output_safe()
    # pydantic would read through all that is installed beside it, for plugins to its models.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    options = parser().parse_args(arguments)
    if not hasattr(options, "run"):
        options.parser.print_help()
        return 0
    try:
        code: int = options.run(options)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return 130
    except (ValueError, OSError) as error:
        _print_error(_sentence(error))
        return BAD_INPUT
    except Exception as error:  # a keeper at midnight must never be shown a traceback
        kind = type(error).__name__
        _print_error(
            f"bowlside itself failed ({kind}: {error}). Your files are untouched. Please report "
            "this with the command you ran."
        )
        return OWN_FAULT


def _make_output_safe() -> None:
    """A terminal that cannot show a character gets a stand-in, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _print_error(text: str) -> None:
    """Writes to stderr in lines of 80 columns, each problem with its further lines indented."""
    from textwrap import wrap

    for line in text.splitlines():
        lines = wrap(
            line,
            ERROR_WIDTH,
            subsequent_indent="  ",
            break_long_words=False,  # a path or a name must stay whole to be found
            break_on_hyphens=False,
        )
        print("\n".join(lines), file=sys.stderr)


def _sentence(error: Exception) -> str:
    if isinstance(error, OSError) and error.filename:
        return f"{error.filename}: cannot be read: {(error.strerror or 'unknown reason').lower()}."
    return str(error)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="bowlside",
        description="Why are they dying, and what to do in the next hour: for keepers of dwarf "
        "shrimp in small planted containers.",
    )
    top.add_argument("--version", action="version", version=f"bowlside {__version__}")
    top.set_defaults(parser=top)
    commands = top.add_subparsers(title="commands", metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return top
