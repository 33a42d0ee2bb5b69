"""`bowlside round`: the morning round over every logged container."""

from __future__ import annotations

import argparse
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.commands.options import METRIC, log_file, rulebook_of, take
from diagnose.commands.printing import print_page, print_schema

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.log.store import Store
    from diagnose.report.pages import Figure
    from diagnose.report.wording import Preference
    from diagnose.rulebook.terms import Rulebook

#: Days that the small courses of a page show.
DAYS_DRAWN = 28


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "round",
        help="the morning round: who needs eyes first, what begins to go wrong, what is due",
        description="One screen for all logged containers, those that need eyes first on top. As a "
        "page it has the courses of their temperature and counts, to print for the wall.",
    )
    take(
        command,
        "--log",
        "--rulebook",
        "--format",
        "--units",
        "--answer-schema",
        units=METRIC,
    )
    command.set_defaults(run=_round)


def _round(options: argparse.Namespace) -> int:
    from diagnose.report.round_page import FORMAT, Round, round_page

    if options.answer_schema:
        return print_schema(Round, FORMAT)
    from diagnose.log.store import opened
    from diagnose.report.keepers_units import said_in
    from diagnose.rulebook.places import bundled
    from diagnose.uses.round import Warnings, in_order, in_several, look_at

    now = datetime.now().replace(second=0, microsecond=0)
    rulebook = rulebook_of(options)
    warnings = Warnings(bundled("knowledge") / "warnings" / "course.yaml")
    figures: dict[str, tuple[Figure, ...]] = {}
    with opened(log_file(options), create=False) as store:
        logs = {name: store.entries(name) for name in store.names()}
        looks = [
            look_at(store.described(name), entries, warnings, rulebook, now=now)
            for name, entries in logs.items()
        ]
        if options.format == "html":
            figures = {
                look.name: _drawn(store, look.name, place, rulebook, now, options.units)
                for place, look in enumerate(looks)
            }
    shared = in_several(looks, logs, rulebook, now=now)
    found = Round(FORMAT, f"{now:%Y-%m-%d %H:%M}", shared, tuple(in_order(looks)))
    found = said_in(found, options.units)
    return print_page(round_page(found, figures), found, options)


def _drawn(
    store: Store, name: str, place: int, rulebook: Rulebook, now: datetime, prefer: Preference
) -> tuple[Figure, ...]:
    """The small courses of one container's last weeks."""
    from diagnose.report.figures.small_course import small_courses
    from diagnose.report.log_answer import WHEN, log_answer

    log = log_answer(store.described(name), store.entries(name), rulebook, days=DAYS_DRAWN, now=now)
    points = {
        course.name: tuple(
            ((now - datetime.strptime(point.at, WHEN)).total_seconds() / 3600, point.value)
            for point in course.points
        )
        for course in log.courses
    }
    return small_courses(
        points.get("temperature", ()), points.get("adults", ()), prefer, f"jar-{place}"
    )
