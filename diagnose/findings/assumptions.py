"""What an answer rests on beyond the facts: defaults that were used, and what nobody logged."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.findings.observation import Observation
from diagnose.intake.case import Case

#: Topics a keeper can look into, and the observations of which any one would cover it.
TOPICS = {
    "how the deaths came": ("death_shape",),
    "which sizes died": ("died_sizes", "died_newcomers"),
    "the time of day of the deaths": ("death_time",),
    "how the living behave": (
        "survivors_normal",
        "listless",
        "twitching",
        "lying_on_side",
        "at_surface",
        "racing",
    ),
    "the other animals": ("snails_state", "fish_state", "microcrustaceans_state"),
    "water changes": ("did_water_change", "days_since_change", "change_interval_days"),
    "food": ("food_left_over", "ration_mg_per_g_day", "did_heavy_feed"),
    "the container's age": ("container_age_days",),
    "temperature": ("temperature_c", "temperature_max_c"),
    "ammonia": ("tan_mg_l", "nh3_mg_l"),
    "nitrite": ("nitrite_mg_l",),
    "pH": ("ph",),
    "hardness": ("gh_dgh", "solids_mg_l"),
}


def not_logged(observations: Iterable[Observation]) -> tuple[str, ...]:
    """The topics on which nothing is known."""
    known = {item.name for item in observations}
    return tuple(topic for topic, names in TOPICS.items() if known.isdisjoint(names))


def assumptions(case: Case) -> tuple[str, ...]:
    """One sentence for each default that was used in reading the case."""
    found = []
    kinds = {reading.what for reading in case.readings}
    if "ammonia" in kinds:
        found.append("Ammonia counts as total ammonia, turned into nitrogen.")
    if "nitrite" in kinds:
        found.append("Nitrite is turned into nitrogen; kits usually show the ion.")
    if any(reading.at is None for reading in case.readings):
        found.append("Readings without a time count as taken at the time of asking.")
    if case.stock.species is None and case.stock.adults is not None:
        found.append("The shrimp are taken to be hardy dwarf shrimp, as nobody named them.")
    if case.deaths is not None and case.deaths.first is None and case.deaths.over_hours:
        found.append("The first death is placed by the span of the deaths before the asking.")
    return tuple(found)
