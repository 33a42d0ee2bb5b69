"""Where the entries of a case lie in time, measured from the first death and from the asking."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from diagnose.intake.case import Case
from diagnose.intake.moments import Moment, hours_before_asking, hours_before_first_death


@dataclass(frozen=True, slots=True)
class Clock:
    """The two points that times are counted from. `first_death` is None when nobody knows it."""

    asked_at: datetime
    first_death: Moment | None
    somebody_died: bool

    def before_asking_h(self, moment: Moment | None) -> float | None:
        """Hours from the moment to the asking; None when it cannot be told."""
        if moment is None:
            return None
        return hours_before_asking(moment, asked_at=self.asked_at, first_death=self.first_death)

    def before_trouble_h(self, moment: Moment | None) -> float | None:
        """Hours from the moment to the first death, or to the asking when nobody died."""
        if moment is None:
            return None
        if not self.somebody_died:
            return self.before_asking_h(moment)
        return hours_before_first_death(
            moment, asked_at=self.asked_at, first_death=self.first_death
        )


def clock(case: Case, now: datetime) -> Clock:
    """The clock of a case. Without a first death told, the first count or the span of deaths
    gives it.
    """
    deaths = case.deaths
    somebody = deaths is not None and (
        bool(deaths.dead) or deaths.first is not None or any(n for _, n in deaths.counts)
    )
    first = None
    if deaths is not None and somebody:
        first = deaths.first
        counted = [moment for moment, number in deaths.counts if number]
        if first is None and counted:
            first = max(
                counted,
                key=lambda m: hours_before_asking(m, asked_at=now, first_death=None) or 0.0,
            )
        if first is None and deaths.over_hours is not None:
            first = Moment("before_asking", hours=deaths.over_hours, text="by the span of deaths")
    told_shape = case.told.get("death_shape")
    return Clock(now, first, somebody or (told_shape is not None and told_shape != "none"))
