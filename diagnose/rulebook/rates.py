"""How fast water with living animals in it may change: one table, read by every command."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.rulebook.terms import Rulebook


class Rates(NamedTuple):
    """Largest steps: hardness [dGH], alkalinity [dKH], dissolved solids [%] and pH a day;
    temperature [degC] in an hour, in any twelve hours, and between new water and old.
    """

    gh_dgh_a_day: float
    kh_dkh_a_day: float
    solids_percent_a_day: float
    temperature_c_an_hour: float
    temperature_c_in_12_h: float
    ph_a_day: float
    new_water_within_c: float


def rates(rulebook: Rulebook) -> Rates:
    """The table of `knowledge/numbers/rates.yaml`. Raises KeyError where a rate is missing."""
    numbers = rulebook.numbers
    return Rates(
        gh_dgh_a_day=numbers["rate_gh_dgh_a_day"].value,
        kh_dkh_a_day=numbers["rate_kh_dkh_a_day"].value,
        solids_percent_a_day=numbers["rate_solids_percent_a_day"].value,
        temperature_c_an_hour=numbers["rate_temperature_c_an_hour"].value,
        temperature_c_in_12_h=numbers["rate_temperature_c_in_12_h"].value,
        ph_a_day=numbers["rate_ph_a_day"].value,
        new_water_within_c=numbers["new_water_within_c"].value,
    )
