"""The shape of the losses: how many, over what time, at which hour, how long the dead had been
there.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.findings.clock import Clock
from diagnose.findings.crowd import grown
from diagnose.findings.observation import Observation
from diagnose.intake.case import Case, Deaths

DAY_H, BURST_H, WEEK_H = 24.0, 72.0, 168.0
#: A share of this or more lost within a day is "all at once".
HALF_PERCENT = 50.0


def losses(case: Case, clock: Clock) -> Iterator[Observation]:
    """Share, span and shape of the deaths.

    none: told that nobody died. single: one body. all_at_once: half or more within a day.
    burst: several within three days. trickle: spread over a week or longer. Spans in between that
    are neither (three to seven days) count as a burst when most died within three days, else as a
    trickle.
    """
    deaths = case.deaths
    if deaths is None:
        return
    dead = deaths.dead if deaths.dead is not None else sum(n for _, n in deaths.counts) or None
    if dead == 0:
        yield Observation("death_shape", "none", "told", "deaths: none")
        return
    span = _span_h(deaths, clock)
    at_risk = deaths.of or _animals(case)
    share = min(100.0, 100.0 * dead / at_risk) if dead is not None and at_risk else None
    if share is not None:
        because = f"{dead} of {at_risk} died"
        yield Observation("deaths_share", share, "derived", because)
    if span is not None and (dead is None or dead > 1):
        yield Observation("deaths_span_hours", span, "derived", "first to last body")
    shape = _shape(dead, share, span)
    if shape is not None:
        told = f"{dead if dead is not None else 'some'} dead" + (
            f" over {span:.0f} h" if span is not None else ""
        )
        yield Observation("death_shape", shape, "derived", told)


def _animals(case: Case) -> int | None:
    adults = grown(case.stock)
    if adults is None:
        return None
    return adults + (case.stock.juveniles or 0) + (case.stock.hatchlings or 0)


def _span_h(deaths: Deaths, clock: Clock) -> float | None:
    if deaths.over_hours is not None:
        return deaths.over_hours
    ends = [clock.before_asking_h(deaths.last)] if deaths.last is not None else []
    starts = [clock.before_asking_h(clock.first_death)]
    counted = [clock.before_asking_h(m) for m, n in deaths.counts if n]
    known = [h for h in (*ends, *starts, *counted) if h is not None]
    return max(known) - min(known) if len(known) > 1 else None


def _shape(dead: int | None, share: float | None, span: float | None) -> str | None:
    if dead == 1:
        return "single"
    if span is None:
        return None
    if span <= DAY_H and share is not None and share >= HALF_PERCENT:
        return "all_at_once"
    if span <= BURST_H:
        return "burst"
    return "trickle" if span >= WEEK_H or (share or 0.0) < HALF_PERCENT else "burst"
