"""Sentences in the keeper's units: the rulebook's prose and what observations rest on are written
in metric ones.
"""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from diagnose.report.wording import Preference, quantity

#: Fields of answers that hold the keeper's own words, or a name.
_KEPT = frozenset({"format", "case", "id", "rule", "name", "cite", "asked_at"})
_NUMBER = r"-?\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.,])(?:(?P<from>{_NUMBER})(?P<join> to | and |-))?(?P<value>{_NUMBER}) "
    r"?(?P<unit>degC|C|L|mL)\b(?P<pace> an hour| in (?:any )?twelve hours| a day| warmer| colder)?"
)
_UNITS = {"C": "degC"}
Said = TypeVar("Said")


def in_units(text: str, prefer: Preference) -> str:
    """The text with its temperatures and volumes as the keeper reads them; a temperature with a
    pace is a difference.

    >>> in_units("Comfortable from 18 to 26 C, at 0.5 C an hour, in 4 L.", "us")
    'Comfortable from 64.4 to 78.8 F, at 0.9 F an hour, in 1.06 US gal.'
    """

    def said(found: re.Match[str]) -> str:
        unit = _UNITS.get(found["unit"], found["unit"])
        pace = found["pace"] or ""
        if unit == "degC" and pace:
            unit = "degC_step"
        shown = quantity(float(found["value"]), unit, prefer)
        if found["from"] is None:
            return shown + pace
        low = quantity(float(found["from"]), unit, prefer).partition(" ")[0]
        return f"{low}{found['join']}{shown}{pace}"

    return text if prefer == "metric" else _QUANTITY.sub(said, text)


def said_in(item: Said, prefer: Preference) -> Said:
    """An answer with all its sentences in the keeper's units; its numbers stay as they are."""
    found: Said = item if prefer == "metric" else _said(item, prefer)
    return found


def _said(item: Any, prefer: Preference) -> Any:
    if isinstance(item, str):
        return in_units(item, prefer)
    if isinstance(item, tuple):
        return tuple(_said(part, prefer) for part in item)
    if is_dataclass(item) and not isinstance(item, type):
        kept = {f.name: getattr(item, f.name) for f in fields(item) if f.name not in _KEPT}
        return replace(item, **{name: _said(value, prefer) for name, value in kept.items()})
    return item
