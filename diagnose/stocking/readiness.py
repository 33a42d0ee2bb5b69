"""Whether animals may be added to a container: the verdict, how many, when, and after what."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from diagnose.findings.observation import Observation
from diagnose.intake.case import Case
from diagnose.rulebook.terms import Gate, Rulebook
from diagnose.stocking.account import Account
from diagnose.stocking.judgement import Judge, Judgement, Met
from diagnose.stocking.largest import largest_for
from diagnose.stocking.prospect import Newcomers, Site, site, with_newcomers

#: Further ahead than this nobody plans, and what is shut then needs more than time.
LONGEST_WAIT_DAYS = 365
#: No container here carries more animals than this.
MOST_ANIMALS = 100_000
#: Observations of age, which grow by a day each day.
AGES = ("film_age_days", "container_age_days", "substrate_age_days", "days_since_a_death")
HOURS_PER_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Readiness:
    """The answer to "may these be added?".

    now: the largest number of the asked-for stage for which the verdict is "add now", of these
    within_measure so many that all together stay within the keepers' measure a litre. limit: what
    is short; with "add now", what would be short for one more. later: that number once every gate
    that can be mended has been and what is unknown turns out well, `mend` the gates in question;
    None if one cannot be mended. earliest: the first day on which waiting alone would open every
    gate for the animals asked for (and what is unknown turns out well); None if waiting is not
    enough.
    """

    newcomers: Newcomers
    place: Site
    judgement: Judgement
    limit: str
    now: int
    within_measure: int
    later: int | None
    mend: tuple[Gate, ...]
    earliest: date | None

    @property
    def shut(self) -> tuple[Met, ...]:
        return self.judgement.shut


def readiness(
    rulebook: Rulebook,
    case: Case,
    observations: Mapping[str, Observation],
    newcomers: Newcomers,
    *,
    asked_at: datetime,
    account: Account | None = None,
) -> Readiness:
    """The verdict on adding these animals to this container.

    account: of the container; None takes the trade's measure alone for what it carries.

    The number searched for is that of grown ones, or of young ones where only those are asked for;
    the other stage stays as asked. Order and repeats of observations change nothing.
    """
    place = site(case, observations, rulebook, newcomers, account, now=asked_at)
    desk = _Desk(rulebook, place, newcomers)
    asked = desk.judge(place, newcomers)
    now = desk.largest(place)
    at_best, mend = desk.mended(place)
    later = desk.largest(at_best) if at_best is not None else None
    limit = asked.limit or desk.judge(place, desk.sized(now + 1)).limit
    days = desk.days_to_wait(place, asked)
    return Readiness(
        newcomers=newcomers,
        place=place,
        judgement=asked,
        limit=limit,
        now=now,
        within_measure=min(now, desk.within_measure(place)),
        later=later,
        mend=mend,
        earliest=asked_at.date() + timedelta(days=days) if days is not None else None,
    )


class _Desk:
    """Asks one judge about one container under several suppositions."""

    def __init__(self, rulebook: Rulebook, place: Site, newcomers: Newcomers) -> None:
        self._rulebook, self._newcomers = rulebook, newcomers
        supposed = {name for gate in rulebook.stocking.values() for name, _ in gate.mends}
        supposed |= {name for fact in rulebook.stocking_facts.values() for name, _ in fact.assume}
        names = {*with_newcomers(place, newcomers, rulebook), *supposed}
        self._judge = Judge(rulebook, names)

    def sized(self, number: int) -> Newcomers:
        """The newcomers with another number of the stage asked for."""
        if self._newcomers.adults == 0 and self._newcomers.juveniles > 0:
            return replace(self._newcomers, juveniles=number)
        return replace(self._newcomers, adults=number)

    def judge(self, place: Site, newcomers: Newcomers) -> Judgement:
        known = with_newcomers(place, newcomers, self._rulebook)
        return self._judge.judge(known[name] for name in sorted(known))

    def largest(self, place: Site) -> int:
        """The largest number that may be added now; 0 if not even one. One more never helps, so
        halving finds it.
        """

        def fits(number: int) -> bool:
            return self.judge(place, self.sized(number)).verdict == "add now"

        return largest_for(fits, MOST_ANIMALS)

    def within_measure(self, place: Site) -> int:
        """The largest number with which all together stay within the keepers' measure a litre."""
        usual = self._rulebook.numbers["usual_adults_per_l"].value

        def fits(number: int) -> bool:
            known = with_newcomers(place, self.sized(number), self._rulebook)
            item = known.get("adults_per_l_after")
            return item is not None and isinstance(item.value, float) and item.value <= usual

        return largest_for(fits, MOST_ANIMALS)

    def mended(self, place: Site) -> tuple[Site | None, tuple[Gate, ...]]:
        """The container once its shut gates are mended and unknown facts turn out well, and those
        gates.

        Gates that a smaller number opens are left alone; None if one has no remedy, or if something
        is unknown that nothing can be supposed of.
        """
        few = self.judge(place, self.sized(1))
        if any(not fact.assume for fact in few.unknown):
            return None, ()
        place = self._supposing(place, dict(self._assumed(few)))
        gates: dict[str, Gate] = {}
        for _ in self._rulebook.stocking:
            shut = [met.gate for met in self.judge(place, self.sized(1)).shut]
            hopeless = [gate for gate in shut if not gate.mends or gate.id in gates]
            if hopeless:
                return None, (*gates.values(), *(g for g in hopeless if g.id not in gates))
            if not shut:
                break
            gates.update({gate.id: gate for gate in shut})
            place = self._supposing(place, {n: v for gate in shut for n, v in gate.mends})
        return place, tuple(gates.values())

    def days_to_wait(self, place: Site, asked: Judgement) -> int | None:
        """Whole days after which waiting alone opens every gate; None if it never does."""
        place = self._supposing(place, dict(self._assumed(asked)))

        def open_after(days: int) -> bool:
            then = self._after(place, asked, days)
            return self.judge(then, self._newcomers).verdict == "add now"

        if open_after(0):
            return 0
        if not open_after(LONGEST_WAIT_DAYS):
            return None
        low, high = 0, LONGEST_WAIT_DAYS
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if open_after(middle) else (middle, high)
        return high

    def _assumed(self, judged: Judgement) -> list[tuple[str, str | float]]:
        return [pair for fact in judged.unknown for pair in fact.assume]

    def _supposing(self, place: Site, values: Mapping[str, str | float]) -> Site:
        known = dict(place.known)
        for name, value in values.items():
            known[name] = Observation(name, value, "estimated", "supposed")
        return replace(place, known=known)

    def _after(self, place: Site, asked: Judgement, days: int) -> Site:
        """The container that many days later, if nothing is done but waiting: what is older, and
        without what passes by itself of what stands against adding now.
        """
        known = dict(place.known)
        for name in AGES:
            item = known.get(name)
            if item is not None and isinstance(item.value, float):
                known[name] = replace(item, value=item.value + days)
        # Of gates that say the same thing only the strongest is told; all of them have to pass.
        fired = (firing for firing in asked.trace.evidence.values() if firing.decibans > 0.0)
        gates = [self._rulebook.stocking[firing.argument.id] for firing in fired]
        passed = [gate for gate in gates if _passes(gate, known) <= days]
        values = {name: value for gate in passed for name, value in gate.mends if name in known}
        if days > 0:
            place = replace(place, carries_now_g=None)
        return self._supposing(replace(place, known=known), values)


def _passes(gate: Gate, known: Mapping[str, Observation]) -> float:
    """Days until a gate opens by itself, whatever else; infinite if it does not."""
    if gate.passes_after_days is None:
        return math.inf
    since = known.get(gate.since) if gate.since else None
    gone = float(since.value) / HOURS_PER_DAY if since and isinstance(since.value, float) else 0.0
    return gate.passes_after_days - gone
