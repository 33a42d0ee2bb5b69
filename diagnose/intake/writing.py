"""A Case as the YAML a keeper could have written: short names, quantities with their units."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

import yaml
from pydantic import BaseModel

from diagnose.intake.amounts import Amount
from diagnose.intake.case import Case, Reading
from diagnose.intake.moments import Moment
from diagnose.intake.rough import Either, Rough, RoughCount
from diagnose.intake.validation_faults import INNER_FIELDS
from diagnose.intake.yaml_document import PLAIN_WORDS

#: The unit that the end of a field's name stands for.
_UNIT_OF_ENDING = {
    "_l": "L",
    "_cm": "cm",
    "_cm2": "cm2",
    "_m": "m",
    "_days": "d",
    "_hours": "h",
    "_c": "C",
    "_percent": "%",
    "_mg_l": "mg/L",
    "_dgh": "dGH",
}
_READING_UNITS = {
    "temperature": "C",
    "ph": "",
    "gh": "dGH",
    "kh": "dKH",
    "conductivity": "uS/cm",
    "oxygen_percent": "%",
}
#: What is written of all values together, by the number it is kept as.
_VALUES = {1.0: "fine", 0.0: "bad"}
#: What a reading is called in a file, and on which basis its value then is.
_READING_SPELLINGS = {
    "ammonia": ("ammonia", "total-N"),
    "unionised_ammonia": ("ammonia", "un-ionised-N"),
    "nitrite": ("nitrite", "N"),
    "nitrate": ("nitrate", "ion"),
    "oxygen_percent": ("oxygen", None),
}


class _Dumper(yaml.SafeDumper):
    """Quotes every text that this program or a usual YAML reader would take for something else."""


for _tag, _pattern, _first in PLAIN_WORDS:
    _Dumper.add_implicit_resolver(_tag, _pattern, _first)


def _represent_text(dumper: yaml.SafeDumper, text: str) -> yaml.Node:
    style = "|" if "\n" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


_Dumper.add_representer(str, _represent_text)


def case_to_yaml(case: Case) -> str:
    """The text of a case file that reads back as the same case, entries of its log included.

    Numbers are written in metric units, whatever the case was written in.
    """
    content = _written(case)
    content.pop("log", None)
    content.pop("units", None)
    return yaml.dump(content, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=80)


def _written(part: BaseModel) -> dict[str, Any]:
    if isinstance(part, Reading):
        return _written_reading(part)
    content: dict[str, Any] = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if name in INNER_FIELDS or value == field.get_default(call_default_factory=True):
            continue
        key = str(field.validation_alias or name)
        written = _written_value(name, value)
        if key.startswith("change_"):
            content.setdefault("change", {})[key.removeprefix("change_")] = written
        else:
            content[key] = written
    return content


def _written_reading(reading: Reading) -> dict[str, Any]:
    what, basis = _READING_SPELLINGS.get(reading.what, (reading.what, None))
    unit = _READING_UNITS.get(reading.what, "mg/L")
    content: dict[str, Any] = {"what": what, "value": f"{_digits(reading.value)} {unit}".strip()}
    if reading.what == "values" and reading.word is None:
        content["value"] = _VALUES[reading.value]
    elif reading.word is not None:
        content["value"], basis = reading.word.replace("_", " "), None
    elif not unit and not isinstance(reading.value, Rough):
        content["value"] = reading.value
    if basis is not None:
        content["as"] = basis
    if reading.at is not None:
        content["at"] = spell_moment(reading.at)
    if reading.where != "container":
        content["where"] = reading.where
    if reading.note is not None:
        content["note"] = reading.note
    return content


def _written_value(name: str, value: Any) -> Any:
    if isinstance(value, BaseModel):
        return _written(value)
    if isinstance(value, Moment):
        return spell_moment(value)
    if isinstance(value, Amount):
        return value.text
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, dict):
        return {key: _written_value("", told) for key, told in value.items()}
    if isinstance(value, tuple):
        return [
            {"at": spell_moment(item[0]), "dead": _written_value("dead", item[1])}
            if isinstance(item, tuple)
            else _written_value(name, item)
            for item in value
        ]
    if isinstance(value, RoughCount):
        return _digits(value)
    if isinstance(value, Either):
        return " or ".join(value.words) if name == "" else list(value.words)
    if name == "dose":
        return value.replace("_", " ")
    if isinstance(value, float):
        for ending in sorted(_UNIT_OF_ENDING, key=len, reverse=True):
            if name.endswith(ending):
                return f"{_digits(value)} {_UNIT_OF_ENDING[ending]}"
    return _digits(value) if isinstance(value, Rough) else value


def _digits(number: float) -> str:
    """The number so that it reads back as itself, without an idle `.0`; a rough one as told."""
    if not isinstance(number, Rough | RoughCount):
        return repr(number).removesuffix(".0")
    low, high = number.low, number.high
    if math.isinf(low):
        return f"under {_digits(float(high))}"
    if math.isinf(high):
        return f"at least {_digits(float(low))}"
    return f"{_digits(float(low))} to {_digits(float(high))}"


def spell_moment(moment: Moment) -> str:
    """The moment as it was written, or, made by the program, as a person would write it."""
    if moment.text:
        return moment.text
    if moment.kind == "absolute" and moment.at is not None:
        pattern = "%Y-%m-%d %H:%M" if moment.clock_told else "%Y-%m-%d"
        return format(moment.at, pattern)
    if moment.kind == "before_asking":
        return f"{_digits(moment.hours)} h ago"
    if moment.kind == "day_before_asking":
        names = ("today", "yesterday", "the day before yesterday")
        day = names[moment.days] if moment.days < len(names) else f"{moment.days} days ago"
        hour, minute = divmod(round(moment.hours * 60), 60)
        return f"{day} at {hour:02d}:{minute:02d}" if moment.clock_told else day
    if moment.hours == 0:
        return "at the first death"
    side = "before" if moment.hours < 0 else "after"
    return f"{_digits(abs(moment.hours))} h {side} the first death"
