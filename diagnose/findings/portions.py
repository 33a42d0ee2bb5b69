"""What a piece of food weighs, where it was counted and not weighed.

The weights stand in `knowledge/portions.yaml`: pieces differ by maker, so each has a range and what
follows from it is an estimate.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import yaml

from diagnose.rulebook.places import bundled

if TYPE_CHECKING:
    from diagnose.intake.amounts import Amount

FILE_NAME = "portions.yaml"
_SafeLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Portion:
    """Milligrams: the least, the usual and the most. weighed: it was, and is no estimate."""

    low_mg: float
    mg: float
    high_mg: float
    weighed: bool = False


@dataclass(frozen=True, slots=True)
class Pieces:
    """Milligrams of one piece (least, usual, most) by its name, the names that some have in a size,
    and the factors of sizes.
    """

    mg: dict[str, tuple[float, float, float]]
    in_size: dict[tuple[str, str], str]
    factor: dict[str, float]


@cache
def pieces() -> Pieces:
    """The pieces of the bundled rulebook."""
    text = (bundled("knowledge") / FILE_NAME).read_text(encoding="utf-8")
    told: Any = _SafeLoader(text).get_single_data()
    mg = {
        name: (float(one["least"]), float(one["usual"]), float(one["most"]))
        for name, one in told["pieces"].items()
    }
    in_size = {
        (name, size): other
        for name, one in told["pieces"].items()
        for size, other in one.get("sizes", {}).items()
    }
    return Pieces(mg, in_size, {name: float(value) for name, value in told["sizes"].items()})


def portion(amount: Amount | None) -> Portion | None:
    """What an amount of food weighs; None for a piece of unknown weight."""
    if amount is None:
        return None
    if amount.mass_mg is not None:
        return Portion(amount.mass_mg, amount.mass_mg, amount.mass_mg, weighed=True)
    if amount.of is None or amount.number is None:
        return None
    known, size = pieces(), amount.size or ""
    # `pinch of flake` is a pinch, `shrimp pellet` a pellet.
    name = amount.of.partition(" of ")[0].split()[-1]
    if name not in known.mg:
        return None
    other = known.in_size.get((name, size))
    factor = known.factor.get(size, 1.0) if other is None else 1.0
    count = amount.number * factor
    low, usual, high = known.mg[other or name]
    return Portion(count * low, count * usual, count * high)
