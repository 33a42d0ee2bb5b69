"""What a piece of food weighs, where it was counted and not weighed.

All weights are common practice, no source: pieces differ by maker, so each has a range and what
follows from it is an estimate.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.intake.amounts import Amount


@dataclass(frozen=True, slots=True)
class Portion:
    """Milligrams: the least, the usual and the most. weighed: it was, and is no estimate."""

    low_mg: float
    mg: float
    high_mg: float
    weighed: bool = False


#: Milligrams of one piece: least, usual, most.
PIECES_MG = {
    "crumb": (1.0, 3.0, 8.0),
    "granule": (0.5, 1.5, 4.0),
    "flake": (1.0, 3.0, 8.0),
    "pellet": (10.0, 20.0, 30.0),
    "stick": (20.0, 50.0, 100.0),
    "tablet": (100.0, 250.0, 500.0),
    "wafer": (100.0, 250.0, 500.0),
    "pinch": (20.0, 50.0, 100.0),
    "spoon": (500.0, 1500.0, 3000.0),
    "teaspoon": (1000.0, 2000.0, 3500.0),
    "tablespoon": (4000.0, 7000.0, 10000.0),
}
#: How much a size changes a piece.
SIZES = {
    "tiny": 0.25,
    "small": 1.0,
    "level": 1.0,
    "big": 3.0,
    "large": 3.0,
    "heaped": 2.0,
}


def portion(amount: Amount | None) -> Portion | None:
    """What an amount of food weighs; None for a piece of unknown weight."""
    if amount is None:
        return None
    if amount.mass_mg is not None:
        return Portion(amount.mass_mg, amount.mass_mg, amount.mass_mg, weighed=True)
    if amount.of is None or amount.number is None:
        return None
    # `pinch of flake` is a pinch, `shrimp pellet` a pellet.
    piece = PIECES_MG.get(amount.of.partition(" of ")[0].split()[-1])
    if piece is None:
        return None
    count = amount.number * SIZES.get(amount.size or "", 1.0)
    return Portion(count * piece[0], count * piece[1], count * piece[2])
