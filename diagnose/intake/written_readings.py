"""Readings as kits and meters give them, in the units and on the basis the program counts in.

What a hobby kit prints, unless the file says otherwise (`as:`): ammonia is the total, counted as
NH3/NH4; nitrite and nitrate are counted as the ion. Inside, ammonia and nitrite are nitrogen,
nitrate is NO3.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from diagnose.intake import quantities as q
from diagnose.intake.meaning import folded
from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import scaled
from diagnose.intake.told_readings import told_word
from diagnose.water.atomic_weights import NH3, NH4, NO2, NO3, N


def _concentration(of: str) -> q.Measure:
    return replace(q.CONCENTRATION, name=f"reading of {of}")


_MEASURES = {
    "temperature": q.TEMPERATURE,
    "ph": q.PH,
    "ammonia": _concentration("ammonia"),
    "nitrite": _concentration("nitrite"),
    "nitrate": _concentration("nitrate"),
    "gh": q.GENERAL_HARDNESS,
    "kh": q.CARBONATE_HARDNESS,
    "solids": q.SOLIDS,
    "conductivity": q.CONDUCTIVITY,
    "oxygen": _concentration("oxygen"),
    "co2": _concentration("co2"),
    "chlorine": _concentration("chlorine"),
    "copper": _concentration("copper"),
    "phosphate": _concentration("phosphate"),
}
#: What keepers call all they tested, naming none of it.
ALL_VALUES = ("values", "all", "all values", "water values", "water test", "test", "parameters")
#: What the trade also calls them.
_ALSO_CALLED = {
    "temp": "temperature",
    "ph value": "ph",
    "tan": "ammonia",
    "nh3": "ammonia",
    "nh4": "ammonia",
    "ammonium": "ammonia",
    "no2": "nitrite",
    "no3": "nitrate",
    "hardness": "gh",
    "alkalinity": "kh",
    "tds": "solids",
    "ec": "conductivity",
    "o2": "oxygen",
    "do": "oxygen",
    "cl2": "chlorine",
    "cu": "copper",
    "po4": "phosphate",
}
#: `as:` words, with the factor into the program's own basis. `total-NH3` and `total-NH4` differ by
#: 6 %.
AMMONIA_BASES = {
    "total-n": ("ammonia", 1.0),
    "total-nh4": ("ammonia", N / NH4),
    "total-nh3": ("ammonia", N / NH3),
    "un-ionised": ("unionised_ammonia", N / NH3),
    "un-ionised-n": ("unionised_ammonia", 1.0),
}
NITRITE_BASES = {"n": 1.0, "ion": N / NO2}
NITRATE_BASES = {"n": NO3 / N, "ion": 1.0}
DEFAULT_AMMONIA_BASIS, DEFAULT_ION_BASIS = "total-nh3", "ion"
_BASIS_SPELLINGS = {
    "ammonia": "`total-N`, `total-NH4`, `total-NH3`, `un-ionised` or `un-ionised-N`",
    "nitrite": "`N` or `ion`",
    "nitrate": "`N` or `ion`",
}


def canonical_reading(written: dict[str, Any], units: str) -> dict[str, Any]:
    """A reading's fields with `what` and `value` as the program counts them; `unit` and `as` used
    up.

    Other fields pass through. Raises Unreadable; a missing `what` or `value` is left for the model
    to say.
    """
    rest = {key: value for key, value in written.items() if key not in ("unit", "as")}
    if "what" not in written or written.get("value") is None:
        return rest
    value, unit = written["value"], written.get("unit")
    text = _joined(value, unit)
    part = "what"
    try:
        if folded(str(written["what"])) in ALL_VALUES:
            return rest | _said_of_all(value)
        what = reading_name(written["what"])
        measure = _MEASURES[what]
        if what == "oxygen" and text is not None and text.rstrip().endswith(("%", "percent")):
            what, measure = "oxygen_percent", q.OXYGEN_PERCENT
        part = "value"
        word = told_word(value)
        if word is not None:
            # What it means hangs on the quantity alone: words are of no unit and no basis.
            what = "solids" if what == "conductivity" else what
            return rest | {"what": what, "value": 0.0, "word": word, "as_written": str(value)}
        number = q.read_quantity(value if text is None else text, measure, units)
        part = "as"
        what, factor, basis = _basis(what, written.get("as"))
    except Unreadable as error:
        raise Unreadable(error.problem, error.hint, part) from None
    shown = f"{value if text is None else text}{f' as {basis}' if basis else ''}"
    return rest | {
        "what": what,
        "value": scaled(number, factor),
        "as_written": shown,
    }


def _said_of_all(value: object) -> dict[str, Any]:
    """`values: fine`, where no quantity was named. Raises Unreadable."""
    word = told_word(value)
    if word is None:
        raise Unreadable(
            f"`{value}` says nothing of all values together.",
            "Write `fine`, or name what was measured: `{what: ph, value: 7.2}`.",
        )
    return {"what": "values", "value": 0.0, "word": word, "as_written": str(value)}


def reading_name(written: object) -> str:
    """The program's name for what was measured. Raises Unreadable with the nearest name."""
    said = " ".join(str(written).lower().replace("_", " ").split())
    name = _ALSO_CALLED.get(said, said.replace(" ", "_"))
    if name in _MEASURES:
        return name
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(name, [*_MEASURES, *_ALSO_CALLED], n=1)
    known = f"Use one of: {', '.join(_MEASURES)}."
    hint = f"Did you mean `{_ALSO_CALLED.get(near[0], near[0])}`? {known}" if near else known
    raise Unreadable(f"`{written}` is nothing that is measured here.", hint)


def _joined(value: object, unit: object) -> str | None:
    """The value with the unit of its own column or key; None for a bare number."""
    if unit is None or str(unit).strip() == "":
        return value if isinstance(value, str) else None
    if not isinstance(value, bool | int | float | str):
        return None
    return f"{value} {unit}"


def _basis(what: str, written: object) -> tuple[str, float, str]:
    said = None if written is None or written == "" else str(written).strip().lower()
    if what == "ammonia":
        basis = said or DEFAULT_AMMONIA_BASIS
        if basis in AMMONIA_BASES:
            kind, factor = AMMONIA_BASES[basis]
            return kind, factor, basis
    elif what in ("nitrite", "nitrate"):
        bases = NITRITE_BASES if what == "nitrite" else NITRATE_BASES
        basis = said or DEFAULT_ION_BASIS
        if basis in bases:
            return what, bases[basis], basis
    elif said is None:
        return what, 1.0, ""
    else:
        raise Unreadable(f"`as: {written}` means nothing for {what}.", "Leave it out.")
    raise Unreadable(
        f"`as: {written}` is no way of counting {what}.", f"Write {_BASIS_SPELLINGS[what]}."
    )
