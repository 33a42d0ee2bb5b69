"""How firm the ranking is: how often the first cause stays first when all weights and base rates
are shaken.

Every weight is shaken by a share of its own size and every base rate by a number of decibans,
independently and normally. The sum of shaken weights of one cause is again normal, with the
squares added up; so
one draw per cause and one per mechanism stands for all of its weights. Mechanisms are drawn once
for all causes that
share them.
"""

from __future__ import annotations

import math
import random
from typing import NamedTuple

from diagnose.belief.belief import Beliefs, Standing
from diagnose.rulebook.terms import Ranking

#: A contender this far behind in units of the joint shake cannot come first in any number of runs
#: that matters.
OUT_OF_REACH = 5.0
#: Words are earned on reported situations: the share of shaken runs and the belief from which a
#: first place is called so. Of those called firm there, more than nine in ten were right.
FIRM, FAIRLY_FIRM = 0.85, 0.7
LIKELIER_THAN_NOT = 0.5


class Firmness(NamedTuple):
    """share: of the shaken runs in which the first cause stayed first; rival: who came first
    otherwise; belief: in the first cause.
    """

    share: float
    rival: str | None
    belief: float

    @property
    def word(self) -> str:
        if self.belief < LIKELIER_THAN_NOT:
            return "open"
        if self.share >= FIRM:
            return "firm"
        return "fairly firm" if self.share >= FAIRLY_FIRM else "open"


def firmness(beliefs: Beliefs, settings: Ranking, seed: int = 0) -> Firmness:
    """Shakes the ranking `settings.shakes` times; the same seed gives the same answer."""
    first = beliefs.first
    spreads = {s.cause: _spreads(s, settings) for s in beliefs.standings}
    contenders = [
        s
        for s in beliefs.standings
        if first.score - s.score
        <= OUT_OF_REACH * math.hypot(*spreads[s.cause], *spreads[first.cause])
    ]
    if len(contenders) == 1:
        return Firmness(1.0, None, first.belief)
    source = random.Random(seed)
    gauss = source.gauss
    wins: dict[str, int] = {}
    for _ in range(settings.shakes):
        shared: dict[str, float] = {}
        best, best_score = first.cause, -math.inf
        for standing in contenders:
            own, through = spreads[standing.cause]
            if standing.mechanism not in shared:
                shared[standing.mechanism] = gauss(0.0, 1.0)
            value = standing.score + gauss(0.0, own) + through * shared[standing.mechanism]
            if value > best_score:
                best, best_score = standing.cause, value
        wins[best] = wins.get(best, 0) + 1
    rivals = sorted(((-n, name) for name, n in wins.items() if name != first.cause))
    rival = rivals[0][1] if rivals else None
    return Firmness(wins.get(first.cause, 0) / settings.shakes, rival, first.belief)


def _spreads(standing: Standing, settings: Ranking) -> tuple[float, float]:
    """Standard deviations (decibans) of a cause's own part with its base rate, and of its
    mechanism's part.
    """
    own = through = 0.0
    for argument in standing.arguments:
        square = (settings.shake_weight_share * argument.decibans) ** 2
        if argument.evidence.owner == standing.cause:
            own += square
        else:
            through += square
    own_part = math.sqrt(own) / settings.temperature
    mechanism_part = math.sqrt(through) / settings.temperature
    return math.hypot(own_part, settings.shake_base_decibans), mechanism_part
