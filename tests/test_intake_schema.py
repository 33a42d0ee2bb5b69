"""The JSON Schema of a case file, against a validator that is not this program's."""

from __future__ import annotations

import re
from typing import Any

import jsonschema
import pytest
import yaml

from diagnose.intake.schema import case_schema
from diagnose.intake.template import new_case_text
from diagnose.intake.yaml_document import read_document
from tests.test_intake_names import VOCABULARY

SCHEMA = case_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def test_the_schema_is_a_json_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.Draft202012Validator.check_schema(case_schema(VOCABULARY))


def test_the_filled_form_is_valid_by_the_schema() -> None:
    form = new_case_text().split("case: my-jar")[1]
    text = "case: my-jar" + re.sub(r"(?m)^# ?", "", form)
    VALIDATOR.validate(read_document(text.encode(), "form").data)


@pytest.mark.parametrize(
    "text",
    [
        "{case: jar, contaner: {}}",
        "{seen: [racing]}",
        "{case: jar, container: {kind: aquarium}}",
        "{case: jar, container: {volume_l: 6}}",
        "{case: jar, container: {change_share: 50 %}}",
        "{case: jar, container: {change: {shar: 50 %}}}",
        "{case: jar, readings: [{what: ph}]}",
        "{case: jar, readings: [{what: ph, value: 7, as_written: x}]}",
        "{case: jar, events: [{at: yesterday}]}",
        "{case: jar, stock: {adults: -1}}",
    ],
)
def test_the_schema_finds_the_slips_an_editor_can_find(text: str) -> None:
    assert not VALIDATOR.is_valid(yaml.safe_load(text))


@pytest.mark.parametrize(
    ("text", "valid"),
    [
        ("{case: jar, seen: [twitching]}", True),
        ("{case: jar, seen: [twiching]}", False),
        ("{case: jar, seen: twitching}", True),
        ("{case: jar, not_done: [spray]}", True),
        ("{case: jar, events: [{what: sprays}]}", False),
        ("{case: jar, told: {bodies: whole}}", True),
        ("{case: jar, told: {bodies: gone}}", False),
        ("{case: jar, told: {ph: 7.2}}", True),
    ],
)
def test_with_a_vocabulary_the_schema_knows_the_names(text: str, valid: bool) -> None:
    validator = jsonschema.Draft202012Validator(case_schema(VOCABULARY))
    assert validator.is_valid(yaml.safe_load(text)) is valid


def test_every_field_a_file_may_hold_is_in_the_schema() -> None:
    container: dict[str, Any] = SCHEMA["$defs"]["Container"]["properties"]
    assert "volume" in container
    assert set(container["change"]["properties"]) == {"share", "every"}
    reading: dict[str, Any] = SCHEMA["$defs"]["Reading"]["properties"]
    assert set(reading) == {"what", "value", "unit", "as", "at", "where", "note"}
