"""The weekly water change: how much, how warm, how hard, and what evaporates in between."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.rulebook.terms import Number
from diagnose.water.mixing import settled_by_routine
from diagnose.water.nitrogen import feed_nitrogen_mg, nitrate_from_n_mg_l

PERCENT = 100.0
MM_CM2_PER_L = 1e4
#: A small change that is made oftener instead of a large one that would shock.
LEAST_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Change:
    """A routine change: share (0 to 1) every so many days, in litres, and why that share.

    nitrate_share: what nitrate alone would ask for in a week. gentle: the differences of the waters
    forced smaller changes, made oftener. falls_short: what nitrate asks for is more than a routine
    gives, so that food or animals must become fewer.
    """

    share: float
    every_days: float
    litres: float
    nitrate_share: float
    nitrate_settles_at_mg_l: float
    gentle: bool
    falls_short: bool


@dataclass(frozen=True, slots=True)
class Evaporation:
    """Water lost: litres a week, and what dissolved solids settle at with either top-up, mg/L."""

    litres_a_week: float
    estimated: bool
    settles_with_tap_mg_l: float | None
    settles_with_pure_mg_l: float | None


def change(
    *,
    volume_l: float,
    still: bool,
    food_mg_a_day: float,
    nitrate_in_new_water_mg_l: float,
    solids_gap_mg_l: float | None,
    solids_mg_l: float | None,
    gh_gap_dgh: float | None,
    numbers: Mapping[str, Number],
) -> Change:
    """The routine change of a container.

    The share is the usual one of practice, or what nitrate asks for if that is more, but never more
    than half at once: then halves come oftener, at most twice a week. Where the two waters lie too
    far apart for it, a smaller share oftener, with the same water a week, at most daily. still: no
    filter and no moved surface. food_mg_a_day: all its nitrogen is taken to end as nitrate, the
    worst case.
    """
    usual = "change_percent_still" if still else "change_percent_filtered"
    days = numbers["change_days"].value
    rise = nitrate_rise_mg_l(food_mg_a_day * days, volume_l, numbers)
    wanted = numbers["nitrate_wanted_mg_l"].value
    asked = share_to_hold(rise, nitrate_in_new_water_mg_l, wanted)
    most = numbers["change_percent_most"].value / PERCENT
    share = max(numbers[usual].value / PERCENT, asked)
    falls_short = False
    if share > most:
        oftenest = numbers["change_days_least"].value
        short = share_to_hold(rise * oftenest / days, nitrate_in_new_water_mg_l, wanted)
        share, days, falls_short = most, oftenest, short > most
    steps = _steps(share, solids_gap_mg_l, solids_mg_l, gh_gap_dgh, numbers)
    daily = math.floor(days)
    gentle = steps > 1
    if steps > daily:
        # Daily, and with less water a week than usual.
        share, days = share / steps, 1.0
    else:
        share, days = share / steps, days / steps
    rise_a_round = rise * days / numbers["change_days"].value
    return Change(
        share=share,
        every_days=days,
        litres=share * volume_l,
        nitrate_share=asked,
        nitrate_settles_at_mg_l=nitrate_in_new_water_mg_l + rise_a_round / share,
        gentle=gentle,
        falls_short=falls_short,
    )


def nitrate_rise_mg_l(food_mg: float, volume_l: float, numbers: Mapping[str, Number]) -> float:
    """Nitrate [mg/L as NO3] if all nitrogen of that food ended as nitrate; plants take their part.

    food * protein * 0.16 * 4.427 / V
    """
    nitrogen_mg = feed_nitrogen_mg(food_mg, numbers["feed_protein_share"].value)
    return nitrate_from_n_mg_l(nitrogen_mg / volume_l)


def share_to_hold(rise_mg_l: float, new_mg_l: float, wanted_mg_l: float) -> float:
    """Share of water to change each round so that a steady rise settles at `wanted`, just before a
    change; all of it if the new water holds that much already.

    share = rise / (wanted - new): each round brings `rise`, each change takes share of the excess.

    >>> share_to_hold(5, 0, 20)
    0.25
    """
    room = wanted_mg_l - new_mg_l
    if room <= rise_mg_l:
        return 1.0 if rise_mg_l > 0.0 else 0.0
    return rise_mg_l / room


def _steps(
    share: float,
    solids_gap_mg_l: float | None,
    solids_mg_l: float | None,
    gh_gap_dgh: float | None,
    numbers: Mapping[str, Number],
) -> int:
    """Into how many parts a change is split so that none moves the minerals too far."""
    most = share
    if solids_gap_mg_l and solids_mg_l:
        allowed = numbers["rate_solids_percent_a_day"].value / PERCENT * solids_mg_l
        most = min(most, allowed / abs(solids_gap_mg_l))
    if gh_gap_dgh:
        most = min(most, numbers["rate_gh_dgh_a_day"].value / abs(gh_gap_dgh))
    return math.ceil(share / max(most, LEAST_SHARE) - 1e-9)


def evaporation(
    *,
    surface_cm2: float,
    surface_told: bool,
    covered: bool,
    sealed: bool,
    volume_l: float,
    new_solids_mg_l: float | None,
    weekly_share: float,
    numbers: Mapping[str, Number],
) -> Evaporation:
    """What evaporates in a week, and where minerals settle under the routine.

    Concentrations are those right after a change, once they no longer move.
    """
    kind = "covered" if covered else "open"
    mm = 0.0 if sealed else numbers[f"evaporation_mm_day_{kind}"].value
    litres = mm * surface_cm2 / MM_CM2_PER_L * numbers["change_days"].value
    lost = min(litres / volume_l, 1.0)
    tap = pure = None
    if new_solids_mg_l is not None:
        tap = settled_by_routine(new_solids_mg_l, weekly_share, new_solids_mg_l, lost)
        pure = settled_by_routine(new_solids_mg_l, weekly_share, 0.0, lost)
    return Evaporation(litres, not surface_told, tap, pure)
