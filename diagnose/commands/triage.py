"""`bowlside triage`: a case, a folder of cases, or a talk."""

from __future__ import annotations

import argparse
import atexit
import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.commands.options import (
    case_file,
    folders_of,
    rulebook_of,
    state_folder,
    take,
    told_text,
)
from diagnose.commands.printing import console, print_each, print_json, print_page

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.uses.triage import CaseAnswer

#: A case could not be read.
BAD_INPUT = 3
_FILE = "a case file, a folder, or the name of a logged container"


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "triage",
        help="find the likely causes of losses: by questions, or from a case file or a folder",
        description="Without FILE it asks, one question at a time. With FILE it answers that case: "
        "ranked likely causes, what to do now, what to find out and what could hurt. A folder is "
        "answered with one table, the most urgent first.",
    )
    take(command, "file", "--log", "--format", "--units", "--answer-schema", file={"help": _FILE})
    command.add_argument(
        "--explain", metavar="CAUSE", help="show all that speaks for and against one cause"
    )
    command.add_argument(
        "--all", action="store_true", help="the whole answer, not only what fits one page"
    )
    command.add_argument(
        "--no-estimates",
        action="store_true",
        help="leave out what the container model reckons for what nobody measured",
    )
    command.add_argument(
        "--pages",
        metavar="DIR",
        type=Path,
        help="of a folder: write a page for the shelf and one for each container into DIR",
    )
    command.add_argument(
        "--story",
        metavar="TEXT",
        help="answer a text in plain words: a message, a post; - reads from a pipe",
    )
    asking = command.add_argument_group("when it asks")
    asking.add_argument(
        "--plain", action="store_true", help="ask line by line: for pipes and screen readers"
    )
    asking.add_argument(
        "--answers", metavar="ANSWERS", type=Path, help="play in a file of `question: answer` lines"
    )
    asking.add_argument("--resume", action="store_true", help="go on with the last session")
    asking.add_argument(
        "--save",
        metavar="FILE",
        type=Path,
        help="write the case, or a page that carries it, to this file (.yaml, .html)",
    )
    take(command, "--rulebook")
    command.set_defaults(run=_triage)


