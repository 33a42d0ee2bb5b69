"""`bowlside practice`: find the cause of told cases."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import rulebook_of, state_folder, take

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands


def add(commands: Subcommands) -> None:
    """Adds `bowlside practice`."""
    command = commands.add_parser(
        "practice",
        help="practise on told cases: look for facts, name the cause, see how sure you should be",
        description="Tells a case as its keeper told it. Looking for a fact costs minutes; name a "
        "cause at any time and say how sure you are. Results are kept on this machine only.",
    )
    command.add_argument(
        "--level", type=int, choices=(1, 2, 3), help="1 plain facts, 2 few, 3 few, and some mislead"
    )
    command.add_argument(
        "--fresh", action="store_true", help="cases made up from the rulebook, not the worked ones"
    )
    command.add_argument(
        "--seed", type=int, help="fixes the order of cases, so that a class gets the same ones"
    )
    command.add_argument("--rounds", type=int, default=1, help="how many cases (default: 1)")
    command.add_argument("--learner", metavar="NAME", help="whose record it is (default: me)")
    command.add_argument(
        "--cases", metavar="DIR", type=Path, help="a folder of your own worked cases"
    )
    command.add_argument(
        "--keep-in", metavar="DIR", type=Path, help="where results are kept (default: your own)"
    )
    command.add_argument(
        "--results",
        action="store_true",
        help="print the kept results as CSV (of --learner alone, where named)",
    )
    command.add_argument(
        "--by",
        choices=("learner", "cause", "question"),
        help="with --results: put together by this, weakest first, in the --format wanted",
    )
    take(command, "--rulebook", "--format")
    command.set_defaults(run=_practice)


def _practice(options: argparse.Namespace) -> int:
    keep_in = options.keep_in or state_folder("practice")
    if options.results:
        return _results(keep_in, options)
    if options.by is not None:
        raise ValueError("--by puts results together: write `--results --by cause`.")
    if options.rounds < 1:
        raise ValueError("--rounds: at least one case, please.")
    import random

    from diagnose.practice.sitting import Wanted, practise
    from diagnose.practice.table import Voice
    from diagnose.rulebook.places import bundled

    seed = options.seed if options.seed is not None else random.SystemRandom().randrange(10**6)
    practise(
        rulebook_of(options),
        (bundled("knowledge"), *options.rulebook),
        options.cases or bundled("cases"),
        keep_in,
        Wanted(options.level, options.fresh, options.rounds, seed, options.learner or "me"),
        Voice(ask=_typed, say=print),
        datetime.now,
    )
    return 0


def _results(keep_in: Path, options: argparse.Namespace) -> int:
    """The kept results as CSV, or put together as an answer in any format."""
    from diagnose.practice.record import csv_text, kept

    results = tuple(r for r in kept(keep_in) if options.learner in (None, r.learner))
    if options.by is None:
        sys.stdout.write(csv_text(results))
        return 0
    from diagnose.commands.printing import print_page
    from diagnose.practice.summary import summary, summary_page

    rows = summary(results, options.by)
    return print_page(summary_page(rows, options.by, rulebook_of(options)), rows, options)


def _typed(prompt: str) -> str:
    """A line from the keyboard, or from a pipe, where it is shown again."""
    line = input(prompt)
    if not sys.stdin.isatty():
        print(line)
    return line
