"""Steps for now, today and this week, and how to keep it from coming back.

First people, then what lowers what kills now, then what the leading cause needs by the way it came,
and the causes close behind it. What the case forbids is withheld; a drastic step is advised by what
waiting costs against what the step costs. Where two steps conflict, the one against a known peril
stays, then the one for the likelier cause; while two causes are close, the less drastic one does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

from diagnose.advice.forbidden import (
    HOLDS_FROM,
    Values,
    Withheld,
    before,
    known_values,
    withheld_of,
)
from diagnose.advice.urgency import Judgement, judge
from diagnose.belief.belief import Beliefs, Standing
from diagnose.inference.engine import Trace
from diagnose.rulebook.requirements import met
from diagnose.rulebook.terms import Cause, NextLook, Rulebook, Step

Phase = Literal["now", "today", "this_week", "prevent"]
PHASES: tuple[Phase, ...] = ("now", "today", "this_week", "prevent")
#: Below this belief a cause's own remedies wait until more is known.
ENOUGH_TO_ACT = 0.2


class PlannedStep(NamedTuple):
    """A step, when to take it, the causes it is for (none: safe whatever the cause, or against a
    peril) and what it is worth in the first hour.
    """

    step: Step
    phase: Phase
    causes: tuple[str, ...]
    gain: float = 0.0


class LeftOut(NamedTuple):
    """A step not advised because it conflicts with one that is."""

    step: Step
    instead: Step
    causes: tuple[str, ...]


class Deciding(NamedTuple):
    """The question that tells by which way a cause came."""

    cause: str
    asks: str


class Plan(NamedTuple):
    """urgency: how soon to act, and the sentence for it; steps in order; left_out: what was dropped
    for a conflict; withheld: what the case forbids; deciding: what would settle the steps; next
    look; caution ids; values: what it rests on, and sizes are reckoned from.
    """

    urgency: str
    says: str
    steps: tuple[PlannedStep, ...]
    left_out: tuple[LeftOut, ...]
    withheld: tuple[Withheld, ...]
    deciding: tuple[Deciding, ...]
    next_look: NextLook
    cautions: tuple[str, ...]
    values: Values


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


def plan(rulebook: Rulebook, trace: Trace, beliefs: Beliefs) -> Plan:
    """The plan for a ranking."""
    leaders = acted_upon(rulebook, beliefs)
    well = harmless(rulebook, beliefs.first)
    judged = judge(rulebook, trace, well=well, belief=beliefs.first.belief)
    values = known_values(trace)
    against, wanted = _against_perils(rulebook, judged), _of_causes(rulebook, leaders, values)
    wanted = [*_safe(rulebook, judged), *wanted]
    if not judged.acts and not well:
        wanted = [_later(item) for item in wanted]
    affordable, too_drastic = _weighed(rulebook, wanted, leaders, judged)
    merged = _once_each([*against, *affordable])
    merged, forbidden = _without_forbidden(rulebook, merged, values)
    merged = [_not_again(rulebook, item, values) for item in merged]
    known_to_help = {item.step.id for item in against}
    kept, dropped = _without_conflicts(merged, known_to_help, close=len(leaders) > 1)
    steps = _in_order(rulebook, kept, values)
    cautions = [name for planned in steps for name in planned.step.cautions]
    cautions += [name for s in leaders for name in rulebook.causes[s.cause].cautions]
    return Plan(
        urgency=judged.level.id,
        says=judged.says,
        steps=tuple(steps),
        left_out=tuple(dropped),
        withheld=(*forbidden, *too_drastic),
        deciding=tuple(_deciding(rulebook, leaders, values)),
        next_look=rulebook.mechanisms[judged.look or beliefs.first.mechanism].next_look,
        cautions=tuple(dict.fromkeys(cautions)),
        values=values,
    )


def _number(rulebook: Rulebook, name: str) -> float:
    return rulebook.numbers[name].value


def _against_perils(rulebook: Rulebook, judged: Judgement) -> list[PlannedStep]:
    """What lowers the perils that hold. The first step of each that is not for people's sake is the
    one that lowers it most.
    """
    found = []
    for peril in judged.perils:
        first = True
        for name in peril.steps:
            step = rulebook.steps[name]
            gain = "gain_of_peril_first" if first and not step.people else "gain_of_peril_next"
            first = first and step.people
            found.append(PlannedStep(step, "now", (), gain=_number(rulebook, gain)))
    return found


def _safe(rulebook: Rulebook, judged: Judgement) -> list[PlannedStep]:
    """Steps that are safe whatever the cause."""
    steps = rulebook.steps
    return [
        *(PlannedStep(steps[n], "now", (), gain=steps[n].saves) for n in judged.level.now),
        *(PlannedStep(steps[n], "today", ()) for n in judged.level.today),
    ]


def ways_told(cause: Cause, values: Values) -> tuple[str, ...]:
    """The ways of a cause that were told, by their ids."""
    return tuple(way.id for way in cause.ways if met(way.when, values) >= HOLDS_FROM)


def steps_of(cause: Cause, phase: str, values: Values) -> tuple[str, ...]:
    """The steps of a cause for a phase: those of the ways told, then those for every way."""
    told = ways_told(cause, values)
    own = (name for way in cause.ways if way.id in told for name in getattr(way, phase))
    return tuple(dict.fromkeys((*own, *getattr(cause, phase))))


def _of_causes(
    rulebook: Rulebook, leaders: tuple[Standing, ...], values: Values
) -> list[PlannedStep]:
    found = []
    base = _number(rulebook, "gain_of_cause")
    for phase in PHASES:
        for standing in leaders:
            if standing.belief < ENOUGH_TO_ACT and phase != "prevent":
                continue
            for name in steps_of(rulebook.causes[standing.cause], phase, values):
                step = rulebook.steps[name]
                gain = standing.belief * (base + step.saves)
                found.append(PlannedStep(step, phase, (standing.cause,), gain=gain))
    return found


def _later(item: PlannedStep) -> PlannedStep:
    """Where there is no hurry, remedies wait for the look at the container."""
    early = item.phase in ("now", "today") and bool(item.causes)
    return item._replace(phase="this_week") if early else item


def _weighed(
    rulebook: Rulebook,
    wanted: list[PlannedStep],
    leaders: tuple[Standing, ...],
    judged: Judgement,
) -> tuple[list[PlannedStep], list[Withheld]]:
    """Steps of causes whose cost is below belief times what waiting costs; habits always."""
    belief = {s.cause: s.belief for s in leaders}
    share: dict[str, float] = {}
    for name in {item.step.id for item in wanted}:
        causes = {c for item in wanted if item.step.id == name for c in item.causes}
        share[name] = math.fsum(belief[c] for c in causes)
    cost = _number(rulebook, "drastic_cost")
    affordable, held_back = [], {}
    for item in wanted:
        worth = share[item.step.id] * judged.level.waiting
        if item.phase == "prevent" or not item.causes or worth >= cost * item.step.drastic:
            affordable.append(item)
        else:
            held_back[item.step.id] = Withheld(
                item.step,
                f"At a belief of {share[item.step.id]:.0%} waiting costs less than this step.",
                "common-practice",
                say=False,
            )
    return affordable, list(held_back.values())


def _once_each(wanted: list[PlannedStep]) -> list[PlannedStep]:
    """Each step once, at its earliest phase, for all causes that want it."""
    merged: dict[str, PlannedStep] = {}
    for item in wanted:
        known = merged.get(item.step.id)
        if known is None:
            merged[item.step.id] = item
        else:
            phase = min(known.phase, item.phase, key=PHASES.index)
            causes = tuple(dict.fromkeys((*known.causes, *item.causes)))
            gain = max(known.gain, item.gain)
            merged[item.step.id] = PlannedStep(known.step, phase, causes, gain=gain)
    return list(merged.values())


def _without_forbidden(
    rulebook: Rulebook, wanted: list[PlannedStep], values: Values
) -> tuple[list[PlannedStep], list[Withheld]]:
    """Steps that nothing forbids; of the others those that were wanted, and those that a keeper
    would take unasked.
    """
    names = {item.step.id for item in wanted}
    withheld = {}
    for step in (*(item.step for item in wanted), *rulebook.steps.values()):
        held = withheld_of(step, values)
        if held is not None and (held.say or step.id in names):
            withheld[step.id] = held
    allowed = [item for item in wanted if item.step.id not in withheld]
    return allowed, list(withheld.values())


def _not_again(rulebook: Rulebook, item: PlannedStep, values: Values) -> PlannedStep:
    """What was tried and did not help goes down."""
    if met(item.step.tried_in_vain, values) < HOLDS_FROM:
        return item
    phase: Phase = "today" if item.phase == "now" else item.phase
    return item._replace(phase=phase, gain=item.gain * _number(rulebook, "gain_left_in_vain"))


def conflict(one: Step, other: Step) -> bool:
    """Whether two steps must not be advised together; it is enough that one of them says so."""
    return other.id in one.conflicts or one.id in other.conflicts


def _without_conflicts(
    wanted: list[PlannedStep], first: Iterable[str], *, close: bool
) -> tuple[list[PlannedStep], list[LeftOut]]:
    """Keeps steps in the order of preference, each only if nothing kept before conflicts with
    it. first: steps against known perils, which come before all others.
    """
    leading = set(first)
    order = sorted(wanted, key=lambda item: item.step.drastic) if close else list(wanted)
    order.sort(key=lambda item: item.step.id not in leading)
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


def _in_order(rulebook: Rulebook, kept: list[PlannedStep], values: Values) -> list[PlannedStep]:
    """The most telling handful now, by what each saves for the minutes it takes, people first; the
    rest below. What must come before a step stands before it.
    """
    ready = _number(rulebook, "getting_ready_minutes")
    most = int(_number(rulebook, "steps_at_once"))
    planned = {item.step.id: item for item in kept}
    urgent = [item for item in kept if item.phase == "now"]
    urgent.sort(
        key=lambda i: (
            (0, -i.step.saves) if i.step.people else (1, -i.gain / (i.step.minutes + ready))
        )
    )
    placed: dict[str, PlannedStep] = {}
    for item in urgent:
        led_in = _led_in(rulebook, item, planned, placed, values)
        if len(placed) + len(led_in) <= most:
            placed |= {one.step.id: one._replace(phase="now") for one in led_in}
    late = [i._replace(phase="today") if i.phase == "now" else i for i in kept]
    for item in late:
        for one in _led_in(rulebook, item, planned, placed, values):
            placed[one.step.id] = one._replace(phase=item.phase)
    steps = list(placed.values())
    steps.sort(key=lambda item: PHASES.index(item.phase))
    now = [item for item in steps if item.phase == "now"]
    now.sort(key=lambda item: not item.step.people)
    return [*now, *(item for item in steps if item.phase != "now")]


def _led_in(
    rulebook: Rulebook,
    item: PlannedStep,
    planned: dict[str, PlannedStep],
    placed: dict[str, PlannedStep],
    values: Values,
) -> list[PlannedStep]:
    """The step with what must come before it, without what stands already, or conflicts."""
    if item.step.id in placed:
        return []
    firsts = [
        planned.get(step.id, PlannedStep(step, item.phase, item.causes))
        for step in before(rulebook, item.step, values)
        if step.id not in placed and not any(conflict(step, k.step) for k in planned.values())
    ]
    return [*firsts, item]


def _deciding(
    rulebook: Rulebook, leaders: tuple[Standing, ...], values: Values
) -> Iterable[Deciding]:
    """For each cause acted upon whose way nobody told, the question that would tell it."""
    for standing in leaders:
        cause = rulebook.causes[standing.cause]
        if standing.belief < ENOUGH_TO_ACT or ways_told(cause, values):
            continue
        open_ = next((way.asks for way in cause.ways if way.asks not in values), None)
        if open_ is not None:
            yield Deciding(cause.id, open_)
