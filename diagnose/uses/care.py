"""The week of care for a case: read, reckon, put it together."""

from __future__ import annotations

from datetime import datetime
from functools import partial

from diagnose.acclimation.plan import Water
from diagnose.acclimation.waters import container_water, water_of
from diagnose.advice.forbidden import known_values, state_of
from diagnose.advice.triage_first import triage_first
from diagnose.care.week import Waters, Week, week
from diagnose.findings.density import adults_told
from diagnose.findings.observed_case import ObservedCase
from diagnose.findings.readings import latest
from diagnose.findings.timeline import timeline_of
from diagnose.intake.case import Case
from diagnose.report.wording import Preference, quantity
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook, Species
from diagnose.stocking.account import Account
from diagnose.stocking.ahead import inhabited, state
from diagnose.stocking.outlook import Outlook, outlook
from diagnose.uses.stocking import account_for


def care_of_case(
    rulebook: Rulebook,
    observed: ObservedCase,
    *,
    now: datetime,
    with_outlook: bool = True,
    prefer: Preference | None = None,
) -> Week:
    """The plan for an observed case. prefer: units in sentences; by default the case's own.

    Raises ValueError where its volume is not known.
    """
    case = observed.case
    asked_at = case.asked_at or now
    known = {item.name: item for item in observed.observations}
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    here = container_water(known)
    waters = _waters(case, here, asked_at)
    standing = state(case, known, rulebook, timeline_of(case, asked_at))
    told = (*known.values(), *standing)
    lived_in = inhabited(case)
    triage = triage_first(rulebook, told) if lived_in else ()
    account = account_for(rulebook, observed, species, now=now)
    ahead = None
    if with_outlook and account is not None and not triage:
        ahead = _outlook(observed, species, account, now=now)
    return week(
        case,
        known,
        rulebook,
        species,
        waters,
        ahead,
        carries=account.middle if account is not None else None,
        triage=triage,
        values=known_values(state_of(rulebook, told)) if lived_in else {},
        say=partial(quantity, prefer=prefer or case.units),
        now=asked_at,
    )


def _waters(case: Case, here: Water, asked_at: datetime) -> Waters:
    """The new water is the one measured as such, else the tap."""
    timeline = timeline_of(case, asked_at)
    new = water_of(case, "new_water", now=asked_at)
    if new == Water():
        new = water_of(case, "tap", now=asked_at)

    def of_new(what: str) -> float | None:
        for where in ("new_water", "tap"):
            sample = latest(case, timeline, what, where)
            if sample is not None:
                return sample.value
        return None

    chlorine = latest(case, timeline, "chlorine", "tap")
    return Waters(here, new, of_new("nitrate") or 0.0, chlorine.value if chlorine else None)


def _outlook(
    observed: ObservedCase, species: Species, account: Account, *, now: datetime
) -> Outlook | None:
    case, adults = observed.case, adults_told(observed.case)
    if adults is None:
        return None
    return outlook(
        case,
        species,
        account,
        adults=adults,
        juveniles=case.stock.juveniles or 0,
        now=case.asked_at or now,
        knowledge=bundled("knowledge"),
    )
