"""`bowlside case`: start a case file, check one, read one out of a text, print its schema."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import case_file, rulebook_of, take
from diagnose.commands.printing import print_json

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.uses.case_check import Understood


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "case",
        help="start a case file, check one, read one out of a text, or print its schema",
        description="Case files are YAML: one container, its animals, its log and what was seen.",
    )
    command.set_defaults(parser=command)
    actions = command.add_subparsers(title="actions", metavar="ACTION")
    new = actions.add_parser("new", help="print an empty case file with hints, or write it to FILE")
    new.add_argument("file", metavar="FILE", type=Path, nargs="?", help="where to write it")
    new.set_defaults(run=_case_new)
    check = actions.add_parser(
        "check", help="say what a case file says, what is wrong in it, and what is missing"
    )
    check.add_argument("file", metavar="FILE", type=Path, help="a case file")
    take(check, "--log", "--rulebook")
    check.set_defaults(run=_case_check)
    read = actions.add_parser(
        "read", help="turn a message, a post or a diary entry into a case file, and print that"
    )
    read.add_argument("file", metavar="FILE", help="a text in plain words; - reads from a pipe")
    take(read, "--rulebook")
    read.set_defaults(run=_case_read)
    schema = actions.add_parser("schema", help="print the JSON Schema that editors complete with")
    take(schema, "--rulebook")
    schema.set_defaults(run=_case_schema)


def _case_new(options: argparse.Namespace) -> int:
    from diagnose.intake.template import new_case_text

    if options.file is None:
        sys.stdout.write(new_case_text())
        return 0
    if options.file.exists():
        raise ValueError(f"{options.file}: there is a file already; choose another name.")
    options.file.write_text(new_case_text(), encoding="utf-8")
    print(f"Written: {options.file}. Fill in what you know and leave out the rest.")
    return 0


def _case_check(options: argparse.Namespace) -> int:
    from diagnose.uses.case_check import checked_file

    found = checked_file(case_file(options, options.file), rulebook_of(options), now=datetime.now())
    print(f"{options.file}: readable. {len(found.understood)} observations follow from it.")
    _print_list("Understood", [_placed(item) for item in found.understood])
    _print_list("Set aside", [_placed(item) for item in found.set_aside])
    _print_list("Taken for granted", found.assumptions)
    _print_list("Missing, first what would change most", found.missing)
    _print_list("Not logged", found.not_logged)
    return 0


def _case_read(options: argparse.Namespace) -> int:
    from diagnose.commands.options import folders_of, told_text
    from diagnose.uses.story import read_text

    data, name = told_text(options.file)
    read = read_text(data, name, rulebook_of(options), folders_of(options), now=_minute())
    sys.stdout.write(read.text)
    return 0


def _minute() -> datetime:
    return datetime.now().replace(second=0, microsecond=0)


def _placed(item: Understood) -> str:
    return f"{item.place}: {item.says}" if item.place else item.says


def _print_list(title: str, lines: Sequence[str]) -> None:
    if lines:
        print(f"\n{title}")
    for line in lines:
        print(f"- {line}")


def _case_schema(options: argparse.Namespace) -> int:
    from diagnose.intake.schema import case_schema

    return print_json(case_schema(rulebook_of(options).vocabulary))
