"""What a class has learned: results put together by learner, by cause or by question asked."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.practice.record import Result
from diagnose.report.pages import Page, Section
from diagnose.report.wording import number, percent
from diagnose.rulebook.terms import Rulebook

By = Literal["learner", "cause", "question"]
BY: tuple[By, ...] = ("learner", "cause", "question")
_HEADS: dict[By, str] = {"learner": "Learner", "cause": "Cause", "question": "Question asked"}


@dataclass(frozen=True, slots=True)
class Row:
    """Answers that belong together. right: share with the right cause named most; score: mean, 0 is
    best; minutes: mean.
    """

    what: str
    answers: int
    right: float
    score: float
    minutes: float


def summary(results: Iterable[Result], by: By) -> tuple[Row, ...]:
    """The results by one key, weakest first, so that what wants teaching stands on top."""
    groups: dict[str, list[Result]] = {}
    for result in results:
        for key in _keys(result, by):
            groups.setdefault(key, []).append(result)
    rows = [_row(key, found) for key, found in groups.items()]
    return tuple(sorted(rows, key=lambda row: (-row.score, row.what)))


def _keys(result: Result, by: By) -> Iterator[str]:
    if by == "question":
        yield from result.asked.split()
    else:
        yield result.learner if by == "learner" else result.cause


def _row(what: str, found: list[Result]) -> Row:
    count = len(found)
    return Row(
        what,
        count,
        sum(result.right for result in found) / count,
        math.fsum(result.score for result in found) / count,
        math.fsum(result.minutes for result in found) / count,
    )


def summary_page(rows: tuple[Row, ...], by: By, rulebook: Rulebook) -> Page:
    """The summary as a page with one table."""
    head = (_HEADS[by], "answers", "right", "mean score", "minutes")
    table = tuple(
        (
            _title(row.what, by, rulebook),
            str(row.answers),
            percent(row.right),
            f"{row.score:.2f}",
            number(row.minutes),
        )
        for row in rows
    )
    said = "Weakest first. A score of 0 is best, 1 worst; naming nothing gives about 0.5."
    if not rows:
        said = "Nothing is kept yet."
    return Page(
        title="Practice",
        note=f"by {by}",
        first=(said,),
        sections=(Section("Results", (), table=(head, *table) if rows else ()),),
    )


def _title(what: str, by: By, rulebook: Rulebook) -> str:
    if by == "cause" and what in rulebook.causes:
        return rulebook.causes[what].title
    if by == "question" and what in rulebook.vocabulary:
        return rulebook.vocabulary[what].asks
    return what
