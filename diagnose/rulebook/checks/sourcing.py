"""Checks of where statements come from, and of the numbers that govern belief."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject

YEAR = re.compile(r"\b(1[89]\d\d|20\d\d)\b")
#: What stands in the place of a year where the publication bears none, or the copy that was read
#: shows none.
UNDATED = re.compile(r"\b(no date|undated|year not shown)\b")
#: A title is the longest part of a citation between commas, and no title is shorter than this
#: many words.
TITLE_WORDS = 3
#: How the text behind a published source was read.
SEEN = ("text", "abstract", "secondary", "memory")
#: Base rates are argued one by one; with the unexplained they should still be shares of one whole.
SHARES_SUM = (0.99, 1.01)


def _without_year(subject: Subject) -> Iterable[Problem]:
    for source in subject.rulebook.sources.values():
        if source.kind == "published" and not (
            YEAR.search(source.cite) or UNDATED.search(source.cite)
        ):
            yield Problem(At("sources", source.id, ("cite",)), "the citation has no year.")


def _without_title(subject: Subject) -> Iterable[Problem]:
    for source in subject.rulebook.sources.values():
        if source.kind != "published":
            continue
        parts = re.split(r",|(?<=[a-z])\. ", YEAR.sub("", source.cite))
        if max(len(part.split()) for part in parts) < TITLE_WORDS:
            yield Problem(At("sources", source.id, ("cite",)), "the citation has no title.")


def _how_seen(subject: Subject) -> Iterable[Problem]:
    for source in subject.rulebook.sources.values():
        if source.kind == "published" and source.seen not in SEEN:
            yield Problem(
                At("sources", source.id, ("seen",)), "it does not say how the source was read."
            )


def _base_rates(subject: Subject) -> Iterable[Problem]:
    causes, ranking = subject.rulebook.causes.values(), subject.rulebook.ranking
    for key, shares in (
        ("unexplained_share", [ranking.unexplained_share, *(c.base_rate for c in causes)]),
        (
            "unexplained_share_no_losses",
            [ranking.unexplained_share_no_losses, *(c.base_rate_no_losses for c in causes)],
        ),
    ):
        total = math.fsum(shares)
        if not SHARES_SUM[0] <= total <= SHARES_SUM[1]:
            yield Problem(
                At("ranking", "ranking", (key,)),
                f"all base rates of the question with its unexplained share add up to {total:.3f}.",
            )


def _unreasoned_numbers(subject: Subject) -> Iterable[Problem]:
    """Each number of ranking.yaml has its reason behind it, as a comment on its line."""
    for folder, file, root in subject.written.roots:
        if file != "ranking.yaml":
            continue
        lines = subject.written.texts[folder, file].splitlines()
        for key, value in root.value:
            if value.tag.endswith((":float", ":int")) and "#" not in lines[key.start_mark.line]:
                yield Problem(
                    At("ranking", "ranking", (str(key.value),)),
                    f"`{key.value}` does not say why it is {value.value}.",
                )


def _temperature(subject: Subject) -> Iterable[Problem]:
    ranking = subject.rulebook.ranking
    if not ranking.temperature_note or ranking.temperature <= 0:
        yield Problem(
            At("ranking", "ranking", ("temperature_note",)),
            "the temperature needs to be above 0, with a note on where it comes from.",
        )


CHECKS = (
    Check(
        "published-without-year",
        "error",
        "Add the year, or `no date` where it bears none, or `year not shown` where none was seen.",
        _without_year,
    ),
    Check(
        "published-without-title",
        "error",
        "Write author, year, title and where it appeared.",
        _without_title,
    ),
    Check(
        "published-unseen",
        "error",
        f"Say in `seen` one of: {', '.join(SEEN)}.",
        _how_seen,
    ),
    Check(
        "base-rates-sum",
        "error",
        f"Bring their sum between {SHARES_SUM[0]:g} and {SHARES_SUM[1]:g}.",
        _base_rates,
    ),
    Check(
        "number-without-reason",
        "error",
        "Write the reason or the source behind it, after a #.",
        _unreasoned_numbers,
    ),
    Check(
        "temperature-unexplained",
        "error",
        "Run `bowlside rulebook calibrate`, or say how it was chosen.",
        _temperature,
    ),
)
