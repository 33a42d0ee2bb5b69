"""Weights of the members by how well they meet what was measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.bowl.description import Quantity, Reading
from diagnose.bowl.parameters import Array
from diagnose.bowl.simulate import Run
from diagnose.water.nitrogen import NO2_PER_N, NO3_PER_N

# Usual error of a keeper's reading: a fixed part in the reading's unit and a share of the value.
# Strips and drop tests are read to the nearest colour (common practice, no source).
USUAL_ERROR: Final[dict[Quantity, tuple[float, float]]] = {
    "temperature_c": (0.5, 0.0),
    "oxygen_mg_l": (0.5, 0.05),
    "tan_mg_l": (0.10, 0.30),
    "nitrite_mg_l": (0.04, 0.30),
    "nitrate_n_mg_l": (1.5, 0.30),
    "solids_mg_l": (5.0, 0.05),
    "gh_dgh": (0.7, 0.05),
    "ph": (0.2, 0.0),
}
# A kit's ammonia is the ion or the gas, hardly told apart: 17.0 to 18.0 over 14.0; taken as NH4.
NH4_PER_N: Final = 18.039 / 14.007
#: Colour steps of the usual drop tests, in the kit's own units, as the mg/L as N they stand for
#: (common practice, no source). Other quantities are read on a scale.
STEPS: Final[Mapping[Quantity, Array]] = {
    "tan_mg_l": np.array([0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0]) / NH4_PER_N,
    "nitrite_mg_l": np.array([0.0, 0.25, 0.5, 1.0, 2.0, 5.0]) / NO2_PER_N,
    "nitrate_n_mg_l": np.array([0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0]) / NO3_PER_N,
}
# Fewer members than this must not carry the weight alone: the weights are softened until they do.
LEAST_EFFECTIVE: Final = 20.0
LEAST_EFFECTIVE_SHARE: Final = 0.10


@dataclass(frozen=True)
class Weighting:
    """weights: one a member, adding up to 1. effective_members: how many they amount to.

    softened: below 1 where few members met the readings and the weights had to be softened.
    best_misfit: root mean square of the best member's misfits, in errors of the readings; above
    about 3 something is at work that the model does not know, or a reading is wrong.
    """

    weights: Array
    effective_members: float
    softened: float
    best_misfit: float


def weigh(run: Run, readings: Sequence[Reading]) -> Weighting:
    """Weights members by exp(-chi^2/2) over the readings within the run.

    A reading outside the run's hours is left out. Order of the readings does not matter.
    """
    count = run.volume_l.shape[1]
    misfit = np.zeros(count)
    met = 0
    for reading in sorted(readings, key=lambda one: (one.hour, one.quantity, one.value)):
        row = round(reading.hour) - run.first_hour
        if not 0 <= row < len(run.volume_l):
            continue
        met += 1
        off = modelled(run, reading.quantity)[row] - reading.value
        if _darkest(reading):
            off = np.minimum(off, 0.0)
        misfit += (off / reading_sd(reading)) ** 2
    best = float(np.sqrt(misfit.min() / max(met, 1)))
    return _soften(-0.5 * (misfit - misfit.min()), best)


def modelled(run: Run, quantity: Quantity) -> Array:
    """Hourly values of a quantity of a run (hours + 1, members)."""
    found: Array = getattr(run, quantity)
    return found


def reading_sd(reading: Reading) -> float:
    """Error of a reading: the keeper's and, of a kit with colour steps, that of its step."""
    fixed, share = USUAL_ERROR[reading.quantity]
    sd = reading.sd if reading.sd is not None else fixed + share * abs(reading.value)
    steps = STEPS.get(reading.quantity)
    if steps is None:
        return sd
    at = min(max(int(np.searchsorted(steps, reading.value)), 1), len(steps) - 1)
    width = float(steps[at] - steps[at - 1])
    # Anywhere within a step alike: its width over the root of twelve.
    return float(np.hypot(sd, width / np.sqrt(12.0)))


def _darkest(reading: Reading) -> bool:
    """Whether a kit ended at this reading, so that there was at least so much."""
    steps = STEPS.get(reading.quantity)
    return steps is not None and reading.value >= float(steps[-1]) - 1e-9


def _effective(log_weight: Array) -> tuple[Array, float]:
    weight = np.exp(log_weight)
    weight = weight / weight.sum()
    return weight, float(1.0 / np.sum(weight**2))


def _soften(log_weight: Array, best_misfit: float) -> Weighting:
    least = min(LEAST_EFFECTIVE, max(1.0, LEAST_EFFECTIVE_SHARE * len(log_weight)))
    weight, effective = _effective(log_weight)
    if effective >= least:
        return Weighting(weight, effective, 1.0, best_misfit)
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        if _effective(middle * log_weight)[1] >= least:
            low = middle
        else:
            high = middle
    weight, effective = _effective(low * log_weight)
    return Weighting(weight, effective, low, best_misfit)
