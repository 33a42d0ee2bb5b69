"""The JSON Schema of a case file as people write it, so that an editor completes and checks it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.intake.case import NOBODY_DIED, Case
from diagnose.intake.names import Term, event_kinds
from diagnose.intake.validation_faults import INNER_FIELDS

#: Version of the shape of case files; goes up when a file that was valid no longer is.
CASE_FORMAT = "1"
_READ_IN_A_FILE = {
    "unit": {
        "type": "string",
        "description": "The unit of `value`, if it is not written there.",
        "examples": ["mg/L", "F"],
    },
    "as": {
        "enum": sorted(
            {"total-N", "total-NH4", "total-NH3", "un-ionised", "un-ionised-N", "N", "ion"}
        ),
        "description": (
            "How ammonia, nitrite or nitrate is counted. Without it: total ammonia as NH3, nitrite "
            "and nitrate as the ion, as most kits do."
        ),
    },
}


def case_schema(vocabulary: Mapping[str, Term] | None = None) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12).

    With a vocabulary it lists the names of signs and events too.
    """
    schema = Case.model_json_schema(by_alias=True, mode="validation")
    parts = schema["$defs"]
    _describe_change(parts["Container"]["properties"])
    stock = parts["Stock"]["properties"]
    stock["species"]["anyOf"].append({"type": "array", "items": {"type": "string"}})
    schema["properties"]["deaths"]["anyOf"].append({"enum": sorted(NOBODY_DIED)})
    for name in ("nobody died", "nobody_died"):
        schema["properties"][name] = {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}
    reading = parts["Reading"]["properties"]
    reading["value"] = {
        "type": ["number", "string"],
        "description": "The number, with or without its unit.",
        "examples": [7.4, "0.25 mg/L", "74 F"],
    }
    reading.update(_READ_IN_A_FILE)
    for name in ("Reading", "Event"):
        for inner in INNER_FIELDS:
            parts[name]["properties"].pop(inner, None)
    if vocabulary is not None:
        _add_names(schema, vocabulary)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A case for bowlside",
        "version": CASE_FORMAT,
        **{key: value for key, value in schema.items() if key != "title"},
    }


def _describe_change(properties: dict[str, Any]) -> None:
    """A file writes the two habits as one: `change: {share: 50 %, every: 7 days}`."""
    share, every = properties.pop("change_share"), properties.pop("change_every")
    properties["change"] = {
        "type": "object",
        "properties": {"share": share, "every": every},
        "additionalProperties": False,
    }


def _add_names(schema: dict[str, Any], vocabulary: Mapping[str, Term]) -> None:
    signs = sorted(name for name, term in vocabulary.items() if term.kind == "sign")
    events = list(event_kinds(vocabulary))
    for key, names in (("seen", signs), ("not_seen", signs), ("not_done", events)):
        one = {"enum": names}
        schema["properties"][key]["anyOf"] = [one, {"type": "array", "items": one}]
    schema["$defs"]["Event"]["properties"]["what"] = {"enum": events}
    schema["properties"]["told"] = {
        "type": "object",
        "properties": {name: _answer(term) for name, term in sorted(vocabulary.items())},
        "additionalProperties": False,
    }


def _answer(term: Term) -> dict[str, Any]:
    if term.kind == "sign":
        return {"enum": ["present", "absent", "yes", "no", True, False]}
    if term.kind == "choice":
        described = "; ".join(f"{word}: {text}" for word, text in term.choices.items())
        return {"enum": list(term.choices), "description": described}
    unit = f"In {term.unit} if no unit is written." if term.unit else "A number."
    return {"type": ["number", "string"], "description": unit}
