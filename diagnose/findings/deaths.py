"""The shape of the losses: how many, how fast, at what time of day.

The shape is read off by these rules, in this order:
- none: it is said that nobody died. single: one body in all.
- missing: the number fell, and no bodies were found.
- all_at_once: two or more, at least half of all, within a day.
- burst: two or more within about three days; or three or more, and two thirds of them within three
  days.
- trickle: spread over a week or longer.
Where days were named without an hour, a day either way is allowed. What fits none of these, or
would need a number that was not told, stays unknown.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import TYPE_CHECKING

from diagnose.findings.density import animals_told
from diagnose.findings.observation import Observation, observed
from diagnose.findings.readings import clock_hour
from diagnose.findings.timeline import (
    HOURS_PER_DAY,
    Timeline,
    distinct_counts,
    distinct_events,
    span_words,
)
from diagnose.intake.rough import Either, Rough, RoughCount, ends, image, rough, rough_count

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.moments import Moment

A_DAY_H = HOURS_PER_DAY
BURST_H = 3 * HOURS_PER_DAY
TRICKLE_H = 7 * HOURS_PER_DAY
#: Allowed to a span between days that were named without an hour.
DAYS_SLACK_H = HOURS_PER_DAY
#: Part of the dead that makes a burst with stragglers a burst.
MOST_OF_THEM = 2.0 / 3.0
#: What `all but one` or `two left` says of the share that died where nobody told how many there
#: were, percent (convention of this program, no source).
LEAST_OF_ALL_BUT, MOST_OF_ALL_BUT = 60.0, 99.0
#: From this share within a day the losses came all at once, percent.
AT_ONCE_PERCENT = 50.0
#: Clock hours of bodies: found in the morning, and by day. Later hours tell too little: that is
#: when people come home and look.
MORNING, BY_DAY = (5.0, 10.0), (10.0, 17.0)
#: Deaths watched at two clock times within these hours happened before the light.
BEFORE_LIGHT = (2.0, 7.5)


@dataclass(frozen=True, slots=True)
class Losses:
    """What the case tells of its deaths.

    dead: bodies in all; of: animals there were. bodies: (hours before asking, number), newest
    first. span_h: from the first to the last; longest_h: what it cannot exceed. slack_h: how far
    these may be off. share: percent of all that died, where it was told or can be reckoned.
    """

    dead: int | None
    of: int | None
    share: float | None
    bodies: tuple[tuple[float, int], ...]
    span_h: float | None
    longest_h: float | None
    slack_h: float


def death_observations(case: Case, timeline: Timeline) -> list[Observation]:
    """Shape, share and span of the losses, whether they go on, and the time of day."""
    found = losses(case, timeline)
    made = (
        *_whether(timeline),
        *_shape(case, timeline, found),
        *_share(found),
        *_span(found),
        *_going_on(case, timeline, found),
        *_whom(case),
        *_time_of_day(case, timeline),
    )
    return [replace(item, statement="deaths") for item in made]


def _whether(timeline: Timeline) -> Iterator[Observation]:
    """Whether anybody died; nothing where the case says nothing of it."""
    if timeline.died != "untold":
        yield Observation("losses", timeline.died, "derived", "told of the deaths")


def losses(case: Case, timeline: Timeline) -> Losses:
    """The deaths of a case, put together from the summary, the counts and the log."""
    deaths = case.deaths
    counted = [*distinct_counts(case)]
    if not counted:
        counted = [
            (event.at, 1 if event.count is None else event.count)
            for event in distinct_events(case)
            if event.what == "death" and event.at is not None and event.count != 0
        ]
    bodies = tuple(
        sorted(
            (hours, number)
            for moment, number in counted
            if (hours := timeline.hours_ago(moment)) is not None
        )
    )
    summed = sum(number for _, number in counted)
    told = deaths.dead if deaths is not None else None
    dead = told if told is not None and told >= summed else summed if summed else told
    span, longest, slack = _span_of(case, timeline, bodies, dead)
    of = animals_told(case)
    left = deaths.left if deaths is not None else None
    if dead is None and left is not None and of is not None:
        dead = _less(of, left)
    if of is not None and dead is not None and ends(dead)[0] > ends(of)[1]:
        of = None
    share = deaths.share_percent if deaths is not None else None
    if share is None:
        share = _share_of(dead, of, left)
    elif dead is None and of is not None:
        least, most = ends(image(lambda part, all_of_it: part / 100.0 * all_of_it, share, of))
        dead = rough_count(round(least), most if math.isinf(most) else round(most))
    return Losses(dead, of, share, bodies, span, longest, slack)


def _less(of: int, left: int) -> int:
    """So many died if so many are left."""
    (least, most), (few, many) = ends(of), ends(left)
    return rough_count(max(0.0, least - many), max(0.0, most - few))


def _share_of(dead: int | None, of: int | None, left: int | None) -> float | None:
    """The share of all that died, percent; from `all but one` alone it is at least most of them."""
    if dead is not None and of:
        least, most = ends(dead)
        if math.isinf(most):
            dead = rough_count(least, max(least, ends(of)[1]))  # no more died than there were
        return image(lambda some, all_of_it: min(100.0, 100.0 * some / all_of_it), dead, of)
    if left is None or dead is not None:
        return None
    return 100.0 if left == 0 else rough(LEAST_OF_ALL_BUT, MOST_OF_ALL_BUT)


def _span_of(
    case: Case, timeline: Timeline, bodies: tuple[tuple[float, int], ...], dead: int | None
) -> tuple[float | None, float | None, float]:
    """The span from first to last death, the longest it can have been, and how far off both are."""
    deaths, first = case.deaths, timeline.first_death
    last = deaths.last if deaths is not None else None
    began = timeline.hours_ago(first) if first is not None else None
    clocks = [moment.clock_told for moment in (first, last) if moment is not None]
    slack = 0.0 if all(clocks) else DAYS_SLACK_H
    if deaths is not None and deaths.over_hours is not None:
        return deaths.over_hours, deaths.over_hours, 0.0
    if began is None:
        return None, None, slack
    ended = timeline.hours_ago(last) if last is not None else None
    if ended is None and len(bodies) > 1 and dead == sum(number for _, number in bodies):
        ended = bodies[0][0]
        moments = [moment for moment, _ in distinct_counts(case)]
        slack = slack if all(moment.clock_told for moment in moments) else DAYS_SLACK_H
    if ended is not None:
        span = max(0.0, began - ended)
        return span, span, slack
    return None, max(0.0, began), slack


def _shape(case: Case, timeline: Timeline, found: Losses) -> Iterator[Observation]:
    shapes = [_shape_of(case, timeline, plain) for plain in _all_it_may_be(found)]
    told = sorted({shape for shape in shapes if shape is not None})
    if told and 2 * shapes.count(None) < len(shapes):
        shape = told[0] if len(told) == 1 else Either(tuple(told))
        yield observed("death_shape", shape, "derived", _in_words(found))


def _all_it_may_be(found: Losses) -> list[Losses]:
    """The losses with plain numbers: at every end of what was told no closer, and its middle."""

    def sides(number: float | None) -> list[float | None]:
        if number is None or not isinstance(number, Rough | RoughCount):
            return [number]
        return [side for side in (*ends(number), float(number)) if math.isfinite(side)]

    plain = [
        replace(
            found,
            dead=None if dead is None else int(dead),
            of=None if of is None else int(of),
            share=share,
            span_h=span,
            longest_h=span if longest == found.span_h else longest,
        )
        for dead, of, share, span in product(
            *map(sides, (found.dead, found.of, found.share, found.span_h))
        )
        for longest in ([found.longest_h] if found.span_h is not None else sides(found.longest_h))
        if dead is None or of is None or dead <= of
    ]
    return plain or [found]


def _shape_of(case: Case, timeline: Timeline, found: Losses) -> str | None:
    """The shape by plain numbers."""
    if timeline.died == "none":
        return "none"
    some = bool(found.dead) or (found.dead is None and bool(found.share))
    bodies = case.told.get("bodies")
    if bodies == "none_found" and not isinstance(bodies, Either) and some:
        return "missing"
    if found.dead == 1:
        return "single"
    if found.dead is not None and found.dead >= 2:
        if found.of is not None and 2 * _most_within(found, A_DAY_H) >= found.of:
            return "all_at_once"
        near = _most_within(found, BURST_H)
        if near == found.dead or (found.dead >= 3 and near >= MOST_OF_THEM * found.dead):
            return "burst"
    elif _several_by_share(found) and found.share is not None and found.longest_h is not None:
        if found.share >= AT_ONCE_PERCENT and found.longest_h <= A_DAY_H:
            return "all_at_once"
        if found.longest_h <= BURST_H + found.slack_h:
            return "burst"
    if found.span_h is not None and found.span_h >= TRICKLE_H - found.slack_h:
        return "trickle"
    return None


def _several_by_share(found: Losses) -> bool:
    """Whether no number was told, but a part of them all died."""
    return found.dead is None and bool(found.share)


def _most_within(found: Losses, hours: float) -> int:
    """The most that are known to have died within so many hours."""
    if found.dead is not None and found.longest_h is not None:
        slack = found.slack_h if hours > A_DAY_H else 0.0
        if found.longest_h <= hours + slack:
            return found.dead
    return max(
        (
            sum(n for ago, n in found.bodies if newest <= ago <= newest + hours)
            for newest, _ in found.bodies
        ),
        default=0,
    )


def _in_words(found: Losses) -> str:
    if found.dead is None and found.share is not None:
        return f"{_roughly(found.share)} % dead"
    if not found.dead:
        return "nobody died"
    of = f" of {_roughly(found.of)}" if found.of is not None else ""
    if found.dead is not None and found.span_h is not None and found.dead > 1:
        return f"{_roughly(found.dead)}{of} dead within {span_words(found.span_h)}"
    return f"{_roughly(found.dead or 0)}{of} dead"


def _roughly(number: float) -> str:
    """A number, or from where to where it may lie."""
    low, high = ends(number)
    if low == high:
        return f"{low:.3g}"
    return f"{low:.3g} or more" if math.isinf(high) else f"{low:.3g} to {high:.3g}"


def _share(found: Losses) -> Iterator[Observation]:
    if found.share is None:
        return
    because = f"{_roughly(found.share)} % dead"
    if found.dead is not None and found.of:
        because = f"{_roughly(found.dead)} of {_roughly(found.of)} dead"
    yield observed("deaths_share", found.share, "derived", because)


def _span(found: Losses) -> Iterator[Observation]:
    if (found.dead is None or found.dead < 2) and not _several_by_share(found):
        return
    if found.span_h is not None:
        if found.span_h > 0.0 and found.span_h >= found.slack_h / 2.0:
            because = "from the first death to the last"
            yield observed("deaths_span_hours", found.span_h, "derived", because)
    elif found.longest_h is not None and found.slack_h == 0.0 and found.longest_h <= A_DAY_H:
        because = "no longer than from the first death to the asking"
        yield Observation("deaths_span_hours", found.longest_h, "derived", because)


#: Which sizes died where only these did.
_SIZES: dict[str, tuple[str, ...]] = {
    "young": ("small_first", "hatchlings_only"),
    "grown": ("large_first",),
}


def _whom(case: Case) -> Iterator[Observation]:
    """Who alone died, and what share of the young was lost."""
    deaths = case.deaths
    if deaths is None:
        return
    if deaths.whom in _SIZES:
        words = _SIZES[deaths.whom]
        yield observed("died_sizes", Either(words), "told", f"only the {deaths.whom} ones died")
    elif deaths.whom == "one_kind":
        yield Observation("one_kind_died", "present", "told", "only one of the kinds died")
    if deaths.young_percent is not None:
        because = f"{_roughly(deaths.young_percent)} % of the young lost"
        yield observed("young_lost_share", deaths.young_percent, "told", because)


def _going_on(case: Case, timeline: Timeline, found: Losses) -> Iterator[Observation]:
    """Present when the last body is of the last day and the first is older. Never absent: nobody
    writes down that no body was found today.
    """
    last = case.deaths.last if case.deaths is not None else None
    ago = timeline.hours_ago(last) if last is not None else None
    if ago is None and found.bodies:
        ago = found.bodies[0][0]
    if ago is None or timeline.first_death is None:
        return
    began = timeline.hours_ago(timeline.first_death)
    if case.deaths is not None and case.deaths.last is None and case.deaths.over_hours is not None:
        return  # the span was told, and that it goes on was not
    if began is not None and ago <= A_DAY_H < began:
        yield Observation("deaths_go_on", "present", "derived", "the last death is of the last day")


def _time_of_day(case: Case, timeline: Timeline) -> Iterator[Observation]:
    """The part of the day in which all deaths with a clock time lie; `dawn` only if two clock
    times before the light enclose them.
    """
    deaths = case.deaths
    said: list[Moment] = [moment for moment, _ in distinct_counts(case)]
    if deaths is not None:
        said += [moment for moment in (deaths.first, deaths.last) if moment is not None]
    said += [
        event.at
        for event in distinct_events(case)
        if event.what == "death" and event.at is not None and event.count != 0
    ]
    hours = sorted(
        {
            ago
            for moment in said
            if moment.clock_told
            and moment.kind != "from_first_death"
            and (ago := timeline.hours_ago(moment)) is not None
        }
    )
    if not hours or any(not moment.clock_told for moment in said):
        return
    clocks = [clock_hour(timeline, ago) for ago in hours]
    watched = len(clocks) >= 2 and all(_between(clock, BEFORE_LIGHT) for clock in clocks)
    if watched and max(hours) - min(hours) <= BEFORE_LIGHT[1] - BEFORE_LIGHT[0]:
        yield Observation("death_time", "dawn", "derived", "deaths at two times before light")
    elif all(_between(clock, MORNING) for clock in clocks):
        yield Observation("death_time", "found_in_morning", "derived", "bodies of the morning")
    elif all(_between(clock, BY_DAY) for clock in clocks):
        yield Observation("death_time", "daytime", "derived", "bodies of the day")


def _between(clock: float, hours: tuple[float, float]) -> bool:
    return hours[0] <= clock < hours[1]
