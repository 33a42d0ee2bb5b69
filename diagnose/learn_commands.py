"""The commands for learning, `reasons` and `practice`: their options, and what they print."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.reasons.setting import Setting
    from diagnose.rulebook.terms import Rulebook

LoadRulebook = Callable[[argparse.Namespace], "Rulebook"]


def add_reasons(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    add_rulebook: Callable[[argparse.ArgumentParser], None],
    load: LoadRulebook,
) -> None:
    """Adds `bowlside reasons`."""
    command = commands.add_parser(
        "reasons",
        help="learn the reasons behind losses: the map of all causes, a page on each, a handbook",
        description="Without WORDS it shows all causes, commonest first. With the name of a cause "
        "or of how it harms it opens that page; with two causes it tells them apart; with other "
        "words (a sign, a habit) it finds the pages that speak of them.",
    )
    command.add_argument("words", metavar="WORDS", nargs="*", help="a name, or words to look for")
    command.add_argument(
        "--case", metavar="FILE", type=Path, help="work the numbers through for this container"
    )
    command.add_argument(
        "--handbook", metavar="DIR", type=Path, help="write everything as one HTML file into DIR"
    )
    command.add_argument(
        "--units", choices=("metric", "us"), help="units in sentences (default: the case file's)"
    )
    add_rulebook(command)
    command.set_defaults(run=lambda options: _reasons(options, load(options)))


def _reasons(options: argparse.Namespace, rulebook: Rulebook) -> int:
    setting = _setting(options, rulebook)
    if options.handbook is not None:
        from diagnose.reasons.handbook import write_handbook

        print(f"Written: {write_handbook(rulebook, setting, options.handbook)}.")
        return 0
    print("\n".join(reasons_lines(rulebook, setting, tuple(options.words))))
    return 0


def reasons_lines(rulebook: Rulebook, setting: Setting, words: tuple[str, ...]) -> list[str]:
    """What `bowlside reasons WORDS` prints. Raises ValueError for a query that is no query."""
    from diagnose.reasons import text
    from diagnose.reasons.apart import apart
    from diagnose.reasons.overview import overview
    from diagnose.reasons.page import page_of
    from diagnose.reasons.search import page_called, search

    if not words:
        return text.overview_lines(overview(rulebook))
    query = " ".join(words)
    name = page_called(rulebook, query)
    if name is not None:
        return text.page_lines(page_of(rulebook, name, setting))
    if len(words) == 2 and set(words) <= rulebook.causes.keys():
        return text.comparison_lines(apart(rulebook, words[0], words[1]))
    return text.hit_lines(query, search(rulebook, query))


def _setting(options: argparse.Namespace, rulebook: Rulebook) -> Setting:
    from dataclasses import replace

    from diagnose.reasons.setting import demo, of_case

    if options.case is None:
        return replace(demo(rulebook), prefer=options.units or "metric")
    from diagnose.case_observed import observed_case

    observed = observed_case(options.case, rulebook, now=datetime.now())
    return of_case(rulebook, observed, options.units)


def add_practice(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    add_rulebook: Callable[[argparse.ArgumentParser], None],
    load: LoadRulebook,
) -> None:
    """Adds `bowlside practice`."""
    command = commands.add_parser(
        "practice",
        help="practise on told cases: look for facts, name the cause, see how sure you should be",
        description="Tells a case as its keeper told it. Looking for a fact costs minutes; name a "
        "cause at any time and say how sure you are. Results are kept on this machine only.",
    )
    command.add_argument(
        "--level", type=int, choices=(1, 2, 3), help="1 plain facts, 2 few, 3 two causes at once"
    )
    command.add_argument(
        "--fresh", action="store_true", help="cases made up from the rulebook, not the worked ones"
    )
    command.add_argument(
        "--seed", type=int, help="fixes the order of cases, so that a class gets the same ones"
    )
    command.add_argument("--rounds", type=int, default=1, help="how many cases (default: 1)")
    command.add_argument(
        "--learner", metavar="NAME", default="me", help="whose record it is (default: me)"
    )
    command.add_argument(
        "--cases", metavar="DIR", type=Path, help="a folder of your own worked cases"
    )
    command.add_argument(
        "--keep-in", metavar="DIR", type=Path, help="where results are kept (default: your own)"
    )
    command.add_argument(
        "--results", action="store_true", help="print all kept results as CSV, and stop"
    )
    add_rulebook(command)
    command.set_defaults(run=lambda options: _practice(options, load))


def _practice(options: argparse.Namespace, load: LoadRulebook) -> int:
    state = os.environ.get("XDG_STATE_HOME") or os.path.join(
        os.path.expanduser("~"), ".local", "state"
    )
    keep_in = options.keep_in or Path(state) / "bowlside" / "practice"
    if options.results:
        from diagnose.practice.record import csv_text, kept

        sys.stdout.write(csv_text(kept(keep_in)))
        return 0
    if options.rounds < 1:
        raise ValueError("--rounds: at least one case, please.")
    import random

    from diagnose.places import bundled
    from diagnose.practice.sitting import Wanted, practise
    from diagnose.practice.table import Voice

    seed = options.seed if options.seed is not None else random.SystemRandom().randrange(10**6)
    practise(
        load(options),
        (bundled("knowledge"), *options.rulebook),
        options.cases or bundled("cases"),
        keep_in,
        Wanted(options.level, options.fresh, options.rounds, seed, options.learner),
        Voice(ask=_typed, say=print),
        datetime.now,
    )
    return 0


def _typed(prompt: str) -> str:
    """A line from the keyboard, or from a pipe, where it is shown again."""
    line = input(prompt)
    if not sys.stdin.isatty():
        print(line)
    return line
