"""Whose container the numbers are worked through for: one's own from a case, or the demo's jar."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from diagnose.report.wording import Preference
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook, Species

if TYPE_CHECKING:
    from diagnose.findings.observed_case import ObservedCase


@dataclass(frozen=True, slots=True)
class Setting:
    """One container as the sums need it.

    adults: grown shrimp; change_share: new water at each change, 0 to 1; tan_mg_l: total ammonia as
    N; nitrate_mg_l: as NO3; taken: the fields nobody told, where the demo jar's value stands in.
    """

    name: str
    species: Species
    prefer: Preference = "metric"
    volume_l: float = 6.0
    depth_cm: float = 18.0
    adults: float = 12.0
    temperature_c: float = 22.0
    ph: float = 7.6
    tan_mg_l: float = 0.5
    nitrate_mg_l: float = 40.0
    gh_dgh: float = 8.0
    kh_dkh: float = 5.0
    change_share: float = 0.5
    taken: tuple[str, ...] = ()


DEMO_NAME = "the studio's tea-corner jar"
#: What each number is called when it had to be taken from the demo's jar.
CALLED = {
    "volume_l": "its litres",
    "depth_cm": "the depth",
    "adults": "the number of animals",
    "temperature_c": "the temperature",
    "ph": "the pH",
    "tan_mg_l": "the ammonia",
    "nitrate_mg_l": "the nitrate",
    "gh_dgh": "the hardness",
    "kh_dkh": "the alkalinity",
    "change_share": "the share changed",
}
#: Within these the formulas of `diagnose.water` hold together; what lies outside is no water that
#: shrimp live in, and the nearest end stands in.
HOLDS_WITHIN: Mapping[str, tuple[float, float]] = {
    "volume_l": (0.2, 1000.0),
    "depth_cm": (2.0, 100.0),
    "adults": (1.0, 2000.0),
    "temperature_c": (4.0, 36.0),
    "ph": (5.2, 9.5),
    "tan_mg_l": (0.05, 50.0),
    "nitrate_mg_l": (5.0, 1000.0),
    "gh_dgh": (0.5, 50.0),
    "kh_dkh": (0.5, 24.0),
    "change_share": (0.05, 0.95),
}


def demo(rulebook: Rulebook) -> Setting:
    """The demo's jar: six litres, a dozen grown shrimp."""
    return Setting(DEMO_NAME, species_of(rulebook, None))


def of_case(rulebook: Rulebook, observed: ObservedCase, prefer: Preference | None) -> Setting:
    """The container of a case; what the case leaves out is taken from the demo's jar and named."""
    case = observed.case
    known = {o.name: o.value for o in observed.observations if not isinstance(o.value, str)}
    told: dict[str, float | None] = {
        name: _number(known.get(name))
        for name in ("volume_l", "temperature_c", "ph", "tan_mg_l", "nitrate_mg_l")
    }
    told |= {name: _number(known.get(name)) for name in ("gh_dgh", "kh_dkh")}
    told["depth_cm"] = case.container.water_depth_cm
    told["adults"] = float(case.stock.adults) if case.stock.adults is not None else None
    share = case.container.change_share_percent
    told["change_share"] = share / 100.0 if share is not None else None
    found = {name: _held(name, value) for name, value in told.items() if value is not None}
    return replace(
        Setting(
            case.title or case.case,
            species_of(rulebook, case.stock.species, *case.stock.also_species),
        ),
        prefer=prefer or case.units,
        taken=tuple(f.name for f in fields(Setting) if told.get(f.name, 0) is None),
        **found,  # type: ignore[arg-type]
    )


def matters(field: str, at: Setting, sum_of: Callable[[Setting], object]) -> bool:
    """Whether a sum would come out otherwise with another value in that field."""
    ends = HOLDS_WITHIN[field]
    other = max(ends, key=lambda end: abs(end - getattr(at, field)))
    return sum_of(replace(at, **{field: other})) != sum_of(at)  # type: ignore[arg-type]


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _held(name: str, value: float) -> float:
    low, high = HOLDS_WITHIN[name]
    return min(high, max(low, value))
