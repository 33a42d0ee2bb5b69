"""Told facts as the content of a case file, as a keeper would have written it.

Each goes where a person would put it: a sign under `seen` or `not_seen`, something done under
`events` or `not_done`, a habit under `container`, a measurement under `readings`; only what has no
such place goes under `told`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.intake.names import with_keepers_words
from diagnose.rulebook.terms import Term
from diagnose.story.facts import (
    DEAD_COUNT,
    EVENT_AT,
    OTHER,
    PART_OF,
    PLACES,
    READING,
    SPAN_H,
    SPECIES_IS,
    Told,
)

#: Choices that are fields of the container, by the field's name in a file.
CONTAINER_WORDS = {
    "filter_state": "filter",
    "heater_state": "heater",
    "planting": "planting",
    "floating_cover": "floating_cover",
    "substrate": "substrate",
    "sun": "sun",
    "lid": "lid",
    "co2_feed": "co2",
    "water_source": "water_source",
    "conditioner_use": "conditioner",
    "topup_water": "topup",
}
#: Numbers that are fields of the container, with the unit they are written in.
CONTAINER_NUMBERS = {
    "volume_l": ("volume", "L"),
    "container_age_days": ("age", "d"),
    "substrate_age_days": ("substrate_age", "d"),
    "light_hours": ("light", "h"),
}
#: What a measurement is called in the log, and how its value is counted there.
READINGS = {
    "temperature_c": ("temperature", "C", None),
    "ph": ("ph", "", None),
    "tan_mg_l": ("ammonia", "mg/L", "total-N"),
    "nitrite_mg_l": ("nitrite", "mg/L", "N"),
    "nitrate_mg_l": ("nitrate", "mg/L", "ion"),
    "gh_dgh": ("gh", "dGH", None),
    "kh_dkh": ("kh", "dKH", None),
    "solids_mg_l": ("solids", "mg/L", None),
    "oxygen_mg_l": ("oxygen", "mg/L", None),
    "chlorine_mg_l": ("chlorine", "mg/L", None),
    "copper_mg_l": ("copper", "mg/L", None),
}
#: Half of the animals, a day, three days, a week: the limits in the choices of `death_shape`.
HALF_PERCENT, A_DAY_H, THREE_DAYS_H, A_WEEK_H = 50.0, 24.0, 72.0, 168.0
SPECIES = {
    "hardy_dwarf": "hardy dwarf",
    "soft_water_dwarf": "soft water dwarf",
    "large_algae_eater": "larger algae eater",
}


def content_of(told: Mapping[str, Told], vocabulary: Mapping[str, Term]) -> dict[str, Any]:
    """What stands in the case file, as lists and mappings."""
    content: dict[str, Any] = {}
    for name, value in told.items():
        if name in vocabulary:
            _place(content, name, value, vocabulary[name], told)
        elif name.startswith(SPECIES_IS):
            stock = content.setdefault("stock", {})
            kinds = stock.setdefault("species", [])
            if isinstance(kinds, list) and value not in kinds:
                kinds.append(value)
        elif name.startswith(READING):
            content.setdefault("readings", []).append(_reading(name, value))
        elif name.startswith(PLACES):
            _field(content, name, value)
    _others(content, told)
    _parts(content, told)
    _conditioned(content)
    _deaths(content, told)
    return with_keepers_words(content, vocabulary)


def _field(content: dict[str, Any], name: str, value: Told) -> None:
    """A field of the form, by its place in it."""
    *way, last = name.split(".")
    if way[0] == "deaths":
        return
    part = content
    for step in way:
        part = part.setdefault(step, {})
    part.setdefault(last, _written(value))


def _reading(name: str, value: Told) -> dict[str, Any]:
    what, _, where = name.removeprefix(READING).partition("@")
    return {"what": what, "value": _written(value)} | ({"where": where} if where else {})


def _others(content: dict[str, Any], told: Mapping[str, Told]) -> None:
    """The other animals, one entry for each kind."""
    found: dict[str, dict[str, Any]] = {}
    for name, value in told.items():
        if name.startswith(OTHER):
            kind, _, part = name.removeprefix(OTHER).partition(".")
            found.setdefault(kind, {})[part or "kind"] = value
    entries = [entry for entry in found.values() if "kind" in entry]
    if entries:
        content.setdefault("stock", {})["others"] = entries


def _parts(content: dict[str, Any], told: Mapping[str, Told]) -> None:
    """The details of what was done."""
    for name, value in told.items():
        if name.startswith(PART_OF):
            event, _, part = name.removeprefix(PART_OF).rpartition(".")
            for entry in content.get("events", ()):
                if entry["what"] == event:
                    entry[part] = value


#: What a habit says of the last change, where nothing else was said of that.
CONDITIONED = {"always": "full", "missed": "none", "never": "none"}


def _conditioned(content: dict[str, Any]) -> None:
    """The conditioner at the change told of, from what was said of conditioner at all."""
    word = CONDITIONED.get(content.get("container", {}).get("conditioner", ""))
    for entry in content.get("events", ()):
        if word is not None and entry["what"] == "water-change":
            entry.setdefault("conditioner", word)


def _deaths(content: dict[str, Any], told: Mapping[str, Told]) -> None:
    deaths: dict[str, Any] = {
        name.removeprefix("deaths."): _written(value)
        for name, value in told.items()
        if name.startswith("deaths.") and name != SPAN_H
    }
    span = told.get(SPAN_H)
    if isinstance(span, str):
        deaths["over"] = span
    elif span is not None and _several(told):
        deaths["over"] = f"{_digits(float(span))} h"
    elif span is not None:
        answers = content.setdefault("told", {})
        answers.setdefault("deaths_span_hours", span)
        shape = shape_of(float(told.get("deaths_share", 0.0)), float(span))
        if shape is not None:
            answers.setdefault("death_shape", shape)
    if "over" in deaths and len(deaths) == 1 and "deaths_share" not in told:
        deaths["dead"] = "several"
    if deaths:
        content["deaths"] = deaths


def _several(told: Mapping[str, Told]) -> bool:
    """Whether a number of dead was told, and more than one."""
    dead = told.get(DEAD_COUNT, 0)
    return isinstance(dead, str) or float(dead) > 1


def _written(value: Told) -> Told:
    """Whole numbers as such, also those told in figures."""
    if isinstance(value, str) and value.replace(".", "", 1).isdigit():
        value = float(value)
    return int(value) if isinstance(value, float) and value == int(value) else value


def shape_of(share_percent: float, span_hours: float) -> str | None:
    """How the deaths came, in the vocabulary's words, from the share that died and over how long;
    None where that does not decide it. The words say where the limits are.
    """
    if share_percent <= 0.0:
        return None
    if share_percent >= HALF_PERCENT and span_hours <= A_DAY_H:
        return "all_at_once"
    if span_hours <= THREE_DAYS_H:
        return "burst"
    return "trickle" if span_hours >= A_WEEK_H else None


def _place(
    content: dict[str, Any], name: str, value: Told, term: Term, told: Mapping[str, Told]
) -> None:
    container = content.get("container", {})
    if term.event is not None:
        _place_event(content, value, term, told)
    elif name == "surface_moved":
        container["surface_moved"] = value == "present"
    elif term.kind == "sign":
        content.setdefault("seen" if value == "present" else "not_seen", []).append(name)
    elif name in CONTAINER_WORDS:
        container[CONTAINER_WORDS[name]] = value
    elif name in CONTAINER_NUMBERS:
        field, unit = CONTAINER_NUMBERS[name]
        container[field] = f"{_digits(float(value))} {unit}"
    elif name == "change_interval_days":
        container["change"] = {"every": f"{_digits(float(value))} d"}
    elif name in READINGS:
        what, unit, basis = READINGS[name]
        reading: dict[str, Any] = {"what": what}
        reading["value"] = f"{_digits(float(value))} {unit}".strip() if unit else value
        if basis is not None:
            reading["as"] = basis
        content.setdefault("readings", []).append(reading)
    elif name == "species_group" and value in SPECIES:
        content.setdefault("stock", {})["species"] = SPECIES[str(value)]
    elif name == "feeds_per_week":
        content.setdefault("stock", {})["feeding"] = {"times": value}
    else:
        content.setdefault("told", {})[name] = value
    if container:
        content["container"] = container


def _place_event(
    content: dict[str, Any], value: Told, term: Term, told: Mapping[str, Told]
) -> None:
    """An event with its time, where that was told; the time alone is told through its event."""
    if term.kind == "number":
        return
    if value != "present":
        content.setdefault("not_done", []).append(term.event)
        return
    event: dict[str, Any] = {"what": term.event}
    at = told.get(f"{EVENT_AT}{term.event}")
    if at is not None:
        event["at"] = at
    content.setdefault("events", []).append(event)


def _digits(number: float) -> str:
    return repr(number).removesuffix(".0")
