"""What cannot all be true in one case: clashing times, more deaths than animals, and so on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from diagnose.intake.case import Case
from diagnose.intake.moments import Moment, hours_before_asking, hours_before_first_death
from diagnose.intake.rough import ends, sum_of_counts
from diagnose.intake.yaml_document import Path

#: How much later than the asking a moment may seem to be, hours: a named day or part of a day is
#: wide.
DAY_SLACK_H, PART_OF_DAY_SLACK_H, CLOCK_SLACK_H = 24.0, 12.0, 0.1
#: Events are asked about for this long before the first death.
ASKED_ABOUT_H = 14 * 24.0


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two statements that exclude each other: where to look, why, and what to do."""

    path: Path
    problem: str
    hint: str


def contradictions(case: Case, now: datetime) -> tuple[Contradiction, ...]:
    """Every contradiction of the case. `now` stands in where the time of asking is not told."""
    return (
        *_in_container(case),
        *_in_stock(case),
        *_in_deaths(case, case.asked_at or now),
        *_in_times(case, case.asked_at or now),
        *_in_names(case, case.asked_at or now),
    )


def _in_container(case: Case) -> Iterator[Contradiction]:
    box = case.container
    if (
        box.room_min_c is not None
        and box.room_max_c is not None
        and box.room_min_c > box.room_max_c
    ):
        yield Contradiction(
            ("container", "room_min"),
            "the coldest room temperature is above the warmest.",
            "Exchange `room_min` and `room_max`.",
        )
    if box.sun == "none" and box.sun_hours:
        yield Contradiction(
            ("container", "sun_hours"),
            "`sun` is none, yet the sun shines on it.",
            "Keep the true one.",
        )
    if box.heater == "none" and box.heater_setpoint_c is not None:
        yield Contradiction(
            ("container", "heater_setpoint"),
            "there is no heater to set.",
            "Say `heater: working` or leave it out.",
        )


def _in_stock(case: Case) -> Iterator[Contradiction]:
    stock = case.stock
    if stock.adults is None:
        return
    for name in ("females", "males", "berried"):
        count = getattr(stock, name)
        if count is not None and ends(count)[0] > ends(stock.adults)[1]:
            yield Contradiction(
                ("stock", name),
                f"{count} {name} among {stock.adults} adults cannot be.",
                "`adults` counts males and females together.",
            )
    if stock.females is not None and stock.males is not None:
        both = ends(stock.females)[0] + ends(stock.males)[0]
        if both > ends(stock.adults)[1] and max(stock.females, stock.males) <= stock.adults:
            yield Contradiction(
                ("stock", "adults"),
                f"{stock.females} females and {stock.males} males exceed {stock.adults} adults.",
                "`adults` counts males and females together.",
            )


def animals_before(case: Case) -> int | None:
    """Shrimp of every stage before the losses began, at most as many as told; None if no stage was
    counted, or one has no upper end.
    """
    stock = case.stock
    adults = stock.adults
    if adults is None and (stock.females is not None or stock.males is not None):
        adults = sum_of_counts(stock.females, stock.males)
    stages = (adults, stock.juveniles, stock.hatchlings)
    most = sum(ends(count)[1] for count in stages if count is not None)
    counted = any(count is not None for count in stages) and math.isfinite(most)
    return int(most) if counted else None


