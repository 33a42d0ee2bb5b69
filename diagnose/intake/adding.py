"""How many animals are to be added, as people say it: `8 adults`, `6 adults and 10 young`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import read_count

_STAGES = {
    "adults": "adults", "adult": "adults", "grown": "adults", "shrimp": "adults",
    "shrimps": "adults", "animals": "adults", "animal": "adults", "females": "adults",
    "males": "adults", "female": "adults", "male": "adults", "": "adults",
    "young": "juveniles", "juveniles": "juveniles", "juvenile": "juveniles",
    "babies": "juveniles", "shrimplets": "juveniles",
}  # fmt: skip
RIGHT = "Write `8 adults`, or `6 adults, 10 young`."


@dataclass(frozen=True, slots=True)
class Added:
    """Grown and young animals to be added."""

    adults: int
    juveniles: int


def read_added(written: str) -> Added:
    """The numbers written. Raises Unreadable.

    >>> read_added("6 adults and 10 young")
    Added(adults=6, juveniles=10)
    """
    found = {"adults": 0, "juveniles": 0}
    for part in re.split(r"\s*(?:,|\+|\band\b)\s*", " ".join(written.lower().split())):
        parts = part.split(" ", 1)
        word = parts[1] if len(parts) > 1 else ""
        stage = _STAGES.get(word)
        if stage is None:
            raise Unreadable(f"`{part}` does not say how many animals of which age.", RIGHT)
        try:
            found[stage] += read_count(parts[0])
        except Unreadable:
            raise Unreadable(f"`{part}` does not say how many animals.", RIGHT) from None
    return Added(found["adults"], found["juveniles"])