def _triage(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.answer import answer_schema

        return print_json(answer_schema())
    if options.story is not None:
        return _story(options)
    if options.file is None:
        return _session(options)
    if options.plain or options.answers or options.resume or options.save:
        raise ValueError(
            "--plain, --answers, --resume and --save are for a session of questions: leave out "
            f"{options.file}, or leave them out."
        )
    if options.file.is_dir():
        return _shelf(options)
    if options.pages is not None:
        raise ValueError("--pages is for a folder of cases; one answer is --format html.")
    with _nothing_tidied():
        from diagnose.uses.triage import triage_file

        book = rulebook_of(options)
        result = triage_file(
            case_file(options, options.file),
            book,
            now=datetime.now(),
            prefer=options.units,
            ranges_in=_ranges_in(options),
        )
        _show(result, options)
    return 0


def _shelf(options: argparse.Namespace) -> int:
    """Answers every case of a folder; 3 where one of them could not be read."""
    from diagnose.report.progress import watched
    from diagnose.report.shelf import jar_line, shelf_page
    from diagnose.uses.shelf import cases_in, shelf

    files = cases_in(options.file)
    jars = shelf(
        files,
        rulebook_of(options),
        now=datetime.now(),
        prefer=options.units,
        ranges_in=_ranges_in(options),
        with_pages=options.pages is not None,
        watch=watched("Looking at the jars", console(stderr=True), len(files)),
    )
    if options.pages is not None:
        from diagnose.uses.shelf_pages import write_pages

        print(f"Written: {write_pages(jars, options.pages)}.", file=sys.stderr)
    if options.format == "json":
        print_each([jar_line(jar) for jar in jars])
    elif options.format == "html":
        from diagnose.report.web_page import shelf_html

        sys.stdout.write(shelf_html([replace(jar, link="") for jar in jars]))
    else:
        print_page(shelf_page(jars), jars, options)
    return BAD_INPUT if any(jar.problem for jar in jars) else 0


def _story(options: argparse.Namespace) -> int:
    """Answers a text, and says on the side what of it was not read."""
    if options.file is not None or options.answers or options.resume:
        raise ValueError("--story takes the text alone: leave out the case file and the session.")
    with _nothing_tidied():
        from diagnose.uses.story import triage_text

        data, name = told_text(options.story)
        result, read = triage_text(
            data,
            name,
            rulebook_of(options),
            folders_of(options),
            now=datetime.now().replace(second=0, microsecond=0),
            prefer=options.units,
            ranges_in=_ranges_in(options),
        )
        _show(result, options)
        if read.story.unread:
            console(stderr=True).print(
                f"Not understood: {'; '.join(read.story.unread)}", markup=False, highlight=False
            )
    return 0


def _ranges_in(options: argparse.Namespace) -> Path | None:
    """Where the container model's parameters are; None if nothing is to be estimated."""
    from diagnose.rulebook.places import bundled

    return None if options.no_estimates else bundled("knowledge")


@contextmanager
def _nothing_tidied() -> Iterator[None]:
    """Memory is not searched for garbage meanwhile, nor once more when the program ends: for one
    case that takes a sixth of the time, and all of it is given back a moment later anyway.
    """
    searching = gc.isenabled()
    gc.disable()
    atexit.register(gc.freeze)
    try:
        yield
    finally:
        if searching:
            gc.enable()


def _show(result: CaseAnswer, options: argparse.Namespace) -> None:
    if options.explain:
        ranked, place, looks_like = result.explained(options.explain)
        from diagnose.report.terminal import explain

        explain(ranked, console(), place=place, looks_like=looks_like)
    elif options.format == "json":
        from diagnose.report.answer import as_data

        print_json(as_data(result.answer))
    elif options.format == "markdown":
        from diagnose.report.markdown import markdown

        sys.stdout.write(markdown(result.answer))
    elif options.format == "html":
        from diagnose.uses.triage_page import triage_page

        sys.stdout.write(triage_page(result))
    else:
        from diagnose.report.terminal import show

        show(result.answer, console(), everything=options.all)


def _session(options: argparse.Namespace) -> int:
    """Asks at the terminal, line by line, or plays a file of answers in."""
    talks = sys.stdin.isatty() or options.plain
    if not talks and options.answers is None:
        raise ValueError(
            "Nobody is at the keyboard to be asked. `bowlside triage FILE` answers a case file, "
            "`bowlside case new FILE` starts one; `--plain` takes one answer a line from a pipe, "
            "`--answers FILE` plays a file of answers in."
        )
    from diagnose.dialogue.adapters import (
        OPENING_NAMES,
        answers_adapter,
        plain_adapter,
        read_answers,
        terminal_adapter,
    )
    from diagnose.dialogue.belief_state import session_rules
    from diagnose.dialogue.session import Setting, hold_session
    from diagnose.report.keepers_units import saying_in
    from diagnose.rulebook.places import bundled

    book = rulebook_of(options)
    rules = session_rules(book, (bundled("knowledge"), *options.rulebook))
    apart = options.format != "terminal"
    line_by_line = options.plain or not sys.stdout.isatty()
    if options.answers is not None:
        pieces = [f"equipment:{name}" for name in rules.asking.equipment]
        names = [*OPENING_NAMES, *pieces, *book.vocabulary]
        adapter = answers_adapter(read_answers(options.answers, names), console(stderr=apart))
    elif line_by_line:
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        adapter = plain_adapter(sys.stdin, console(stderr=apart or not sys.stdout.isatty()))
    else:
        adapter = terminal_adapter(console())
    setting = Setting(
        rules=rules,
        adapter=replace(adapter, say=saying_in(options.units, adapter.say)),
        folder=state_folder("sessions") if options.answers is None else None,
        now=datetime.now,
        show=lambda result: _show(result, options),
        save=options.save,
        prefer=options.units,
        ranges_in=_ranges_in(options),
    )
    return hold_session(setting, resume=options.resume)