def _in_deaths(case: Case, asked_at: datetime) -> Iterator[Contradiction]:
    deaths = case.deaths
    if deaths is None:
        return
    bodies = sum(count for _, count in deaths.counts)
    dead = max(bodies, deaths.dead or 0)
    at: Path = ("deaths", "dead") if deaths.dead else ("deaths", "counts")
    if deaths.dead is not None and bodies > ends(deaths.dead)[1]:
        yield Contradiction(
            ("deaths", "counts"),
            f"the counts add up to {bodies}, more than the {deaths.dead} dead told.",
            "Each count is of bodies found since the one before.",
        )
    before = animals_before(case)
    fewest = max(bodies, ends(deaths.dead)[0] if deaths.dead else 0)
    if deaths.of is not None and fewest > ends(deaths.of)[1]:
        yield Contradiction(
            at, f"{dead} dead of {deaths.of} cannot be.", "`of` counts all, dead and living."
        )
    elif before is not None and fewest > before:
        yield Contradiction(
            at,
            f"{dead} dead, but only {before} animals in `stock`.",
            "`stock` counts animals of all ages before the first death, and those added since.",
        )
    told_by_itself = ("from_first_death", "beside_deaths", "long_before")
    if deaths.first is not None and deaths.first.kind in told_by_itself:
        yield Contradiction(
            ("deaths", "first"),
            "the first death is told by itself.",
            "Write a date or how long ago.",
        )
        return
    first = deaths.first
    later = [(("deaths", "last"), deaths.last)] if deaths.last is not None else []
    counted = [(("deaths", "counts", i), when) for i, (when, n) in enumerate(deaths.counts) if n]
    for path, moment in [*later, *counted]:
        hours = hours_before_first_death(moment, asked_at=asked_at, first_death=first)
        if hours is not None and hours > _slack(moment) + (_slack(first) if first else 0.0):
            yield Contradiction(
                path, f"`{moment.text}` is before the first death.", "Check it against `first`."
            )


def _in_times(case: Case, asked_at: datetime) -> Iterator[Contradiction]:
    first = case.deaths.first if case.deaths is not None else None
    said: list[tuple[Path, Moment | None]] = [
        *((("readings", i, "at"), reading.at) for i, reading in enumerate(case.readings)),
        *((("events", i, "at"), event.at) for i, event in enumerate(case.events)),
    ]
    if case.deaths is not None:
        said += [(("deaths", "first"), first), (("deaths", "last"), case.deaths.last)]
        said += [(("deaths", "counts", i), when) for i, (when, _) in enumerate(case.deaths.counts)]
    for path, moment in said:
        if moment is None:
            continue
        hours = hours_before_asking(moment, asked_at=asked_at, first_death=first)
        if hours is not None and hours < -_slack(moment):
            when = "the time of asking" if case.asked_at is not None else "now"
            yield Contradiction(
                path,
                f"`{moment.text}` is later than {when} ({asked_at:%Y-%m-%d %H:%M}).",
                "Correct the date, or `asked_at`.",
            )


def _in_names(case: Case, asked_at: datetime) -> Iterator[Contradiction]:
    for index, name in enumerate(case.not_seen):
        if name in case.seen:
            yield Contradiction(
                ("not_seen", index), f"`{name}` is both seen and not seen.", "Keep the true one."
            )
    first = case.deaths.first if case.deaths is not None else None
    for index, name in enumerate(case.not_done):
        for event in case.events:
            if event.what == name and _in_the_fortnight(event.at, asked_at, first):
                yield Contradiction(
                    ("not_done", index),
                    f"`{name}` is among what was not done, yet it is in the log.",
                    "`not_done` speaks of the two weeks before the first death. Keep the true one.",
                )
                break


def _in_the_fortnight(at: Moment | None, asked_at: datetime, first: Moment | None) -> bool:
    if at is None:
        return True
    if at.kind == "long_before":
        return False
    if at.kind == "beside_deaths":
        return at.hours < 0.0
    hours = hours_before_first_death(at, asked_at=asked_at, first_death=first)
    if hours is None:
        hours = hours_before_asking(at, asked_at=asked_at, first_death=first)
    return hours is None or 0.0 <= hours <= ASKED_ABOUT_H


def _slack(moment: Moment) -> float:
    if not moment.clock_told:
        return DAY_SLACK_H + moment.slack_h
    return CLOCK_SLACK_H if ":" in moment.text else PART_OF_DAY_SLACK_H
