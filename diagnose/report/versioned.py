"""JSON Schemas of answers that are plain dataclasses with a `format`."""

from __future__ import annotations

from typing import Any


def schema_of(answer: type, version: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of what `as_data` makes of such an answer."""
    from pydantic import TypeAdapter

    schema = TypeAdapter(answer).json_schema(mode="serialization")
    for part in (schema, *schema.get("$defs", {}).values()):
        if "properties" not in part:
            continue
        part["properties"] = {k.rstrip("_"): v for k, v in part["properties"].items()}
        part["required"] = sorted(part["properties"])
        part["additionalProperties"] = False
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["properties"]["format"] = {"const": version}
    return schema
