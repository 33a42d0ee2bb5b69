"""All observations of a case, one for each name."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime

from diagnose.findings.chemistry import chemistry, range_distances
from diagnose.findings.clock import clock
from diagnose.findings.crowd import company, crowd, ration, species_known
from diagnose.findings.instruments import (
    dawn_oxygen,
    drifts,
    readings,
    step_at_change,
    temperatures,
)
from diagnose.findings.log_of_events import events, water_changes
from diagnose.findings.losses import losses
from diagnose.findings.observation import Observation, Profile, Vocabulary
from diagnose.findings.told import container, told
from diagnose.intake.case import Case

#: Which origin wins when two of them speak of the same thing.
PRECEDENCE = {"measured": 3, "told": 2, "derived": 1, "estimated": 0}


def observe(
    case: Case, vocabulary: Vocabulary, species: Profile, *, now: datetime
) -> tuple[Observation, ...]:
    """What the case says in the rulebook's vocabulary, sorted by name.

    A thing not told makes no observation; nothing here turns silence into absence. Of several
    statements about one thing the measured wins over the told, the told over the derived; among
    equals an exact answer of the keeper (`told`) wins, then the larger value, so that the order of
    entries never matters.
    """
    time = clock(case, now)
    found = [
        *container(case),
        *company(case),
        *species_known(case, species),
        *events(case, vocabulary, time),
        *water_changes(case, time),
        *losses(case, time),
        *crowd(case, species),
        *ration(case, species),
        *readings(case, time),
        *temperatures(case, time),
        *drifts(case, time),
        *dawn_oxygen(case, time),
        *step_at_change(case, time),
        *told(case, vocabulary),
    ]
    known = _one_each(found, vocabulary)
    known = _one_each([*known.values(), *chemistry(case, known)], vocabulary)
    known = _one_each([*known.values(), *range_distances(species, known)], vocabulary)
    return tuple(known[name] for name in sorted(known))


def _one_each(found: Iterable[Observation], vocabulary: Vocabulary) -> dict[str, Observation]:
    kept: dict[str, Observation] = {}
    for item in found:
        term = vocabulary.get(item.name)
        if term is None:
            continue
        if isinstance(item.value, float | int):
            value = float(item.value)
            low, high = term.possible or (-math.inf, math.inf)
            if not math.isfinite(value) or not low <= value <= high:
                continue
            item = Observation(item.name, value, item.origin, item.because, item.band)
        other = kept.get(item.name)
        if other is None or _rank(item) > _rank(other):
            kept[item.name] = item
    return kept


def _rank(item: Observation) -> tuple[int, bool, float, str, str]:
    number = item.value if isinstance(item.value, float) else 0.0
    word = item.value if isinstance(item.value, str) else ""
    by_keeper = item.because == "told by the keeper"
    return PRECEDENCE[item.origin], by_keeper, number, word, item.because
