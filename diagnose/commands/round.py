"""`bowlside round`: the morning round over every logged container."""

from __future__ import annotations

import argparse
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.commands.options import log_file, rulebook_of, take
from diagnose.commands.printing import print_lines

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "round",
        help="the morning round: who needs eyes first, what begins to go wrong, what is due",
        description="One screen for all logged containers, those that need eyes first on top.",
    )
    take(command, "--log", "--rulebook")
    command.set_defaults(run=_round)


def _round(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened
    from diagnose.rulebook.places import bundled
    from diagnose.uses.round import Warnings, in_order, look_at

    now = datetime.now()
    rulebook = rulebook_of(options)
    warnings = Warnings(bundled("knowledge") / "warnings" / "course.yaml")
    with opened(log_file(options), create=False) as store:
        looks = [
            look_at(store.described(name), store.entries(name), warnings, rulebook, now=now)
            for name in store.names()
        ]
    for look in in_order(looks):
        lines = [look.name]
        if look.dying:
            lines.append(f"  {look.dying} died: run bowlside triage {look.name}")
        for warned in look.warned:
            lines.append(f"  Warning: {warned.title}, usually {warned.usual_days:.0f} days ahead.")
            lines += [f"    why: {because}" for because in warned.because]
            lines += [f"    to be sure: {warned.confirm}", f"    least: {warned.least}"]
        if look.due:
            lines.append(f"  due: {', '.join(look.due)}")
        if len(lines) == 1:
            lines.append("  nothing is due, nothing warns")
        print_lines(lines)
    return 0
