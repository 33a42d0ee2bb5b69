"""`bowlside rulebook`: check the rules, score them, calibrate beliefs."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import rulebook_of, take
from diagnose.commands.printing import console, print_json, print_lines, print_page

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands


#: The rules were read, and a check found an error in them.
RULES_IN_ERROR = 1
_PLAIN = {"choices": ("terminal", "json"), "help": "how to write it"}


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "rulebook",
        help="check the rules, score them on worked cases, calibrate beliefs",
        description="For whoever edits the rules: what is wrong with them, how well they diagnose, "
        "and how far beliefs may be taken at their word.",
    )
    command.set_defaults(parser=command)
    actions = command.add_subparsers(title="actions", metavar="ACTION")
    check = actions.add_parser(
        "check",
        help="say what is wrong in a folder of rules, and how to mend it",
        description="Many small checks of a folder of rules. Exits with 1 when something is an "
        "error, not for mere advice.",
    )
    check.add_argument(
        "folder",
        metavar="DIR",
        type=Path,
        nargs="?",
        help="a folder of rules (default: the bundled ones); one without a vocabulary is laid over "
        "the bundled ones",
    )
    take(check, "--format", format=_PLAIN)
    take(check, "--rulebook")
    check.set_defaults(run=_rulebook_check)
    audit = actions.add_parser(
        "audit",
        help="score the rules on worked cases",
        description="Runs every case that says what it expects, and reports how often the rules "
        "are right, how far beliefs may be trusted, what misled them, what no case exercises, and "
        "which observations earn their keep.",
    )
    take(audit, "cases")
    audit.add_argument(
        "--leave-out",
        metavar="OBSERVATION",
        action="append",
        default=[],
        help="take an observation as unknown in every case (may be given again)",
    )
    audit.add_argument(
        "--published",
        metavar="DIR",
        type=Path,
        help="a folder of published rows and histories (case files), scored apart",
    )
    audit.add_argument(
        "--estimates",
        action="store_true",
        help="try the cases once more without their readings, and with the container model's "
        "estimates in their place",
    )
    audit.add_argument(
        "--picture",
        metavar="FILE",
        type=Path,
        help="draw the reliability curve and the confusion table: FILE.svg or FILE.png (needs the "
        "extra `pictures`)",
    )
    take(audit, "--format")
    take(audit, "--rulebook")
    audit.set_defaults(run=_rulebook_audit)
    calibrate = actions.add_parser(
        "calibrate",
        help="fit the one temperature of all beliefs on the tune split",
        description="Fits the temperature by log loss on the cases of the tune split, and shows by "
        "cross-validation what it is worth on cases a fit has not seen.",
    )
    take(calibrate, "cases")
    calibrate.add_argument(
        "--folds", metavar="N", type=int, default=5, help="parts to hold out in turn (default: 5)"
    )
    calibrate.add_argument(
        "--reports",
        metavar="DIR",
        type=Path,
        help="fit instead what each channel of telling is worth, on these reports and the worked "
        "cases together (takes minutes)",
    )
    calibrate.add_argument(
        "--write",
        metavar="FILE",
        type=Path,
        help="store it, with date and figure, in this ranking.yaml",
    )
    take(calibrate, "--format", format=_PLAIN)
    take(calibrate, "--rulebook")
    calibrate.set_defaults(run=_rulebook_calibrate)


def _rulebook_check(options: argparse.Namespace) -> int:
    from diagnose.audit.rulebook_check import check_rulebook
    from diagnose.report.rulebook_findings import as_data, as_lines
    from diagnose.rulebook.places import bundled

    checked = check_rulebook(
        options.folder,
        options.rulebook,
        bundled=bundled("knowledge"),
        cases=bundled("cases"),
        now=datetime.now(),
    )
    if options.format == "json":
        print_json(as_data(checked))
    else:
        print_lines(as_lines(checked))
    return RULES_IN_ERROR if checked.errors else 0


def _rulebook_audit(options: argparse.Namespace) -> int:
    from diagnose.report import audit_text
    from diagnose.report.progress import watched
    from diagnose.rulebook.places import bundled
    from diagnose.uses.audit import audit_rulebook

    if options.picture is not None:
        from diagnose.report.audit_picture import draw, must_be_drawable

        must_be_drawable(options.picture)
    found = audit_rulebook(
        rulebook_of(options),
        options.cases,
        bundled_cases=bundled("cases"),
        published=options.published,
        left_out=options.leave_out,
        now=datetime.now(),
        watch=watched("Trying the cases", console(stderr=True)),
        ranges_in=bundled("knowledge") if options.estimates else None,
    )
    if options.picture is not None:
        draw(found, options.picture)
    print_page(audit_text.audit_page(found), audit_text.as_data(found), options)
    if options.picture is not None:
        print(f"Drawn: {options.picture}", file=sys.stderr)
    return 0


def _rulebook_calibrate(options: argparse.Namespace) -> int:
    from diagnose.report import audit_text
    from diagnose.report.progress import watched
    from diagnose.rulebook.places import bundled
    from diagnose.uses.audit import calibrate_rulebook

    rules = rulebook_of(options)
    if options.reports is not None:
        from diagnose.uses.audit import fit_channels_of

        if options.write is not None:
            raise ValueError(
                "--write stores a temperature; factors of channels are put in by hand."
            )
        fit = fit_channels_of(
            rules,
            options.cases or bundled("cases"),
            options.reports,
            folds=options.folds,
            now=datetime.now(),
            watch=watched("Trying the cases", console(stderr=True)),
        )
        if options.format == "json":
            return print_json(audit_text.channels_as_data(fit))
        print_lines(audit_text.channel_lines(fit))
        return 0
    found = calibrate_rulebook(
        rules,
        options.cases or bundled("cases"),
        folds=options.folds,
        now=datetime.now(),
        watch=watched("Trying the cases", console(stderr=True)),
    )
    if options.write is not None:
        from diagnose.audit.stored_temperature import store

        store(options.write, found, datetime.now().date())
    if options.format == "json":
        return print_json(audit_text.calibration_as_data(found))
    print_lines(audit_text.calibration_lines(found, rules.ranking.temperature))
    if options.write is not None:
        print(f"Stored in {options.write}.")
    return 0
