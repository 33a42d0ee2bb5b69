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
    from diagnose.care.week import Week
    from diagnose.commands.folder import Answered
    from diagnose.commands.options import Subcommands
    from diagnose.findings.observed_case import CaseFile, ObservedCase
    from diagnose.report.care_answer import CareAnswer
    from diagnose.rulebook.terms import Rulebook


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "care",
        help="plan the week for one container: food, water, light, readings, young",
        description="The week that keeps this container well, with the reason for each line.",
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
    from diagnose.report.care_answer import care_page

    now = datetime.now()
    rulebook = rulebook_of(options)
    if options.file.is_dir():
        from diagnose.commands.folder import print_folder

        plans: list[tuple[str, Week]] = []

        def answered(file: Path) -> Answered:
            _, plan, answer = _planned(file, rulebook, options, now)
            plans.append((answer.case, plan))
            return _answered(answer)

        code = print_folder(options.file, "The week on the shelf", answered, options)
        _write_calendar(plans, options, now)
        return code
    observed, plan, answer = _planned(case_file(options, options.file), rulebook, options, now)
    code = print_page(care_page(answer), answer, options, told=observed.told)
    _write_calendar([(observed.case.title or observed.case.case, plan)], options, now)
    return code


def _planned(
    file: CaseFile, rulebook: Rulebook, options: argparse.Namespace, now: datetime
) -> tuple[ObservedCase, Week, CareAnswer]:
    from diagnose.findings.observed_case import observed_case
    from diagnose.report.care_answer import care_answer
    from diagnose.uses.care import care_of_case

    observed = observed_case(file, rulebook, now=now)
    plan = care_of_case(
        rulebook, observed, now=now, with_outlook=not options.no_outlook, prefer=options.units
    )
    title = observed.case.title or observed.case.case
    return (
        observed,
        plan,
        care_answer(rulebook, plan, case=title, prefer=options.units or observed.case.units),
    )


def _answered(answer: CareAnswer) -> Answered:
    """What a list for the wall has of a container: the days of its tasks in the coming week."""
    from diagnose.commands.folder import Answered
    from diagnose.report.care_answer import care_page, within_a_week

    return Answered(care_page(answer), answer, within_a_week(answer), not answer.triage_first)


def _write_calendar(
    plans: list[tuple[str, Week]], options: argparse.Namespace, now: datetime
) -> None:
    if options.calendar is None:
        return
    from diagnose.care.calendar import calendar

    well = [(title, plan) for title, plan in plans if not plan.triage_first]
    for title, plan in plans:
        if plan.triage_first:
            print(f"{title}: not in the calendar, triage comes first.", file=sys.stderr)
    if well:
        options.calendar.write_bytes(calendar(well, now=now))
        print(f"Written: {options.calendar}.", file=sys.stderr)
    else:
        print("No calendar was written.", file=sys.stderr)
