"""`bowlside care`: the week that keeps a container well."""

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


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "care",
        help="plan the week for one container: food, water, light, readings, young",
        description="The week that keeps this container well, with the reason for each line.",
    )
    take(command, "file", "--log", "--rulebook", "--no-outlook", "--answer-schema", "--format")
    command.add_argument(
        "--calendar", metavar="FILE.ics", type=Path, help="write the plan as a calendar file too"
    )
    command.set_defaults(run=_care)


def _care(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.care_answer import FORMAT, CareAnswer

        return print_schema(CareAnswer, FORMAT)
    if options.file is None:
        raise ValueError(
            "Name a case file: bowlside care FILE. `bowlside case new FILE` starts one."
        )
    from diagnose.findings.observed_case import observed_case
    from diagnose.report.care_answer import care_answer, care_page
    from diagnose.uses.care import care_of_case

    now = datetime.now()
    rulebook = rulebook_of(options)
    observed = observed_case(case_file(options, options.file), rulebook, now=now)
    plan = care_of_case(rulebook, observed, now=now, with_outlook=not options.no_outlook)
    title = observed.case.title or observed.case.case
    answer = care_answer(rulebook, plan, case=title)
    code = print_page(care_page(answer), answer, options, told=observed.told)
    if options.calendar is not None and plan.triage_first:
        print("No calendar was written: triage comes first.", file=sys.stderr)
    elif options.calendar is not None:
        from diagnose.care.calendar import calendar

        options.calendar.write_bytes(calendar(plan, title, now=now))
        print(f"Written: {options.calendar}.", file=sys.stderr)
    return code
