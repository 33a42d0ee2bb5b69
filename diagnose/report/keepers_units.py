"""Sentences in the keeper's units: the rulebook's prose and what observations rest on are written
in metric ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from diagnose.report.wording import Preference, quantity

#: Fields of answers that hold the keeper's own words, or a name.
_KEPT = frozenset({"format", "case", "id", "rule", "name", "cite", "asked_at"})
_NUMBER = r"-?\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?P<near>\bwithin )?(?<![\w.,])"
    rf"(?:(?P<from>{_NUMBER})(?P<join> to | and |-))?(?P<value>{_NUMBER}) ?"
    r"(?P<unit>degC|C|L|mL)\b(?P<pace> an hour| in (?:any )?twelve hours| a day| warmer| colder)?"
)
_UNITS = {"C": "degC"}
Said = TypeVar("Said")
Say = Callable[[str, int, str], None]


def in_units(text: str, prefer: Preference) -> str:
    """The text with its temperatures and volumes as the keeper reads them; a temperature with a
    pace, or after `within`, is a difference.

    >>> in_units("Comfortable from 18 to 26 C, at 0.5 C an hour, in 4 L.", "us")
    'Comfortable from 64.4 to 78.8 F, at 0.9 F an hour, in 1.06 US gal.'
    >>> in_units("New water within 2 C of the old.", "us")
    'New water within 3.6 F of the old.'
    """

    def said(found: re.Match[str]) -> str:
        unit = _UNITS.get(found["unit"], found["unit"])
        near, pace = found["near"] or "", found["pace"] or ""
        if unit == "degC" and (near or pace):
            unit = "degC_step"
        shown = quantity(float(found["value"]), unit, prefer)
        if found["from"] is None:
            return near + shown + pace
        low = quantity(float(found["from"]), unit, prefer).partition(" ")[0]
        return f"{near}{low}{found['join']}{shown}{pace}"

    return text if prefer == "metric" else _QUANTITY.sub(said, text)


def said_in(item: Said, prefer: Preference) -> Said:
    """An answer with all its sentences in the keeper's units; its numbers stay as they are."""
    found: Said = item if prefer == "metric" else _said(item, prefer)
    return found


def saying_in(prefer: Preference | None, say: Say) -> Say:
    """A voice that says every sentence in the keeper's units; words quoted in back quotes are the
    keeper's own, and stay.
    """
    if prefer != "us":
        return say

    def said(text: str, indent: int, style: str) -> None:
        parts = text.split("`")
        parts[::2] = [in_units(part, prefer) for part in parts[::2]]
        say("`".join(parts), indent, style)

    return said


def _said(item: Any, prefer: Preference) -> Any:
    if isinstance(item, str):
        return in_units(item, prefer)
    if isinstance(item, tuple):
        return tuple(_said(part, prefer) for part in item)
    if is_dataclass(item) and not isinstance(item, type):
        kept = {f.name: getattr(item, f.name) for f in fields(item) if f.name not in _KEPT}
        return replace(item, **{name: _said(value, prefer) for name, value in kept.items()})
    return item
