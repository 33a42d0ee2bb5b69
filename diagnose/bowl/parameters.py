"""Ranges of the model's parameters, read from `knowledge/bowl_parameters.yaml`, and members drawn
from them.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from diagnose.bowl.description import BowlError

Array = NDArray[np.float64]
Members = Mapping[str, Array]

DEFAULT_MEMBERS = 200
FILE_NAME = "bowl_parameters.yaml"
#: Golden ratio: spreads the errors of a reading evenly over the members, without a random draw.
_SPREAD = 0.5 * (np.sqrt(5.0) - 1.0)
_SafeLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Range:
    """What one parameter may be: ends, likeliest value, spread evenly by ratio if `by_ratio`."""

    name: str
    low: float
    mid: float
    high: float
    by_ratio: bool
    unit: str
    source: str
    note: str


def load_ranges(folder: Path) -> dict[str, Range]:
    """Ranges by name from the bowl's file in a knowledge folder.

    Raises BowlError, naming the file and the entry, where it cannot be read.
    """
    path = folder / FILE_NAME
    try:
        document: Any = _SafeLoader(path.read_text(encoding="utf-8")).get_single_data()
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise BowlError(f"{path.name} cannot be read: {error}") from error
    entries = document.get("parameters") if isinstance(document, dict) else None
    if not isinstance(entries, dict):
        raise BowlError(f"{path.name} has no `parameters:` with `name: {{low, mid, high}}` lines.")
    return {str(name): _range(path.name, str(name), entry) for name, entry in entries.items()}


def _range(file: str, name: str, entry: Any) -> Range:
    wrong = f"{file}: `{name}`"
    if not isinstance(entry, dict):
        raise BowlError(
            f"{wrong} is not a mapping; write `{{low: 1, mid: 2, high: 3, source: x}}`."
        )
    numbers: list[float] = []
    for key in ("low", "mid", "high"):
        value = entry.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise BowlError(f"{wrong} has no number `{key}`.")
        numbers.append(float(value))
    low, mid, high = numbers
    if not (np.isfinite(numbers).all() and low <= mid <= high and low < high):
        raise BowlError(f"{wrong} must rise from low over mid to high.")
    by_ratio = entry.get("scale", "even") == "log"
    if by_ratio and low <= 0.0:
        raise BowlError(f"{wrong} is spread by ratio, so low must be above zero.")
    if not isinstance(entry.get("source"), str):
        raise BowlError(f"{wrong} names no source.")
    return Range(
        name, low, mid, high, by_ratio, str(entry.get("unit", "")), entry["source"],
        str(entry.get("note", "")),
    )  # fmt: skip


def draw_members(
    ranges: Mapping[str, Range], seed: int, count: int = DEFAULT_MEMBERS
) -> dict[str, Array]:
    """`count` members: for each parameter one value a member, from a triangular distribution.

    Each parameter is stratified (one value from each of `count` equally likely slices, shuffled)
    and has its own random stream, made of the seed and its name: adding a parameter, or another
    order of the file, leaves the others as they were.
    """
    if count < 1:
        raise BowlError("An ensemble needs at least one member.")
    members: dict[str, Array] = {}
    for name, bounds in ranges.items():
        stream = np.random.default_rng([seed, zlib.crc32(name.encode())])
        slices = (stream.permutation(count) + stream.random(count)) / count
        members[name] = _triangular(bounds, slices)
    return members


def middle_members(ranges: Mapping[str, Range], count: int = 1) -> dict[str, Array]:
    """Members that all have the likeliest value of every parameter."""
    return {name: np.full(count, bounds.mid) for name, bounds in ranges.items()}


def spread_errors(count: int) -> Array:
    """Errors of mean 0 and standard deviation 1, spread evenly over the members.

    A logistic curve stands in for the normal distribution's: same spread, no table needed.
    """
    place = (np.arange(1, count + 1) * _SPREAD) % 1.0
    return np.asarray(np.log(place / (1.0 - place)) * (np.sqrt(3.0) / np.pi))


def _triangular(bounds: Range, probability: Array) -> Array:
    low, mid, high = bounds.low, bounds.mid, bounds.high
    if bounds.by_ratio:
        low, mid, high = np.log(low), np.log(mid), np.log(high)
    split = (mid - low) / (high - low)
    below = low + np.sqrt(probability * (high - low) * (mid - low))
    above = high - np.sqrt((1.0 - probability) * (high - low) * (high - mid))
    drawn = np.where(probability < split, below, above)
    return np.asarray(np.exp(drawn) if bounds.by_ratio else drawn, dtype=np.float64)
