"""The question about adding stock for a case: read, judge, plan the way in, put it together."""

from __future__ import annotations

from datetime import datetime

from diagnose.acclimation.plan import AcclimationPlan, acclimation_plan
from diagnose.acclimation.waters import container_water, water_of
from diagnose.advice.triage_first import triage_first
from diagnose.findings.assumptions import assumptions
from diagnose.findings.density import adults_told
from diagnose.findings.observed_case import ObservedCase
from diagnose.intake.adding import Added, read_added
from diagnose.intake.case import Adding, Case
from diagnose.report.stocking_answer import StockingAnswer, stocking_answer
from diagnose.report.wording import Preference
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.ahead import inhabited
from diagnose.stocking.outlook import Outlook, outlook
from diagnose.stocking.prospect import Newcomers
from diagnose.stocking.readiness import Readiness, readiness

MG_PER_G = 1000.0
#: The model draws its members from this; the same case gives the same outlook.
SEED = 20260314
HOW_TO_ASK = (
    'Say who is to come: --add "8 adults" --species NAME, or a section `adding:` in the case file.'
)


def told_newcomers(
    case: Case, rulebook: Rulebook, *, add: str | None = None, species: str | None = None
) -> Newcomers:
    """The animals to come: as asked, else as the case has them.

    Without a name they are of the kind that lives there. Raises ValueError where nobody is to
    come, and for a kind nobody knows.
    """
    planned = case.adding or Adding()
    if add is not None:
        count = read_added(add)
    else:
        count = Added(planned.adults or 0, planned.juveniles or 0)
    if count.adults + count.juveniles == 0:
        raise ValueError(f"Nobody is to come. {HOW_TO_ASK}")
    named = species or planned.species or case.stock.species
    return Newcomers(species_of(rulebook, named), named, count.adults, count.juveniles)


def judged_case(
    rulebook: Rulebook, observed: ObservedCase, newcomers: Newcomers, *, now: datetime
) -> Readiness:
    """The verdict alone."""
    known = {item.name: item for item in observed.observations}
    asked_at = observed.case.asked_at or now
    return readiness(rulebook, observed.case, known, newcomers, asked_at=asked_at)


def stocking_case(
    rulebook: Rulebook,
    observed: ObservedCase,
    newcomers: Newcomers,
    *,
    now: datetime,
    prefer: Preference | None = None,
    with_outlook: bool = True,
) -> StockingAnswer:
    """The whole answer to an observed case. with_outlook: run the container model too."""
    case = observed.case
    ready = judged_case(rulebook, observed, newcomers, now=now)
    named = (case.adding or Adding()).model_copy(update={"species": newcomers.named})
    found = _outlook(rulebook, observed, ready, now=now) if with_outlook else None
    comes = ready.judgement.verdict == "add now"
    return stocking_answer(
        rulebook,
        ready,
        way_in(rulebook, observed, now=now) if comes else None,
        found,
        triage=triage_first(rulebook, ready.place.known.values()) if inhabited(case) else (),
        with_room=_with_room(case, ready, found),
        today=(case.asked_at or now).date(),
        case=case.title or case.case,
        asked_at=f"{case.asked_at:%Y-%m-%d %H:%M}" if case.asked_at else "",
        assumptions=assumptions(case.model_copy(update={"adding": named})),
        prefer=prefer or case.units,
    )


def way_in(rulebook: Rulebook, observed: ObservedCase, *, now: datetime) -> AcclimationPlan:
    """How to bring the newcomers in, from the readings of the bag and of the container."""
    case = observed.case
    planned = case.adding or Adding()
    known = {item.name: item for item in observed.observations}
    return acclimation_plan(
        water_of(case, "bag", now=case.asked_at or now),
        container_water(known),
        rulebook.numbers,
        bag_volume_l=planned.bag_volume_l,
        travel_hours=planned.travel_hours,
    )


def _with_room(case: Case, ready: Readiness, found: Outlook | None) -> int | None:
    """How many grown newcomers leave room for the young to come; None where it is not reckoned."""
    if found is None or ready.newcomers.adults == 0:
        return None
    return min(ready.now, max(0, found.with_room - (adults_told(case) or 0)))


def _outlook(
    rulebook: Rulebook, observed: ObservedCase, ready: Readiness, *, now: datetime
) -> Outlook | None:
    place, case = ready.place, observed.case
    newcomers = ready.newcomers
    if place.carries_g is None:
        return None
    carries = place.carries_g * MG_PER_G / newcomers.species.adult_mass_mg
    hold = rulebook.numbers["thin_at_percent"].value / 100.0
    return outlook(
        case,
        rulebook,
        newcomers.species,
        adults=(adults_told(case) or 0) + newcomers.adults,
        juveniles=(case.stock.juveniles or 0) + newcomers.juveniles,
        carries=carries,
        hold_at=hold * carries,
        weeks=round(rulebook.numbers["outlook_weeks"].value),
        now=case.asked_at or now,
        knowledge=bundled("knowledge"),
        seed=SEED,
    )
