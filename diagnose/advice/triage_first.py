"""Whether a container is in such a state that triage comes before any routine.

The judgement is that of triage itself: the perils of `knowledge/urgency.yaml` that ask for action
today or sooner. A death that lies two weeks back, or a single one, is a matter for the gates of
stocking, not for tonight.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.advice.forbidden import HOLDS_FROM, state_of
from diagnose.advice.urgency import TO_ACT, judge
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Trace
from diagnose.rulebook.terms import Peril, Rulebook

#: Perils that are of the past once the last death is.
OF_DEATHS = frozenset({"dying-fast", "dying-slowly", "some-died"})
#: The peril that one death alone makes.
OF_ONE_DEATH = "some-died"
#: What ails beside the shrimp sends to triage too.
COMPANIONS = "companions-ail-now"


@dataclass(frozen=True, slots=True)
class StateReason:
    """What sends to triage, in a sentence or title, and the observations it rests on."""

    says: str
    rests_on: tuple[Observation, ...]


def triage_first(
    rulebook: Rulebook, observations: Iterable[Observation]
) -> tuple[StateReason, ...]:
    """What sends to triage first, the most urgent first; none for a calm container."""
    known = {item.name: item for item in observations}
    trace = state_of(rulebook, known.values())
    past = OF_DEATHS if _is(known, "deaths_past", "present") else frozenset()
    past |= {OF_ONE_DEATH} if _is(known, "death_shape", "single") else frozenset()
    found = [
        _reason(rulebook, trace, peril)
        for peril in judge(rulebook, trace, well=False, belief=0.0).perils
        if peril.level in TO_ACT and peril.id not in past
    ]
    firing = trace.conditions.get(COMPANIONS)
    if firing is not None and firing.degree >= HOLDS_FROM:
        title = f"{rulebook.conditions[COMPANIONS].title}."
        found.append(StateReason(title, trace.rests_on(firing)))
    return tuple(found)


def _is(known: Mapping[str, Observation], name: str, word: str) -> bool:
    return name in known and known[name].value == word


def _reason(rulebook: Rulebook, trace: Trace, peril: Peril) -> StateReason:
    """The peril's own sentence, else the titles of the conditions it stands for, else its level."""
    names = sorted({leaf.name for way in peril.when for leaf in way})
    rests_on = {name: trace.observations[name] for name in names if name in trace.observations}
    titles = []
    for name in names:
        if name in trace.conditions:
            titles.append(f"{rulebook.conditions[name].title}.")
            rests_on |= {item.name: item for item in trace.rests_on(trace.conditions[name])}
    says = peril.says or " ".join(titles) or rulebook.levels[peril.level].says
    return StateReason(says, tuple(rests_on[name] for name in sorted(rests_on)))
