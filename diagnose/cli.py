"""The command `bowlside`: parse, call a use-case, render. Everything heavy is imported only when
it is needed.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose import __version__

if TYPE_CHECKING:
    from rich.console import Console

    from diagnose.case_triage import CaseAnswer
    from diagnose.rulebook.terms import Rulebook

#: The input cannot be used; the message says what would be right.
BAD_INPUT = 3
#: The program itself failed (the code that sysexits.h gives an internal software error).
OWN_FAULT = 70
#: Columns of an error message: what the narrowest usual terminal shows.
ERROR_WIDTH = 80
FORMATS = ("terminal", "json", "markdown")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command line and returns the exit code: 0 done, 2 misused, 3 bad input."""
    _make_output_safe()
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

        return triage_folder(options.file, rulebook(options), console(), now=datetime.now())
    from diagnose.case_triage import triage_file

    result = triage_file(options.file, rulebook(options), now=datetime.now(), prefer=options.units)
    _show(result, options)
    return 0


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
    beside = options.format != "terminal" or not sys.stdout.isatty()
    place = console(stderr=beside and options.answers is None)
    if options.answers is not None:
        pieces = [f"equipment:{name}" for name in having.asking.equipment]
        names = [*OPENING_NAMES, *pieces, *book.vocabulary]
        heard = console(stderr=options.format != "terminal")
        voice = answers_voice(read_answers(options.answers, names), heard)
    elif options.plain or beside:
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        voice = plain_voice(sys.stdin, place)
    else:
        voice = terminal_voice(place)
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
    from diagnose.case_triage import observed_case

    found = observed_case(options.file, rulebook(options), now=datetime.now())
    print(f"{options.file}: readable. {len(found.observations)} observations follow from it.")
    for text in found.not_logged:
        print(f"- not logged: {text}")
    return 0


def _case_schema(options: argparse.Namespace) -> int:
    from diagnose.intake.schema import case_schema

    return _print_json(case_schema(rulebook(options).vocabulary))
