"""The command `bowlside`: parse, call a use-case, render. Everything heavy is imported only when
it is needed.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose import __version__
from diagnose.learn_commands import add_practice, add_reasons
from diagnose.outlook_command import add_outlook

if TYPE_CHECKING:
    from rich.console import Console

    from diagnose.case_triage import CaseAnswer
    from diagnose.rulebook.terms import Rulebook

#: The input cannot be used; the message says what would be right.
BAD_INPUT = 3
#: The rules were read, and a check found an error in them.
RULES_IN_ERROR = 1
#: The program itself failed (the code that sysexits.h gives an internal software error).
OWN_FAULT = 70
#: Columns of an error message: what the narrowest usual terminal shows.
ERROR_WIDTH = 80
FORMATS = ("terminal", "json", "markdown")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command line and returns the exit code: 0 done, 1 rules in error, 2 misused, 3 bad
    input."""
    _make_output_safe()
    # pydantic would read through all that is installed beside it, for plugins to its models.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    options = parser().parse_args(arguments)
    if not hasattr(options, "run"):
        options.parser.print_help()
        return 0
    try:
        code: int = options.run(options)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return 130
    except (ValueError, OSError) as error:
        _print_error(_sentence(error))
        return BAD_INPUT
    except Exception as error:  # a keeper at midnight must never be shown a traceback
        kind = type(error).__name__
        _print_error(
            f"bowlside itself failed ({kind}: {error}). Your files are untouched. Please report "
            "this with the command you ran."
        )
        return OWN_FAULT


