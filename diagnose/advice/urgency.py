"""What is known, or reckoned, to kill soon: the one judgement behind the headline and the steps."""

from __future__ import annotations

from typing import NamedTuple

from diagnose.advice.forbidden import HOLDS_FROM, known_values
from diagnose.inference.engine import Trace
from diagnose.rulebook.requirements import met
from diagnose.rulebook.terms import Level, Peril, Rulebook

#: The level when nothing holds that asks for more.
WATCH = "watch"
#: Levels at which something has to be done, not only looked at.
TO_ACT = ("within-the-hour", "today")


class Judgement(NamedTuple):
    """How soon to act, the sentence for it, and the perils that hold, the most urgent first."""

    level: Level
    says: str
    perils: tuple[Peril, ...]

    @property
    def acts(self) -> bool:
        """Whether something has to be done today."""
        return self.level.id in TO_ACT


def judge(rulebook: Rulebook, trace: Trace, *, well: bool) -> Judgement:
    """The judgement on what is known. well: the likeliest answer says that the animals are well."""
    known = known_values(trace)
    everything: dict[str, str | float] = {
        **{name: item.value for name, item in trace.observations.items()},
        **{name: firing.degree for name, firing in trace.conditions.items()},
    }
    held = [
        peril
        for peril in rulebook.perils.values()
        if met(peril.when, everything if peril.estimated else known) >= HOLDS_FROM
        and not (peril.calmed and well)
    ]
    shadowed = {name for peril in held for name in peril.instead_of}
    order = list(rulebook.levels)
    left = [peril for peril in held if peril.id not in shadowed]
    left.sort(key=lambda peril: order.index(peril.level))
    level = rulebook.levels[left[0].level if left else WATCH]
    said = next((p.says for p in left if p.says and p.level == level.id), "")
    return Judgement(level, f"{level.says} {said}".strip(), tuple(left))
