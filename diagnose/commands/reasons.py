"""`bowlside reasons`: the map of losses, a page on each, a handbook."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import case_file, rulebook_of, take

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.reasons.setting import Setting
    from diagnose.rulebook.terms import Rulebook


def add(commands: Subcommands) -> None:
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
        "--picture",
        metavar="FILE",
        type=Path,
        help="draw the sign that WORDS name, as an SVG file of its own",
    )
    take(command, "--units", "--log", "--rulebook")
    command.set_defaults(run=_reasons)


def _reasons(options: argparse.Namespace) -> int:
    rulebook = rulebook_of(options)
    setting = _setting(options, rulebook)
    if options.handbook is not None:
        from diagnose.reasons.handbook import write_handbook

        print(f"Written: {write_handbook(rulebook, setting, options.handbook)}.")
        return 0
    if options.picture is not None:
        print("\n".join(_picture(rulebook, " ".join(options.words), options.picture)))
        return 0
    print("\n".join(reasons_lines(rulebook, setting, tuple(options.words))))
    return 0


def _picture(rulebook: Rulebook, words: str, file: Path) -> list[str]:
    """Writes the drawing of a sign; what it shows, in words. Raises ValueError for a sign nobody
    drew, with those that are drawn.
    """
    from diagnose.reasons.search import observations_about
    from diagnose.reasons.text import WIDTH, wrap
    from diagnose.report.figures.sign import sign_svg

    drawn = {name: term for name, term in rulebook.vocabulary.items() if term.drawn}
    said = words.strip().lower().replace(" ", "_").replace("-", "_")
    found = (
        [said] if said in drawn else [n for n in observations_about(rulebook, words) if n in drawn]
    )
    if not found:
        raise ValueError(
            f"--picture: no drawing is called `{words}`. There are: {', '.join(sorted(drawn))}."
        )
    if file.suffix.lower() != ".svg":
        raise ValueError(f"--picture {file}: drawings are SVG; choose a name that ends in .svg.")
    term = drawn[found[0]]
    file.write_text(sign_svg(term.name, term.asks, term.drawn) + "\n", encoding="utf-8")
    return [*wrap(term.drawn, WIDTH, "", ""), f"Written: {file}."]


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
    from diagnose.findings.observed_case import observed_case

    observed = observed_case(case_file(options, options.case), rulebook, now=datetime.now())
    return of_case(rulebook, observed, options.units)