def _make_output_safe() -> None:
    """A terminal that cannot show a character gets a stand-in, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _print_error(text: str) -> None:
    """Writes to stderr in lines of 80 columns, each problem with its further lines indented."""
    from textwrap import wrap

    for line in text.splitlines():
        lines = wrap(
            line,
            ERROR_WIDTH,
            subsequent_indent="  ",
            break_long_words=False,  # a path or a name must stay whole to be found
            break_on_hyphens=False,
        )
        print("\n".join(lines), file=sys.stderr)


def _sentence(error: Exception) -> str:
    if isinstance(error, OSError) and error.filename:
        return f"{error.filename}: cannot be read: {(error.strerror or 'unknown reason').lower()}."
    return str(error)


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = argparse.ArgumentParser(
        prog="bowlside",
        description="Why are they dying, and what to do in the next hour: for keepers of dwarf "
        "shrimp in small planted containers.",
    )
    top.add_argument("--version", action="version", version=f"bowlside {__version__}")
    top.set_defaults(parser=top)
    commands = top.add_subparsers(title="commands", metavar="COMMAND")
    _add_triage(commands)
    _add_case(commands)
    _add_rulebook(commands)
    add_reasons(commands, _add_rulebook_option, rulebook)
    add_practice(commands, _add_rulebook_option, rulebook)
    from diagnose.keeping_commands import add_keeping_commands

    add_keeping_commands(commands, rulebook, console, _add_rulebook_option)
    add_outlook(commands, rulebook, console, _add_rulebook_option)
    return top


def _add_rulebook_option(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--rulebook",
        metavar="DIR",
        type=Path,
        action="append",
        default=[],
        help="a folder of your own rules, laid over the bundled ones",
    )


def _add_triage(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "triage",
        help="find the likely causes of losses: by questions, or from a case file or a folder",
        description="Without FILE it asks, one question at a time. With FILE it answers that case: "
        "ranked likely causes, what to do now, what to find out and what could hurt. A folder is "
        "answered with one table.",
    )
    command.add_argument(
        "file", metavar="FILE", type=Path, nargs="?", help="a case file or a folder"
    )
    command.add_argument(
        "--format", choices=FORMATS, default="terminal", help="how to write the answer"
    )
    command.add_argument(
        "--explain", metavar="CAUSE", help="show all that speaks for and against one cause"
    )
    command.add_argument(
        "--units", choices=("metric", "us"), help="units in the answer (default: the case file's)"
    )
    command.add_argument(
        "--no-estimates",
        action="store_true",
        help="leave out what the container model reckons for what nobody measured",
    )
    command.add_argument(
        "--answer-schema", action="store_true", help="print the JSON Schema of --format json"
    )
    asking = command.add_argument_group("when it asks")
    asking.add_argument(
        "--plain", action="store_true", help="ask line by line: for pipes and screen readers"
    )
    asking.add_argument(
        "--answers", metavar="ANSWERS", type=Path, help="play in a file of `question: answer` lines"
    )
    asking.add_argument("--resume", action="store_true", help="go on with the last session")
    asking.add_argument("--save", metavar="CASE", type=Path, help="write the case to this file")
    _add_rulebook_option(command)
    command.set_defaults(run=_triage)


def _add_case(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "case",
        help="start a case file, check one, or print its schema",
        description="Case files are YAML: one container, its animals, its log and what was seen.",
    )
    command.set_defaults(parser=command)
    actions = command.add_subparsers(title="actions", metavar="ACTION")
    new = actions.add_parser("new", help="print an empty case file with hints, or write it to FILE")
    new.add_argument("file", metavar="FILE", type=Path, nargs="?", help="where to write it")
    new.set_defaults(run=_case_new)
    check = actions.add_parser(
        "check", help="say what is wrong in a case file, and what is missing"
    )
    check.add_argument("file", metavar="FILE", type=Path, help="a case file")
    _add_rulebook_option(check)
    check.set_defaults(run=_case_check)
    schema = actions.add_parser("schema", help="print the JSON Schema that editors complete with")
    _add_rulebook_option(schema)
    schema.set_defaults(run=_case_schema)


def _add_rulebook(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
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
    _add_json_format(check)
    _add_rulebook_option(check)
    check.set_defaults(run=_rulebook_check)
    audit = actions.add_parser(
        "audit",
        help="score the rules on worked cases",
        description="Runs every case that says what it expects, and reports how often the rules "
        "are right, how far beliefs may be trusted, what misled them, what no case exercises, and "
        "which observations earn their keep.",
    )
    _add_cases(audit)
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
        help="a folder of published rows (YAML lists), scored apart",
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
    _add_json_format(audit)
    _add_rulebook_option(audit)
    audit.set_defaults(run=_rulebook_audit)
    calibrate = actions.add_parser(
        "calibrate",
        help="fit the one temperature of all beliefs on the tune split",
        description="Fits the temperature by log loss on the cases of the tune split, and shows by "
        "cross-validation what it is worth on cases a fit has not seen.",
    )
    _add_cases(calibrate)
    calibrate.add_argument(
        "--folds", metavar="N", type=int, default=5, help="parts to hold out in turn (default: 5)"
    )
    calibrate.add_argument(
        "--write",
        metavar="FILE",
        type=Path,
        help="store it, with date and figure, in this ranking.yaml",
    )
    _add_json_format(calibrate)
    _add_rulebook_option(calibrate)
    calibrate.set_defaults(run=_rulebook_calibrate)


def _add_json_format(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--format", choices=("terminal", "json"), default="terminal", help="how to write it"
    )


def _add_cases(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "cases",
        metavar="CASES",
        type=Path,
        nargs="?",
        help="a folder of worked cases (default: the bundled ones)",
    )


def rulebook(options: argparse.Namespace) -> Rulebook:
    """The bundled rulebook with the user's folders laid over it, kept ready in the user's cache."""
    from diagnose.places import bundled
    from diagnose.rulebook.compiled import rulebook_of

    cache = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    keep_in = Path(cache) / "bowlside" / "rulebook.json" if not options.rulebook else None
    return rulebook_of((bundled("knowledge"), *options.rulebook), keep_in)


def console(*, stderr: bool = False) -> Console:
    """A console of at most 80 columns that honours NO_COLOR and pipes."""
    from rich.console import Console

    from diagnose.report.terminal import WIDTH

    found = Console(highlight=False, soft_wrap=False, stderr=stderr)
    found.width = min(found.width, WIDTH) if found.is_terminal else WIDTH
    return found


def _triage(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.answer import answer_schema

        return _print_json(answer_schema())
    if options.file is None:
        return _session(options)
    if options.plain or options.answers or options.resume or options.save:
        raise ValueError(
            "--plain, --answers, --resume and --save are for a session of questions: leave out "
            f"{options.file}, or leave them out."
        )
    if options.file.is_dir():
        from diagnose.shelf import triage_folder

        return triage_folder(
            options.file,
            rulebook(options),
            console(),
            now=datetime.now(),
            ranges_in=_ranges_in(options),
        )
    with _nothing_tidied():
        from diagnose.case_triage import triage_file

        book = rulebook(options)
        result = triage_file(
            options.file,
            book,
            now=datetime.now(),
            prefer=options.units,
            ranges_in=_ranges_in(options),
        )
        _show(result, options)
    return 0


def _ranges_in(options: argparse.Namespace) -> Path | None:
    """Where the container model's parameters are; None if nothing is to be estimated."""
    from diagnose.places import bundled

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

        _print_json(as_data(result.answer))
    elif options.format == "markdown":
        from diagnose.report.markdown import markdown

        sys.stdout.write(markdown(result.answer))
    else:
        from diagnose.report.terminal import show

        show(result.answer, console())


