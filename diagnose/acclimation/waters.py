"""The waters of a case: what was last measured in the container, tap, new water and bag."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from diagnose.acclimation.plan import Water
from diagnose.findings.observation import Observation
from diagnose.findings.readings import latest
from diagnose.findings.timeline import timeline_of
from diagnose.intake.case import Case
from diagnose.water.conductivity import dissolved_solids_mg_l

#: Fields of a water and the reading that tells them.
READINGS = {
    "temperature_c": "temperature",
    "solids_mg_l": "solids",
    "gh_dgh": "gh",
    "kh_dkh": "kh",
    "ph": "ph",
    "tan_mg_l": "ammonia",
}


def water_of(case: Case, where: str, *, now: datetime) -> Water:
    """The newest readings of one water (`container`, `tap`, `new_water`, `bag`)."""
    timeline = timeline_of(case, now)
    values: dict[str, float] = {}
    for field, what in READINGS.items():
        sample = latest(case, timeline, what, where)
        if sample is not None:
            values[field] = sample.value
    if "solids_mg_l" not in values:
        sample = latest(case, timeline, "conductivity", where)
        if sample is not None:
            values["solids_mg_l"] = dissolved_solids_mg_l(sample.value)
    return Water(**values)


def container_water(known: Mapping[str, Observation]) -> Water:
    """The container's water as the observations have it."""
    values = {
        name: item.value
        for name in READINGS
        if (item := known.get(name)) is not None and isinstance(item.value, float)
    }
    return Water(**values)
