"""Every sum by its name, as the rulebook's `worked_numbers` cite it."""

from __future__ import annotations

from collections.abc import Callable
from difflib import get_close_matches

from diagnose.reasons import (
    sums_of_air_and_warmth,
    sums_of_animals,
    sums_of_electricity,
    sums_of_minerals,
    sums_of_poisons,
    sums_of_waste,
)
from diagnose.reasons.setting import CALLED, Setting, matters
from diagnose.reasons.worked import Worked

SUMS: dict[str, Callable[[Setting], Worked]] = {
    "ammonia-and-ph": sums_of_waste.ammonia_and_ph,
    "forgotten-feed": sums_of_waste.forgotten_feed,
    "body-left": sums_of_waste.body_left,
    "half-changes": sums_of_waste.half_changes,
    "crowd-waste": sums_of_waste.crowd_waste,
    "chloride-and-nitrite": sums_of_waste.chloride_and_nitrite,
    "air-in-warm-water": sums_of_air_and_warmth.air_in_warm_water,
    "still-night": sums_of_air_and_warmth.still_night,
    "warm-and-cool": sums_of_air_and_warmth.warm_and_cool,
    "cold-bucket": sums_of_air_and_warmth.cold_bucket,
    "co2-and-ph": sums_of_air_and_warmth.co2_and_ph,
    "top-ups": sums_of_minerals.top_ups,
    "change-steps": sums_of_minerals.change_steps,
    "lime-for-a-shell": sums_of_minerals.lime_for_a_shell,
    "ph-day": sums_of_minerals.ph_day,
    "buffer-spent": sums_of_minerals.buffer_spent,
    "copper-and-hardness": sums_of_minerals.copper_and_hardness,
    "chlorine-left": sums_of_poisons.chlorine_left,
    "conditioner-need": sums_of_poisons.conditioner_need,
    "thin-a-poison": sums_of_poisons.thin_a_poison,
    "one-drop": sums_of_poisons.one_drop,
    "label-dose": sums_of_poisons.label_dose,
    "months-and-chance": sums_of_animals.months_and_chance,
    "brood": sums_of_animals.brood,
    "carriers": sums_of_animals.carriers,
    "one-sex": sums_of_animals.one_sex,
    "current-through-a-hand": sums_of_electricity.current_through_a_hand,
}


def worked(name: str, at: Setting, asked_by: str) -> Worked:
    """The sum of that name for one container.

    Raises ValueError naming the file that asks for a sum there is not, with the nearest names.
    """
    sum_of = SUMS.get(name)
    if sum_of is None:
        close = get_close_matches(name, SUMS, n=3, cutoff=0.4) or sorted(SUMS)
        raise ValueError(
            f"{asked_by}: worked_numbers: there is no sum called `{name}`. Try {', '.join(close)}."
        )
    return sum_of(at)


def taken_for(names: tuple[str, ...], at: Setting) -> tuple[str, ...]:
    """What nobody told and these sums rest on, in words: taken from the demo's jar."""
    return tuple(
        CALLED[field] for field in at.taken if any(matters(field, at, SUMS[name]) for name in names)
    )
