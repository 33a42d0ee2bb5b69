"""The question about adding stock for a case: read, judge, plan the way in, put it together."""

from __future__ import annotations

from datetime import datetime

from diagnose.acclimation.plan import AcclimationPlan, acclimation_plan
from diagnose.acclimation.waters import container_water, water_of
from diagnose.advice.forbidden import known_values, state_of
from diagnose.advice.triage_first import triage_first
from diagnose.findings.density import adults_told
from diagnose.findings.observed_case import ObservedCase, taken_for_granted
from diagnose.intake.adding import Added, read_added
from diagnose.intake.case import Adding, Case
from diagnose.report.stocking_answer import StockingAnswer, stocking_answer
from diagnose.report.wording import Preference
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook, Species
from diagnose.stocking.account import Account, account_of_case
from diagnose.stocking.ahead import inhabited, sun_unsaid
from diagnose.stocking.largest import largest_for
from diagnose.stocking.outlook import Outlook, outlook
from diagnose.stocking.prospect import Newcomers
from diagnose.stocking.readiness import Readiness, readiness

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
    account = account_for(rulebook, observed, newcomers.species, now=now)
    return readiness(rulebook, observed.case, known, newcomers, asked_at=asked_at, account=account)


def account_for(
    rulebook: Rulebook,
    observed: ObservedCase,
    species: Species,
    *,
    now: datetime,
    living: tuple[int, int] | None = None,
) -> Account | None:
    """The account of an observed container; None where nothing can be reckoned."""
    if not observed.case.container.volume_l:
        return None
    from diagnose.bowl.description import BowlError
    from diagnose.bowl.parameters import load_ranges

    try:
        return account_of_case(
            observed.case,
            rulebook,
            species,
            ranges=load_ranges(bundled("knowledge")),
            now=observed.case.asked_at or now,
            known={item.name: item for item in observed.observations},
            living=living,
        )
    except BowlError:
        return None


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
    lived_in = inhabited(case)
    return stocking_answer(
        rulebook,
        ready,
        way_in(rulebook, observed, now=now) if comes else None,
        found,
        triage=triage_first(rulebook, ready.place.known.values()) if lived_in else (),
        values=known_values(state_of(rulebook, ready.place.known.values())) if lived_in else {},
        ask_of_sun=sun_unsaid(case, ready.place.known),
        with_room=_with_room(rulebook, observed, ready, now=now) if found else None,
        today=(case.asked_at or now).date(),
        case=case.title or case.case,
        asked_at=f"{case.asked_at:%Y-%m-%d %H:%M}" if case.asked_at else "",
        assumptions=taken_for_granted(rulebook, case.model_copy(update={"adding": named})),
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


def _with_room(
    rulebook: Rulebook, observed: ObservedCase, ready: Readiness, *, now: datetime
) -> int | None:
    """How many grown newcomers leave room for the young to come; None where it is not reckoned."""
    case, newcomers = observed.case, ready.newcomers
    if newcomers.adults == 0:
        return None
    there = (adults_told(case) or 0, (case.stock.juveniles or 0) + newcomers.juveniles)

    def leaves_room(number: int) -> bool:
        living = (there[0] + number, there[1])
        found = account_for(rulebook, observed, newcomers.species, now=now, living=living)
        return found is not None and found.full_in_weeks[1] is None

    return largest_for(leaves_room, ready.now)


def _outlook(
    rulebook: Rulebook, observed: ObservedCase, ready: Readiness, *, now: datetime
) -> Outlook | None:
    case, newcomers = observed.case, ready.newcomers
    adults = (adults_told(case) or 0) + newcomers.adults
    juveniles = (case.stock.juveniles or 0) + newcomers.juveniles
    account = account_for(
        rulebook, observed, newcomers.species, now=now, living=(adults, juveniles)
    )
    if account is None:
        return None
    return outlook(
        case,
        newcomers.species,
        account,
        adults=adults,
        juveniles=juveniles,
        now=case.asked_at or now,
        knowledge=bundled("knowledge"),
    )
