"""The outlook of a case: adapt it to the container model, run it, and put the answer together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from diagnose.advice.forbidden import (
    CalledFor,
    Values,
    Withheld,
    called_for,
    known_values,
    state_of,
    withheld_among,
)
from diagnose.bowl.description import BowlError
from diagnose.bowl.forecast import forecast
from diagnose.bowl.modelled import TooLittle
from diagnose.bowl.parameters import load_ranges
from diagnose.bowl.what_if import WhatIf, read_what_if
from diagnose.findings.measured_course import against_points
from diagnose.findings.modelled_case import from_case
from diagnose.findings.observed_case import ObservedCase
from diagnose.findings.timeline import timeline_of
from diagnose.intake.case import Reading
from diagnose.report.outlook_answer import OutlookAnswer, outlook_answer
from diagnose.report.wording import Preference
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.account import account_of_case, moves_of_case
from diagnose.stocking.ahead import inhabited

#: Members are drawn from this seed: the same case gives the same outlook.
SEED: Final = 20260226
WEEKS_AHEAD: Final = 4
DAYS_BACK: Final = 14
#: From this share on a change of water is a large one.
LARGE_CHANGE: Final = 0.5


def outlook_of_case(
    rulebook: Rulebook,
    observed: ObservedCase,
    ranges_in: Path,
    *,
    now: datetime,
    what_if: Iterable[str] = (),
    hold_at: float | None = None,
    prefer: Preference | None = None,
    with_moves: bool = True,
    against: Sequence[Reading] = (),
) -> OutlookAnswer:
    """The last two and the next four weeks of a case.

    ranges_in: the folder with the model's parameter ranges. what_if: changes from now on, as said.
    hold_at: how many animals to hold by taking young out; None holds what the container carries.
    against: a measured course to lay over the bands.
    Raises ValueError with a sentence where too little is known or a change is not understood.
    """
    said = tuple(what_if)
    changes = read_what_if(said) if said else None
    case = observed.case
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    asked_at = case.asked_at or now
    found = from_case(case, species, now=asked_at, days_back=DAYS_BACK)
    if isinstance(found, TooLittle):
        raise ValueError(found.reason)
    ranges = load_ranges(ranges_in)
    known = {item.name: item for item in observed.observations}
    measured = against_points(case, against, timeline_of(case, asked_at))
    try:
        account = account_of_case(
            case, rulebook, species, ranges=ranges, now=asked_at, known=known, hold_at=hold_at
        )
        if account is None:
            raise ValueError("The container model cannot run on this container.")
        after = account
        if changes is not None:
            after = (
                account_of_case(
                    case, rulebook, species, ranges=ranges, now=asked_at, known=known,
                    hold_at=hold_at, what_if=changes,
                )
                or account
            )  # fmt: skip
        moves = (
            moves_of_case(case, rulebook, species, ranges=ranges, now=asked_at, known=known)
            if with_moves
            else ()
        )
        result = forecast(
            found,
            ranges,
            SEED,
            account.sustained,
            weeks_ahead=WEEKS_AHEAD,
            what_if=changes,
            sustained_then=after.sustained,
            against=measured,
        )
    except BowlError as odd:
        raise ValueError(f"The container model cannot run on this: {odd}") from None
    return outlook_answer(
        rulebook,
        result,
        found,
        account,
        after if changes is not None else None,
        moves,
        case=case.title or case.case,
        asked_at=asked_at,
        said=said,
        withheld=_forbidden(rulebook, observed, changes),
        before_it=_before(rulebook, observed, changes),
        comfortable_c=species.comfortable.get("temperature_c"),
        assumptions=found.assumed,
        prefer=prefer or case.units,
    )


def steps_of(change: WhatIf) -> tuple[str, ...]:
    """The steps of the rulebook that a change to the coming weeks comes to."""
    names = []
    if change.change_share is not None:
        large = change.change_share >= LARGE_CHANGE
        names += ["large-change-matched" if large else "part-change-matched"]
        names += ["weekly-matched-change"]
    if change.stirred:
        names += ["air-each-night"]
    if change.food == 0.0:
        names += ["stop-feeding"]
    elif change.food is not None or change.feeds_per_week is not None:
        names += ["feed-little"]
    if change.removed:
        names += ["give-some-away"]
    if change.added:
        names += ["mixed-ages"]
    return tuple(names)


def _forbidden(
    rulebook: Rulebook, observed: ObservedCase, change: WhatIf | None
) -> tuple[Withheld, ...]:
    if change is None:
        return ()
    return withheld_among(rulebook, steps_of(change), _told(rulebook, observed))


def _before(
    rulebook: Rulebook, observed: ObservedCase, change: WhatIf | None
) -> tuple[CalledFor, ...]:
    if change is None:
        return ()
    return called_for(rulebook, steps_of(change), _told(rulebook, observed))


def _told(rulebook: Rulebook, observed: ObservedCase) -> Values:
    """What is known of a container that animals live in; nothing forbids a step in an empty one."""
    if not inhabited(observed.case):
        return {}
    return known_values(state_of(rulebook, observed.observations))
