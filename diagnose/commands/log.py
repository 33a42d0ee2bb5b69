"""`bowlside log`: what is kept of each container; `bowlside jot`: a line more."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.commands.options import METRIC, folders_of, log_file, rulebook_of, take
from diagnose.commands.printing import console, print_page, print_schema

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.uses.log import Jotted

_NAME: dict[str, Any] = {"metavar": "NAME", "help": "a container of the log"}


def add(commands: Subcommands) -> None:
    _add_jot(commands)
    command = commands.add_parser(
        "log",
        help="keep a log of your containers: make one known, look at it, write it out",
        description="The log lies in one file on this machine and is only ever added to.",
    )
    command.set_defaults(parser=command)
    actions = command.add_subparsers(title="actions", metavar="ACTION")
    know = actions.add_parser("know", help="make a container known from its case file")
    know.add_argument("case", metavar="CASE", type=Path, help="a case file")
    know.add_argument("--name", metavar="NAME", help="what to call it (default: as in the case)")
    take(know, "--log", "--rulebook")
    know.set_defaults(run=_know)
    names = actions.add_parser("names", help="list the containers that are known")
    take(names, "--log")
    names.set_defaults(run=_names)
    show = actions.add_parser("show", help="show what was kept of a container, and its courses")
    show.add_argument("name", **_NAME, nargs="?")
    show.add_argument(
        "--days", type=int, default=28, metavar="DAYS", help="how far back to look (default: 28)"
    )
    take(show, "--log", "--rulebook", "--format", "--units", "--answer-schema", units=METRIC)
    show.set_defaults(run=_show)
    take_in = actions.add_parser("take", help="take a table of readings in; twice adds nothing")
    take_in.add_argument("name", **_NAME)
    take_in.add_argument("table", metavar="TABLE", type=Path, help="a table (CSV, any separator)")
    take_in.add_argument(
        "--column",
        metavar="COLUMN=NAME",
        action="append",
        default=[],
        help="what a column holds: `time`, `date`, a reading with its unit as `nitrite mg/L`, "
        "an event, `note`, or `-` for nothing; kept for the next table with these columns",
    )
    take(take_in, "--log", "--rulebook")
    take_in.set_defaults(run=_take)
    give = actions.add_parser("give", help="write a container's log as a table or a case file")
    give.add_argument("name", **_NAME)
    give.add_argument("--as", dest="form", choices=("csv", "case"), default="csv", help="the form")
    take(give, "--log")
    give.set_defaults(run=_give)
    for name, verb, run in (("pack", "write the whole log to", _pack), ("unpack", "fill", _unpack)):
        action = actions.add_parser(
            name,
            help=f"{verb} one archive" if name == "pack" else "fill an empty log from an archive",
        )
        action.add_argument("archive", metavar="ARCHIVE", type=Path, help="the archive's file")
        take(action, "--log")
        action.set_defaults(run=run)


def _add_jot(commands: Subcommands) -> None:
    jot = commands.add_parser(
        "jot",
        help="jot a line about a logged container, in your own words or by options",
        description="Keeps a line. What is said in words is read as a case text is; what is no "
        "fact stays as a note. Options stand before NAME and WORDS, or without words.",
    )
    jot.add_argument("name", **_NAME)
    jot.add_argument(
        "words", metavar="WORDS", nargs="*", help="what happened, in plain words, after all options"
    )
    told = jot.add_argument_group("told by options, each as often as you like")
    for option, metavar, meaning in (
        ("--reading", "READING", "what was measured, as `nitrite 0.25 mg/L`"),
        ("--event", "EVENT", "what was done, as `water-change 20 %%`"),
        ("--sign", "SIGN", "what is seen; `no gasping` is looked for and not seen"),
    ):
        told.add_argument(option, metavar=metavar, action="append", default=[], help=meaning)
    told.add_argument("--count", metavar="COUNT", help="who is there, as `12 adults, 30 juveniles`")
    told.add_argument("--death", metavar="NUMBER", help="how many died; 0 says that nobody did")
    told.add_argument("--note", metavar="TEXT", help="anything to remember")
    jot.add_argument(
        "--at", metavar="WHEN", default="now", help="the time it is about (default: now)"
    )
    jot.add_argument("--undo", action="store_true", help="take the last jot back")
    take(jot, "--log", "--rulebook")
    jot.set_defaults(run=_jot)


def _now() -> datetime:
    return datetime.now().replace(microsecond=0)


def _know(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened
    from diagnose.uses.log import make_known

    rulebook = rulebook_of(options)
    with opened(log_file(options)) as store:
        name, count = make_known(store, options.case, rulebook, name=options.name, now=_now())
    print(f"Known from now on: {name}, with {count} {'entry' if count == 1 else 'entries'}.")
    return 0


def _names(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened

    with opened(log_file(options), create=False) as store:
        for name in store.names():
            print(name)
    return 0


def _jot(options: argparse.Namespace) -> int:
    from diagnose.log.as_case import said
    from diagnose.log.store import opened
    from diagnose.uses.log import jot_fields, jot_words

    by_options = any(
        (options.reading, options.event, options.sign, options.count, options.death, options.note)
    )
    if sum((bool(options.words), bool(by_options), options.undo)) != 1:
        raise ValueError(
            'Say one thing: bowlside jot NAME "changed a fifth", or by options, or --undo.'
        )
    with opened(log_file(options), create=False) as store:
        if options.undo:
            for entry in store.undo(options.name, now=_now()):
                print(f"Taken back: {said(entry.jot)}")
            return 0
        rulebook = rulebook_of(options)
        if options.words:
            words = " ".join(options.words)
            done = jot_words(
                store,
                options.name,
                words,
                rulebook,
                folders_of(options),
                at=options.at,
                now=_now(),
            )
        else:
            from diagnose.log.options import fields_of

            fields = fields_of(
                readings=options.reading,
                events=options.event,
                signs=options.sign,
                count=options.count,
                death=options.death,
                note=options.note,
            )
            done = jot_fields(store, options.name, fields, rulebook, at=options.at, now=_now())
    _say_kept(done)
    return 0


def _say_kept(done: Jotted) -> None:
    from diagnose.log.as_case import said

    for jot in done.jots:
        when = f"{jot.at:%Y-%m-%d %H:%M}" if jot.at else "time unknown"
        print(f"Kept  {when}  {jot.kind:<7}  {said(jot)}")
    for words in done.unread:
        print(f"Kept as a note, not understood: {words}", file=sys.stderr)
    if done.kept.clock_back:
        print(
            "This machine's clock stands before the last entry of the log. It is kept; look at "
            "the clock.",
            file=sys.stderr,
        )


def _show(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened
    from diagnose.report.log_answer import FORMAT, LogAnswer, drawn_in, log_answer
    from diagnose.report.log_page import log_page, show_log

    if options.answer_schema:
        return print_schema(LogAnswer, FORMAT)
    if options.name is None:
        raise ValueError(
            "Name a container: bowlside log show NAME. `bowlside log names` lists them."
        )
    if options.days < 1:
        raise ValueError("--days: write a whole number from 1 on.")
    with opened(log_file(options), create=False) as store:
        described, entries = store.described(options.name), store.entries(options.name)
    rulebook, now = rulebook_of(options), _now()
    found = log_answer(
        described, entries, rulebook, days=options.days, now=now, prefer=options.units
    )
    drawn = drawn_in(found, options.units)
    if options.format == "terminal":
        show_log(drawn, console())
        return 0
    return print_page(log_page(drawn), found, options)


def _take(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened
    from diagnose.uses.log_tables import take_table

    with opened(log_file(options), create=False) as store:
        taken = take_table(
            store,
            options.name,
            options.table,
            rulebook_of(options),
            columns=options.column,
            now=_now(),
        )
    for column, holds in taken.mapping:
        print(f"{column}: {holds}")
    print(f"Taken: {taken.added} entries; {taken.known} were there already.")
    return 0


def _give(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened
    from diagnose.uses.log import logged_file
    from diagnose.uses.log_tables import table_of

    with opened(log_file(options), create=False) as store:
        if options.form == "csv":
            sys.stdout.write(table_of(store.entries(options.name)))
        else:
            sys.stdout.write(logged_file(store, options.name, now=_now()).text)
    return 0


def _pack(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened

    if options.archive.exists():
        raise ValueError(f"{options.archive}: there is a file already; choose another name.")
    with opened(log_file(options), create=False) as store:
        options.archive.write_text(store.packed(), encoding="utf-8")
    print(f"Written: {options.archive}.")
    return 0


def _unpack(options: argparse.Namespace) -> int:
    from diagnose.log.store import opened

    text = options.archive.read_text(encoding="utf-8")
    with opened(log_file(options)) as store:
        store.unpack(text)
        print(f"Unpacked: {', '.join(store.names())}.")
    return 0
