"""Steps for now, today and this week, and how to keep it from coming back.

First what stops the dying and is safe whatever the cause; then what the leading cause needs, and
the causes close behind it. Where two steps conflict, the one for the likelier cause stays; while
two causes are close, the
less drastic one does.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.advice.forbidden import known_values, sorted_out
from diagnose.belief.belief import Beliefs, Standing
from diagnose.inference.engine import Trace
from diagnose.rulebook.terms import Rulebook, Step

Phase = Literal["now", "today", "this_week", "prevent"]
PHASES: tuple[Phase, ...] = ("now", "today", "this_week", "prevent")
#: Below this belief a cause's own remedies wait until more is known.
ENOUGH_TO_ACT = 0.2
WATCH = "watch"


class PlannedStep(NamedTuple):
    """A step, when to take it, and the causes it is for (none: safe whatever the cause)."""

    step: Step
    phase: Phase
    causes: tuple[str, ...]


class LeftOut(NamedTuple):
    """A step not advised because it conflicts with one that is."""

    step: Step
    instead: Step
    causes: tuple[str, ...]


class Plan(NamedTuple):
    """urgency: how soon to act; steps in order; left_out: what was dropped for a conflict;
    caution ids.
    """

    urgency: str
    steps: tuple[PlannedStep, ...]
    left_out: tuple[LeftOut, ...]
    cautions: tuple[str, ...]


def acted_upon(rulebook: Rulebook, beliefs: Beliefs) -> tuple[Standing, ...]:
    """The leading cause and those so close behind that their remedies count too."""
    first = beliefs.first
    close = rulebook.ranking.close_decibans
    return tuple(
        s
        for s in beliefs.standings
        if s is first or (s.belief >= ENOUGH_TO_ACT and first.score - s.score <= close)
    )


def harmless(rulebook: Rulebook, standing: Standing) -> bool:
    """Whether a cause says that the animals are well."""
    return rulebook.mechanisms[standing.mechanism].harmless


def urgency(rulebook: Rulebook, trace: Trace) -> str:
    """How soon to act: the first level whose condition holds, else `watch`."""
    for level, condition in rulebook.urgency:
        if condition in trace.conditions:
            return level
    return WATCH


def plan(rulebook: Rulebook, trace: Trace, beliefs: Beliefs) -> Plan:
    """The plan for a ranking."""
    leaders = acted_upon(rulebook, beliefs)
    level = urgency(rulebook, trace)
    calm = harmless(rulebook, beliefs.first) and level != "within-the-hour"
    wanted: list[PlannedStep] = []
    before = {"now": rulebook.first_steps, "today": rulebook.later_steps}
    after = {"now": rulebook.after_steps}
    for phase in PHASES:
        if not calm:
            wanted += _safe(rulebook, phase, before.get(phase, ()))
        for standing in leaders:
            if standing.belief < ENOUGH_TO_ACT and phase != "prevent":
                continue
            for name in getattr(rulebook.causes[standing.cause], phase):
                wanted.append(PlannedStep(rulebook.steps[name], phase, (standing.cause,)))
        if not calm:
            wanted += _safe(rulebook, phase, after.get(phase, ()))
    values = known_values(trace)
    _, withheld = sorted_out((item.step for item in wanted), values)
    out = {item.step.id for item in withheld}
    wanted = [item for item in wanted if item.step.id not in out]
    kept, dropped = _without_conflicts(_once_each(wanted), close=len(leaders) > 1)
    cautions = [name for planned in kept for name in planned.step.cautions]
    cautions += [name for s in leaders for name in rulebook.causes[s.cause].cautions]
    return Plan(
        urgency=WATCH if calm and level == "today" else level,
        steps=tuple(kept),
        left_out=tuple(dropped),
        cautions=tuple(dict.fromkeys(cautions)),
    )


def _safe(rulebook: Rulebook, phase: Phase, names: tuple[str, ...]) -> list[PlannedStep]:
    """Steps that are safe whatever the cause."""
    return [PlannedStep(rulebook.steps[name], phase, ()) for name in names]


def _once_each(wanted: list[PlannedStep]) -> list[PlannedStep]:
    """Each step once, at its earliest phase, for all causes that want it."""
    merged: dict[str, PlannedStep] = {}
    for item in wanted:
        known = merged.get(item.step.id)
        if known is None:
            merged[item.step.id] = item
        else:
            causes = tuple(dict.fromkeys((*known.causes, *item.causes)))
            merged[item.step.id] = PlannedStep(known.step, known.phase, causes)
    return list(merged.values())


def conflict(one: Step, other: Step) -> bool:
    """Whether two steps must not be advised together; it is enough that one of them says so."""
    return other.id in one.conflicts or one.id in other.conflicts


def _without_conflicts(
    wanted: list[PlannedStep], *, close: bool
) -> tuple[list[PlannedStep], list[LeftOut]]:
    """Keeps steps in the order of preference, each only if nothing kept before conflicts with
    it.
    """
    order = sorted(wanted, key=lambda item: item.step.drastic) if close else wanted
    kept: list[PlannedStep] = []
    dropped: list[LeftOut] = []
    for item in order:
        instead = next((k.step for k in kept if conflict(k.step, item.step)), None)
        if instead is None:
            kept.append(item)
        else:
            dropped.append(LeftOut(item.step, instead, item.causes))
    kept.sort(key=lambda item: (PHASES.index(item.phase), wanted.index(item)))
    return kept, dropped
