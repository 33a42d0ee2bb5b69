"""`bowlside outlook`: the last two and the next four weeks of a container."""

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
    from diagnose.findings.observed_case import CaseFile, ObservedCase
    from diagnose.intake.case import Case, Reading
    from diagnose.report.outlook_answer import OutlookAnswer
    from diagnose.report.pages import Figure
    from diagnose.rulebook.terms import Rulebook


_WAYS = {
    "choices": ("terminal", "json", "markdown", "html", "csv"),
    "help": "how to write the answer",
}


def add(commands: Subcommands) -> None:
    """Adds `bowlside outlook`."""
    command = commands.add_parser(
        "outlook",
        help="show the last two and the next four weeks of a container: water and colony",
        description="Reckons with a model of the container: temperature, oxygen, ammonia, nitrite, "
        "nitrate and the colony, day by day, with bands; what the container carries; and how many "
        "young to take out.",
    )
    take(
        command,
        "file",
        "--log",
        "--rulebook",
        "--units",
        "--answer-schema",
        "--format",
        format=_WAYS,
    )
    command.add_argument(
        "--what-if",
        metavar="CHANGE",
        action="append",
        default=[],
        help='lay changed weeks over the present ones: "feed half", "move off the sill", '
        '"change 30 %% twice a week", "remove 40 young", "add 6 adults" (may be given again; all '
        "hold together)",
    )
    command.add_argument(
        "--hold",
        metavar="NUMBER",
        type=int,
        help="how many animals to hold by taking young out (default: what the container carries)",
    )
    command.add_argument(
        "--picture",
        metavar="FILE",
        type=Path,
        help="draw it: FILE.svg or FILE.png (needs the extra `pictures`)",
    )
    command.add_argument(
        "--against",
        metavar="FILE",
        type=Path,
        help="lay a measured course over the bands: a table like the log beside a case "
        "(at,what,value,unit,...); what it holds is not shown to the model",
    )
    command.set_defaults(run=_outlook)


def _outlook(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.outlook_answer import FORMAT, OutlookAnswer

        return print_schema(OutlookAnswer, FORMAT)
    if options.file is None:
        raise ValueError(
            "Name a case file: bowlside outlook FILE. `bowlside case new FILE` starts one."
        )
    if options.hold is not None and options.hold < 0:
        raise ValueError(f"--hold {options.hold}: a number of animals to hold is 0 or more.")
    if options.picture is not None:
        from diagnose.report.outlook_picture import must_be_drawable

        must_be_drawable(options.picture)
    now = datetime.now()
    rulebook = rulebook_of(options)
    if options.file.is_dir():
        return _shelf(options, rulebook, now)
    observed, answer, shown = _reckoned(case_file(options, options.file), rulebook, options, now)
    if options.picture is not None:
        from diagnose.report.outlook_picture import draw_outlook

        draw_outlook(shown, options.picture)
        print(f"Drawn: {options.picture}.", file=sys.stderr)
    if options.format == "csv":
        from diagnose.report.outlook_answer import outlook_csv

        sys.stdout.write(outlook_csv(answer))
        return 0
    from diagnose.report.outlook_drawing import drawing
    from diagnose.report.outlook_page import outlook_page

    def drawn() -> tuple[Figure, ...]:
        from diagnose.report.figures.bands import bands
        from diagnose.report.pages import Figure

        return tuple(Figure(heading, svg) for heading, svg in bands(shown))

    print_page(outlook_page(shown), answer, options, told=observed.told, figures=drawn)
    if options.format == "terminal":
        print("\n" + "\n".join(drawing(shown)))
    return 0


def _shelf(options: argparse.Namespace, rulebook: Rulebook, now: datetime) -> int:
    """Every case of a folder: which limits the weeks pass, and how many young go out."""
    from diagnose.commands.folder import Answered, print_folder
    from diagnose.report.outlook_page import outlook_page, young_to_go

    if options.picture is not None or options.against is not None or options.format == "csv":
        raise ValueError("--picture, --against and csv are for one container: name its file.")

    def answered(file: Path) -> Answered:
        _, answer, shown = _reckoned(file, rulebook, options, now)
        return Answered(outlook_page(shown), answer, young_to_go(answer), -len(answer.first))

    return print_folder(options.file, "The weeks to come on the shelf", answered, options)


def _reckoned(
    file: CaseFile, rulebook: Rulebook, options: argparse.Namespace, now: datetime
) -> tuple[ObservedCase, OutlookAnswer, OutlookAnswer]:
    """The case, its outlook, and the same in the keeper's units to draw."""
    from diagnose.findings.observed_case import observed_case
    from diagnose.report.outlook_units import shown_in
    from diagnose.rulebook.places import bundled
    from diagnose.uses.outlook import outlook_of_case

    observed = observed_case(file, rulebook, now=now)
    against = () if options.against is None else _course(options.against, observed.case, now)
    answer = outlook_of_case(
        rulebook,
        observed,
        bundled("knowledge"),
        now=now,
        what_if=options.what_if,
        hold_at=options.hold,
        prefer=options.units,
        against=against,
    )
    return observed, answer, shown_in(answer, options.units or observed.case.units)


def _course(file: Path, case: Case, now: datetime) -> tuple[Reading, ...]:
    """The readings of a measured course. Raises ValueError where the file cannot be read."""
    from diagnose.intake.csv_log import read_log

    try:
        data = file.read_bytes()
    except OSError as error:
        raise ValueError(f"--against {file}: {error.strerror or 'it cannot be read'}.") from None
    first = case.deaths.first if case.deaths is not None else None
    log = read_log(
        data, file.name, units=case.units, asked_at=case.asked_at or now, first_death=first
    )
    return log.readings
