"""What an answer rests on without having been told, and what nobody wrote down."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.companions import Companion, unlisted
from diagnose.findings.density import adults_told, animals_told
from diagnose.findings.observation import Observation
from diagnose.findings.portions import portion
from diagnose.findings.timeline import distinct_counts

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.moments import Moment
    from diagnose.intake.names import Term

FEEDING = "the feeding"
#: Topics of a report, in words that follow "nothing is known of", and the observations of which
#: one is enough to have said something of the topic. `did_` and `hours_from_` stand for all of
#: their kind.
TOPICS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("when and how many died", ("death_shape", "deaths_share", "deaths_span_hours")),
    ("the time of day of the deaths", ("death_time",)),
    ("which animals died", ("died_sizes", "died_newcomers", "died_at_moult", "berried_died_first")),
    ("what was done in the two weeks before", ("did_",)),
    (
        "how the living behave",
        ("survivors_normal", "listless", "twitching", "lying_on_side", "at_surface", "racing"),
    ),
    ("the snails and other animals", ("snails_state", "fish_state", "microcrustaceans_state")),
    ("how many animals share how much water", ("shrimp_per_l", "biomass_g_per_l")),
    ("the age of the container", ("container_age_days",)),
    (
        FEEDING,
        ("feeds_per_week", "ration_mg_per_g_day", "food_left_over", "did_heavy_feed"),
    ),
    (
        "the water changes",
        ("did_water_change", "days_since_change", "change_interval_days", "last_change_share"),
    ),
    ("the treatment of tap water", ("conditioner_use",)),
    (
        "the temperature",
        ("temperature_c", "temperature_max_c", "temperature_min_c", "temperature_swing_c"),
    ),
    ("ammonia and nitrite", ("tan_mg_l", "nh3_mg_l", "nitrite_mg_l")),
    ("pH", ("ph",)),
    ("hardness and dissolved solids", ("gh_dgh", "kh_dkh", "solids_mg_l")),
    ("oxygen", ("oxygen_mg_l", "oxygen_dawn_mg_l", "oxygen_percent", "air_helped")),
)


def not_logged(
    case: Case, observations: Iterable[Observation], vocabulary: Mapping[str, Term]
) -> tuple[str, ...]:
    """The topics of which the case says nothing, in plain words.

    A topic none of whose observations is in the vocabulary cannot be missed.
    """
    known = {item.name for item in observations}
    return tuple(
        words
        for words, names in TOPICS
        if _any_of(names, vocabulary)
        and not _any_of(names, known)
        and not (words == FEEDING and case.stock.feeding is not None)
    )


def _any_of(names: tuple[str, ...], among: Iterable[str]) -> bool:
    starts = tuple(name for name in names if name.endswith("_"))
    return any(name in names or (starts and name.startswith(starts)) for name in among)


def assumptions(case: Case, companions: Mapping[str, Companion]) -> tuple[str, ...]:
    """What was taken for granted in reading the case, one sentence each, only where it mattered."""
    strange = ", ".join(unlisted(case, companions))
    habits = f"What these do to shrimp is not known here, so it counts as unknown: {strange}."
    return (*_of_times(case), *_of_readings(case), *_of_stock(case), *([habits] if strange else []))


def _of_times(case: Case) -> Iterator[str]:
    if case.units == "us":
        yield "Bare numbers were read as US gallons, degrees Fahrenheit and inches."
    moments = _moments(case)
    if case.asked_at is None and any(m.kind != "from_first_death" for m in moments):
        yield "No time of asking was written: times are counted back from now."
    if any(not m.clock_told and m.kind in ("absolute", "day_before_asking") for m in moments):
        yield "A day named without an hour counts as noon."
    if any(event.at is None for event in case.events):
        yield "Events without a time are taken to lie in the two weeks before the first death."
    deaths = case.deaths
    if deaths is not None and deaths.over_hours is not None and not _first_is_told(case):
        yield "The first death is placed before the asking by the span of the deaths."
    if any(reading.at is None for reading in case.readings):
        yield "Readings without a time are taken as the present state."


def _first_is_told(case: Case) -> bool:
    deaths = case.deaths
    return (deaths is not None and deaths.first is not None) or bool(distinct_counts(case))


def _moments(case: Case) -> list[Moment]:
    said = [event.at for event in case.events] + [reading.at for reading in case.readings]
    if case.deaths is not None:
        said += [case.deaths.first, case.deaths.last]
    said += [moment for moment, _ in distinct_counts(case)]
    return [moment for moment in said if moment is not None]


def _of_readings(case: Case) -> Iterator[str]:
    bases = {(r.what, r.as_written.rpartition(" as ")[2]) for r in case.readings if r.as_written}
    if ("ammonia", "total-nh3") in bases:
        yield "Ammonia was read as the total, counted as NH3, and turned into nitrogen."
    if ("nitrite", "ion") in bases:
        yield "Nitrite was read as the ion NO2 and turned into nitrogen."
    if ("nitrate", "ion") in bases:
        yield "Nitrate was read as the ion NO3."
    kinds = {reading.what for reading in case.readings}
    if "conductivity" in kinds and "solids" not in kinds:
        from diagnose.water.conductivity import DISSOLVED_SOLIDS_FACTOR

        yield (
            f"Dissolved solids are {DISSOLVED_SOLIDS_FACTOR:g} of the conductivity, read at or "
            "corrected to 25 C."
        )
    if kinds & {"oxygen", "oxygen_percent"} and case.container.altitude_m is None:
        yield "Oxygen was held against air at sea level."


def _of_kind(case: Case) -> Iterator[str]:
    """What stands in for the kind nobody named; nothing where the newcomers will be the first."""
    if case.adding is None or case.adding.species is None:
        yield "Nobody said which shrimp: ranges and masses are those of the hardy dwarf kind."
    elif animals_told(case) != 0:
        yield "Nobody said which shrimp live there: they are taken for the hardy dwarf kind."


def _of_stock(case: Case) -> Iterator[str]:
    counted = adults_told(case) is not None or (case.deaths is not None and case.deaths.of)
    if case.stock.species is None and (counted or case.readings):
        yield from _of_kind(case)
    deaths = case.deaths
    if adults_told(case) is None and deaths is not None and deaths.of is not None:
        yield "No sizes were told: all animals count as grown."
    feeding = case.stock.feeding
    amounts = [event.amount for event in case.events if event.what == "feed"]
    if feeding is not None:
        amounts.append(feeding.per_feed)
    said = {amount for amount in amounts if amount is not None}
    for amount in sorted(said, key=repr):
        mass = portion(amount)
        if mass is not None and not mass.weighed:
            yield (
                f"Food was reckoned at {mass.mg:.3g} mg ({mass.low_mg:.3g} to {mass.high_mg:.3g}) "
                f"for {amount.text}."
            )
