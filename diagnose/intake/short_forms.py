"""What keepers write short in a case file, in the long form that the fields have.

`events: [heat-wave]`, `- water-change: yesterday`, `others: [3 snails]`, `readings: {ph: 7.4}` and
`- ammonia 2 ppm` say as much as a block of `key: value` lines does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from diagnose.intake.case import Event, OtherAnimals, Reading
from diagnose.intake.rough import COUNT_WORDS
from diagnose.intake.validation_faults import written_names

_COUNT = "|".join(map(re.escape, sorted(COUNT_WORDS, key=len, reverse=True)))
#: A number of animals before their kind: `3 snails`, `a few ramshorns`, `10-12 guppies`.
_COUNTED = re.compile(rf"(?i)((?:about |~ ?)?\d+(?:\s?(?:-|to)\s?\d+)?|{_COUNT})\s+(\D.*)\Z")
#: A name before its value: `ammonia 2 ppm`, `pH: 7.4`, `nitrite none`.
_VALUED = re.compile(r"([A-Za-z][\w /-]*?)\s*[:=]?\s+((?:about |over |under |[<>~]\s?)?\d.*|\w+)\Z")
_READ_IN_A_FILE = ("unit", "as")


def written_out(data: dict[str, Any]) -> dict[str, Any]:
    """The data of a case file with every short entry in its long form.

    What is in neither form stays as it is, for the error that names it.
    """
    long: dict[str, Any] = {}
    if "events" in data:
        long["events"] = _entries(data["events"], _event, written_names(Event))
    if "readings" in data:
        fields = (*written_names(Reading), *_READ_IN_A_FILE)
        long["readings"] = _entries(data["readings"], _reading, fields)
    stock = data.get("stock")
    if isinstance(stock, dict) and "others" in stock:
        others = _entries(stock["others"], _animals, written_names(OtherAnimals))
        long["stock"] = {**stock, "others": others}
    return {**data, **long}


def _entries(
    written: Any, entry: Callable[[str, Any], dict[str, Any]], fields: tuple[str, ...]
) -> Any:
    """The entries of one list; a lone one, or a block of names and values, is a list too."""
    if isinstance(written, str):
        written = [written]
    if isinstance(written, dict):
        named = _names_only(written, fields)
        written = [{key: value} for key, value in written.items()] if named else [written]
    if not isinstance(written, list):
        return written
    return [_long(one, entry, fields) for one in written]


def _long(
    written: Any, entry: Callable[[str, Any], dict[str, Any]], fields: tuple[str, ...]
) -> Any:
    if isinstance(written, str):
        return entry(written, None)
    if isinstance(written, dict) and len(written) == 1 and _names_only(written, fields):
        ((name, value),) = written.items()
        if not isinstance(value, dict):
            return entry(name, value)
        if _fields_only(value, fields):
            return entry(name, None) | value
    return written


def _names_only(written: Mapping[str, Any], fields: tuple[str, ...]) -> bool:
    return bool(written) and not any(key in fields for key in written)


def _fields_only(written: Mapping[str, Any], fields: tuple[str, ...]) -> bool:
    return all(key in fields for key in written)


def _event(name: str, value: Any) -> dict[str, Any]:
    return {"what": name} if value is None else {"what": name, "at": value}


def _reading(name: str, value: Any) -> dict[str, Any]:
    if value is None and (found := _VALUED.match(name.strip())) is not None:
        name, value = found.groups()
    return {"what": name} if value is None else {"what": name, "value": value}


def _animals(name: str, value: Any) -> dict[str, Any]:
    if value is None and (found := _COUNTED.match(name.strip())) is not None:
        value, name = found.groups()
    return {"kind": name} if value is None else {"kind": name, "count": value}
