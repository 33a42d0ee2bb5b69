"""`bowlside stocking`: may animals be added now, how many, when and how."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import case_file, rulebook_of, take
from diagnose.commands.printing import print_page, print_schema

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.findings.observed_case import ObservedCase
    from diagnose.report.stocking_answer import StockingAnswer
    from diagnose.rulebook.terms import Rulebook


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "stocking",
        help="say whether animals may be added now, how many, when and how",
        description="Answers whether animals may be added to a container: add now, wait, or do not "
        "add, with the reasons, the number, the date and the way in. Without FILE it asks.",
    )
    take(
        command,
        "file",
        "--log",
        "--rulebook",
        "--no-outlook",
        "--answer-schema",
        "--format",
        "--units",
    )
    command.add_argument(
        "--add", metavar="ANIMALS", help="who is to come, as `8 adults` or `6 adults, 10 young`"
    )
    command.add_argument(
        "--species", metavar="NAME", help="which kind is to come (default: the kind that is there)"
    )
    command.add_argument(
        "--explain", metavar="RULE", help="show all about one rule of stocking, by its name"
    )
    command.set_defaults(run=_stocking)


def _stocking(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.stocking_answer import FORMAT, StockingAnswer

        return print_schema(StockingAnswer, FORMAT)
    from diagnose.findings.observed_case import observed_case, observed_text
    from diagnose.report.stocking_answer import VERDICTS, explained, stocking_page

    now = datetime.now()
    rulebook = rulebook_of(options)
    if options.file is None:
        from diagnose.stocking.short_session import ask_for_case

        if not sys.stdin.isatty():
            raise ValueError(
                'Name a case file: bowlside stocking FILE --add "8 adults". Without one it asks, '
                "and nobody sits at this end to answer."
            )
        text, options.add, options.species = ask_for_case(
            rulebook.vocabulary, input, print, add=options.add, species=options.species
        )
        observed = observed_text(text.encode("utf-8"), "your answers", rulebook, now=now)
    elif options.file.is_dir():
        from diagnose.commands.folder import Answered, print_folder

        if options.explain:
            raise ValueError("--explain is for one container: name its file.")

        def answered(file: Path) -> Answered:
            observed = observed_case(file, rulebook, now=now)
            found = _answer(observed, rulebook, options, now)
            page = stocking_page(found, options.units or observed.case.units)
            return Answered(page, found, page.sections[1].lines, VERDICTS.index(found.verdict))

        return print_folder(options.file, "Room on the shelf", answered, options)
    else:
        observed = observed_case(case_file(options, options.file), rulebook, now=now)
    answer = _answer(observed, rulebook, options, now)
    if options.explain:
        page = explained(answer, options.explain, rulebook)
        return print_page(page, page, options, told=observed.told)
    page = stocking_page(answer, options.units or observed.case.units)
    return print_page(page, answer, options, told=observed.told)


def _answer(
    observed: ObservedCase, rulebook: Rulebook, options: argparse.Namespace, now: datetime
) -> StockingAnswer:
    from diagnose.uses.stocking import stocking_case, told_newcomers

    return stocking_case(
        rulebook,
        observed,
        told_newcomers(observed.case, rulebook, add=options.add, species=options.species),
        now=now,
        prefer=options.units,
        with_outlook=not options.no_outlook and not options.explain,
    )
