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
    """How soon to act, the sentence for it, the perils that hold, the most urgent first, and the
    mechanism whose next look fits them (empty: that of the likeliest cause).
    """

    level: Level
    says: str
    perils: tuple[Peril, ...]
    look: str

    @property
    def acts(self) -> bool:
        """Whether something has to be done today."""
        return self.level.id in TO_ACT


def judge(rulebook: Rulebook, trace: Trace, *, well: bool, belief: float) -> Judgement:
    """The judgement on what is known. well: the likeliest answer says that the animals are well;
    belief: how far that answer is believed. A harm that is believed is acted upon though nothing
    else asks for it.
    """
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
    name = left[0].level if left else WATCH
    if not well:
        name = min(name, _asked_by(rulebook, belief), key=order.index)
    level = rulebook.levels[name]
    said = next((p.says for p in left if p.says), "")
    look = next((p.look for p in left if p.look), "")
    return Judgement(level, f"{level.says} {said}".strip(), tuple(left), look)


def _asked_by(rulebook: Rulebook, belief: float) -> str:
    """How soon the belief in a harm alone asks to act."""
    if belief >= rulebook.numbers["believed_today"].value:
        return "today"
    return "this-week" if belief >= rulebook.numbers["believed_this_week"].value else WATCH
