"""What the keeper said outright: signs seen or looked for, answers in the vocabulary, what was
not done.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.findings.observation import Observation, Vocabulary
from diagnose.intake.case import Case


def told(case: Case, vocabulary: Vocabulary) -> Iterator[Observation]:
    """Signs, direct answers and denied events, as the keeper told them."""
    for name in case.seen:
        yield Observation(name, "present", "told", "seen")
    for name in case.not_seen:
        yield Observation(name, "absent", "told", "looked for and not seen")
    for name, answer in case.told.items():
        value = answer if isinstance(answer, str) else float(answer)
        yield Observation(name, value, "told", "told by the keeper")
    denied = set(case.not_done)
    for name, term in vocabulary.items():
        if term.event in denied and term.kind == "sign":
            yield Observation(name, "absent", "told", f"{term.event}: not done")


#: Fields of the container that are observations as they stand.
AS_TOLD = {
    "filter": "filter_state",
    "heater": "heater_state",
    "planting": "planting",
    "floating_cover": "floating_cover",
    "substrate": "substrate",
    "sun": "sun",
    "lid": "lid",
    "co2": "co2_feed",
    "water_source": "water_source",
    "conditioner": "conditioner_use",
    "topup": "topup_water",
    "light_hours": "light_hours",
    "volume_l": "volume_l",
    "age_days": "container_age_days",
    "substrate_age_days": "substrate_age_days",
    "change_share_percent": "last_change_share",
    "change_interval_days": "change_interval_days",
}


def container(case: Case) -> Iterator[Observation]:
    """The container and its habits. Running filters move the surface; nothing else is inferred."""
    for field, name in AS_TOLD.items():
        value = getattr(case.container, field)
        if value is not None:
            yield Observation(name, value, "told", f"container, {field.replace('_', ' ')}")
    moved = case.container.surface_moved
    if moved is not None:
        word = "present" if moved else "absent"
        yield Observation("surface_moved", word, "told", "container, surface moved")
    hours = case.container.sun_hours
    if hours is not None and case.container.sun is None:
        word = "none" if hours == 0 else "short" if hours < 1 else "long"
        yield Observation("sun", word, "told", "container, sun hours")
