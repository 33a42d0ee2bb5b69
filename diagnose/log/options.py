"""What is told by options, as the fields of a case file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

_SHARE = re.compile(r"\d+(?:[.,]\d+)?\s*%")
_VOLUME = re.compile(r"\d+(?:[.,]\d+)?\s*(?:l|ml|gal|litres?|liters?|gallons?)", re.IGNORECASE)


def fields_of(
    *,
    readings: Sequence[str],
    events: Sequence[str],
    signs: Sequence[str],
    count: str | None,
    death: str | None,
    note: str | None,
) -> dict[str, Any]:
    """The fields; their words are read later as those of a case file. Raises ValueError.

    >>> fields_of(readings=["pH 6.8"], events=[], signs=["no gasping"], count=None,
    ...           death=None, note=None)
    {'readings': [{'what': 'pH', 'value': '6.8'}], 'not_seen': ['gasping']}
    """
    fields: dict[str, Any] = {}
    if readings:
        fields["readings"] = [_reading(one) for one in readings]
    if events:
        fields["events"] = [_event(one) for one in events]
    for sign in signs:
        key, name = ("not_seen", sign[3:]) if sign.startswith("no ") else ("seen", sign)
        fields.setdefault(key, []).append(name.strip())
    if death is not None:
        fields["deaths"] = {"dead": death.strip()}
    if count is not None:
        fields["count"] = _count(count)
    if note is not None:
        fields["note"] = note
    return fields


def _reading(text: str) -> dict[str, str]:
    found = re.match(r"\s*(?P<what>\D*?[A-Za-z]\D*?)\s+(?P<value>\S.*)", text)
    if found is None:
        raise ValueError(f"--reading: `{text}` is no reading. Write `nitrite 0.25 mg/L`.")
    return {"what": found["what"].strip(" :="), "value": found["value"].strip()}


def _event(text: str) -> dict[str, str]:
    for key, pattern in (("share", _SHARE), ("volume", _VOLUME)):
        found = pattern.search(text)
        if found is not None:
            what = (text[: found.start()] + text[found.end() :]).strip(" ,:")
            return {"what": what, key: found.group()}
    return {"what": text.strip()}


def _count(text: str) -> dict[str, str]:
    counted: dict[str, str] = {}
    for part in re.split(r"\s*(?:,|\band\b)\s*", text.strip()):
        number, _, stage = part.partition(" ")
        counted[stage.strip() or "adults"] = number
    return counted