def _session(options: argparse.Namespace) -> int:
    """Asks at the terminal, line by line, or plays a file of answers in."""
    talks = sys.stdin.isatty() or options.plain
    if not talks and options.answers is None:
        raise ValueError(
            "Nobody is at the keyboard to be asked. `bowlside triage FILE` answers a case file, "
            "`bowlside case new FILE` starts one; `--plain` takes one answer a line from a pipe, "
            "`--answers FILE` plays a file of answers in."
        )
    from diagnose.places import bundled
    from diagnose.session.mind import mind
    from diagnose.session.sitting import Sitting, sit
    from diagnose.session.voices import (
        OPENING_NAMES,
        answers_voice,
        plain_voice,
        read_answers,
        terminal_voice,
    )

    book = rulebook(options)
    having = mind(book, (bundled("knowledge"), *options.rulebook))
    apart = options.format != "terminal"
    line_by_line = options.plain or not sys.stdout.isatty()
    if options.answers is not None:
        pieces = [f"equipment:{name}" for name in having.asking.equipment]
        names = [*OPENING_NAMES, *pieces, *book.vocabulary]
        voice = answers_voice(read_answers(options.answers, names), console(stderr=apart))
    elif line_by_line:
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        voice = plain_voice(sys.stdin, console(stderr=apart or not sys.stdout.isatty()))
    else:
        voice = terminal_voice(console())
    state = os.environ.get("XDG_STATE_HOME") or os.path.join(
        os.path.expanduser("~"), ".local", "state"
    )
    sitting = Sitting(
        having=having,
        voice=voice,
        folder=Path(state) / "bowlside" / "sessions" if options.answers is None else None,
        now=datetime.now,
        show=lambda result: _show(result, options),
        save=options.save,
        prefer=options.units,
        ranges_in=_ranges_in(options),
    )
    return sit(sitting, resume=options.resume)


def _print_json(data: object) -> int:
    import json

    print(json.dumps(data, indent=2, ensure_ascii=False))
    return 0


def _case_new(options: argparse.Namespace) -> int:
    from diagnose.intake.template import new_case_text

    if options.file is None:
        sys.stdout.write(new_case_text())
        return 0
    if options.file.exists():
        raise ValueError(f"{options.file}: there is a file already; choose another name.")
    options.file.write_text(new_case_text(), encoding="utf-8")
    print(f"Written: {options.file}. Fill in what you know and leave out the rest.")
    return 0


def _case_check(options: argparse.Namespace) -> int:
    from diagnose.case_observed import observed_case

    found = observed_case(options.file, rulebook(options), now=datetime.now())
    print(f"{options.file}: readable. {len(found.observations)} observations follow from it.")
    for text in found.not_logged:
        print(f"- not logged: {text}")
    return 0


def _case_schema(options: argparse.Namespace) -> int:
    from diagnose.intake.schema import case_schema

    return _print_json(case_schema(rulebook(options).vocabulary))


def _rulebook_check(options: argparse.Namespace) -> int:
    from diagnose.places import bundled
    from diagnose.report.rulebook_findings import as_data, as_lines
    from diagnose.rulebook_check import check_rulebook

    checked = check_rulebook(
        options.folder,
        options.rulebook,
        bundled=bundled("knowledge"),
        cases=bundled("cases"),
        now=datetime.now(),
    )
    if options.format == "json":
        _print_json(as_data(checked))
    else:
        _print_lines(as_lines(checked))
    return RULES_IN_ERROR if checked.errors else 0


def _rulebook_audit(options: argparse.Namespace) -> int:
    from diagnose.places import bundled
    from diagnose.report import audit_text
    from diagnose.report.progress import watched
    from diagnose.rulebook_audit import audit_rulebook

    if options.picture is not None:
        from diagnose.report.audit_picture import draw, must_be_drawable

        must_be_drawable(options.picture)
    found = audit_rulebook(
        rulebook(options),
        options.cases or bundled("cases"),
        published=options.published,
        left_out=options.leave_out,
        now=datetime.now(),
        watch=watched("Trying the cases", console(stderr=True)),
        ranges_in=bundled("knowledge") if options.estimates else None,
    )
    if options.picture is not None:
        draw(found, options.picture)
    if options.format == "json":
        return _print_json(audit_text.as_data(found))
    audit_text.show(found, console())
    if options.picture is not None:
        print(f"Drawn: {options.picture}")
    return 0


def _rulebook_calibrate(options: argparse.Namespace) -> int:
    from diagnose.places import bundled
    from diagnose.report import audit_text
    from diagnose.report.progress import watched
    from diagnose.rulebook_audit import calibrate_rulebook

    rules = rulebook(options)
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
        return _print_json(audit_text.calibration_as_data(found))
    _print_lines(audit_text.calibration_lines(found, rules.ranking.temperature))
    if options.write is not None:
        print(f"Stored in {options.write}.")
    return 0


def _print_lines(lines: Sequence[str]) -> None:
    """Lines of text, wrapped at the width of the page; what is wrapped is set in."""
    import textwrap

    width = console().width
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 2)
        print(textwrap.fill(line, width, subsequent_indent=indent, break_on_hyphens=False))
