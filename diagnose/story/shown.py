"""What was read from a story, grouped in the order a keeper would tell it, and corrected."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.story.facts import EVENT_AT, OTHER, PART_OF, READING, SPECIES_IS, Told
from diagnose.story.reader import Reading

WHO, DONE, SEEN, KEPT, MEASURED = (
    "Who, and since when", "What was done", "What is seen", "The container", "Readings",
)  # fmt: skip
_ABOUT_DEATHS = (
    "deaths", "death_", "died_", "dead_", "bodies", "berried_died", "stock.adults", "stock.f",
    "stock.m", "stock.b", "stock.j", "stock.h", "stock.k", SPECIES_IS,
)  # fmt: skip
_KEPT = (
    "container.", "stock.", OTHER, "acclimation", "plants_origin", "fertiliser_dose", "spray_kind",
    "chemical_kind", "several_feeders",
)  # fmt: skip
#: How fields of the form are called, where the name alone would not tell.
_FIELD_WORDS = {
    "deaths.dead": "dead", "deaths.of": "of", "deaths.left": "left", "deaths.share": "dead",
    "deaths.over": "over", "deaths.first": "first death", "stock.kept": "kept for",
    "container.age": "set up for", "container.change_every": "water changed every",
    "container.change_share": "each time", "container.placement": "stands",
    "container.water_source": "water", "container.topup": "topped up with",
    "stock.feeding.times": "fed", "stock.feeding.per_feed": "each feed",
}  # fmt: skip


def group_of(reading: Reading) -> str:
    """Where a reading stands when it is shown back."""
    name = reading.tells[0][0]
    if name.startswith(READING):
        return MEASURED
    if name.startswith(_ABOUT_DEATHS):
        return WHO
    if name.startswith(("did_", EVENT_AT, PART_OF)):
        return DONE
    return KEPT if name.startswith(_KEPT) else SEEN


def grouped(readings: Iterable[Reading]) -> tuple[tuple[str, tuple[Reading, ...]], ...]:
    """The readings by group, in the keeper's order; groups without any are left out."""
    readings = tuple(readings)
    rows = (
        (title, tuple(r for r in readings if group_of(r) == title))
        for title in (WHO, DONE, SEEN, KEPT, MEASURED)
    )
    return tuple((title, found) for title, found in rows if found)


def corrected(readings: Iterable[Reading], newer: Iterable[Reading]) -> tuple[Reading, ...]:
    """The readings with what newer ones say in the place of what was said of the same thing."""
    newer = tuple(newer)
    names = {name for reading in newer for name, _ in reading.tells}
    if names & {"deaths.dead", "deaths.share"}:
        names |= {"deaths.dead", "deaths.share"}
    kinds = any(name.startswith(SPECIES_IS) for name in names)
    kept = []
    for reading in readings:
        tells = tuple(
            (name, value)
            for name, value in reading.tells
            if name not in names and not (kinds and name.startswith(SPECIES_IS))
        )
        if tells:
            kept.append(Reading(tells, reading.words))
    return (*kept, *newer)


def field_text(name: str, value: Told) -> str:
    """A fact of the form in plain words."""
    if name.startswith(EVENT_AT):
        return f"time: {value}"
    if name.startswith(SPECIES_IS):
        return f"kind: {value}"
    if name.startswith(READING):
        what, _, where = name.removeprefix(READING).partition("@")
        return f"{what.replace('_', ' ')} {value}" + (f" in the {where} water" if where else "")
    if name.startswith(OTHER):
        part = name.partition(".")[2]
        return f"{part}: {value}" if part else f"also there: {value}"
    words = _FIELD_WORDS.get(name, name.rpartition(".")[2].replace("_", " "))
    return f"{words}: {str(value).replace('_', ' ')}"
