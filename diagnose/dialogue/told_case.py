"""What a session was told, as the case file a keeper would have written.

Each answer goes where a person would put it: a sign under `seen` or `not_seen`, something done
under `events` or `not_done`, a habit under `container`, a measurement under `readings`; only what
has no such place goes under `told`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.dialogue.state import (
    DEAD_COUNT,
    DEAD_OF,
    EVENT_AT,
    FIRST_DEATH,
    SPAN_H,
    STORY,
    Session,
    Told,
)
from diagnose.intake.case import Case
from diagnose.intake.names import ALL_OF_THE_DEATHS, check_names
from diagnose.intake.writing import case_to_yaml
from diagnose.rulebook.terms import Term

#: What the opening tells of the deaths that the vocabulary has no name for.
_OF_THE_DEATHS = frozenset({DEAD_COUNT, DEAD_OF, FIRST_DEATH, SPAN_H})

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


def case_of(session: Session, vocabulary: Mapping[str, Term]) -> Case:
    """The case that the answers so far make, in the vocabulary's words.

    Raises pydantic's ValidationError or CaseErrors for an answer that cannot stand in a case.
    """
    case = Case.model_validate(
        case_content(session, vocabulary), context="metric", by_alias=True, by_name=False
    )
    return check_names(case, vocabulary)


def case_text(session: Session, vocabulary: Mapping[str, Term]) -> str:
    """The text of the case file. Reading it gives the same case."""
    return case_to_yaml(case_of(session, vocabulary))


def case_content(session: Session, vocabulary: Mapping[str, Term]) -> dict[str, Any]:
    """What stands in the case file, as lists and mappings."""
    told = session.told()
    content: dict[str, Any] = {
        "case": session.name,
        "asked_at": f"{session.started_at:%Y-%m-%d %H:%M}",
    }
    if session.story:
        content["story"] = session.story
    for name, value in told.items():
        if name in vocabulary:
            _place(content, name, value, vocabulary[name], told)
    _deaths(content, told)
    asked = asked_for(session, vocabulary)
    if asked:
        content["asked"] = list(asked)
    return content


def asked_for(session: Session, vocabulary: Mapping[str, Term]) -> tuple[str, ...]:
    """What was only told as the answer to a question, by observation, sorted; what the keeper told
    in the first free words was volunteered, also where a question came back to it.
    """
    volunteered = {
        name for given in session.given if given.question == STORY for name, _ in given.tells
    }
    asked = {
        name for given in session.given if given.question != STORY for name, _ in given.tells
    } - volunteered
    found = {name for name in asked if name in vocabulary}
    if asked & _OF_THE_DEATHS and not volunteered & _OF_THE_DEATHS:
        found.add(ALL_OF_THE_DEATHS)
    return tuple(sorted(found))


def _deaths(content: dict[str, Any], told: Mapping[str, Told]) -> None:
    deaths: dict[str, Any] = {}
    if FIRST_DEATH in told:
        deaths["first"] = told[FIRST_DEATH]
    for key, name in ((DEAD_COUNT, "dead"), (DEAD_OF, "of")):
        if key in told:
            deaths[name] = int(told[key])
    if SPAN_H in told and float(told.get(DEAD_COUNT, 0)) > 1:
        deaths["over"] = f"{_digits(float(told[SPAN_H]))} h"
    elif SPAN_H in told:
        answers = content.setdefault("told", {})
        answers.setdefault("deaths_span_hours", told[SPAN_H])
        shape = shape_of(float(told.get("deaths_share", 0.0)), float(told[SPAN_H]))
        if shape is not None:
            answers.setdefault("death_shape", shape)
    if deaths:
        content["deaths"] = deaths


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
