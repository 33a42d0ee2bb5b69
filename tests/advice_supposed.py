"""Plans for supposed situations: what is known is supposed, and so is the believed cause."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.advice.plan import Plan, plan
from diagnose.belief.belief import Beliefs, Standing
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.terms import Rulebook

Values = Mapping[str, str | float]


def supposed(values: Values) -> list[Observation]:
    """Observations as if somebody had told or measured them."""
    return [
        Observation(name, value, "told" if isinstance(value, str) else "measured", "supposed")
        for name, value in sorted(values.items())
    ]


def trace_of(rulebook: Rulebook, values: Values) -> Trace:
    """What the rules make of these observations."""
    return trace_seen(rulebook, supposed(values))


def trace_seen(rulebook: Rulebook, seen: Iterable[Observation]) -> Trace:
    """What the rules make of what was seen."""
    known = {item.name: item for item in seen}
    return Inference(rulebook, known).run(known.values())


def believing(rulebook: Rulebook, cause: str, belief: float) -> Beliefs:
    """A ranking in which one cause is believed so far, through its likeliest mechanism."""
    mechanism = rulebook.causes[cause].works_through[0]
    first = Standing(cause, mechanism, 0.0, 0.0, 0.0, (), belief)
    return Beliefs((first,), 1.0 - belief, "losses")


def plan_for(rulebook: Rulebook, values: Values, cause: str, belief: float = 0.8) -> Plan:
    """The plan when this is known and that cause is believed."""
    return plan(rulebook, trace_of(rulebook, values), believing(rulebook, cause, belief))


def ids(plan_: Plan, *phases: str) -> list[str]:
    """The steps of a plan by their ids, in order (of these phases, if any are named)."""
    return [item.step.id for item in plan_.steps if not phases or item.phase in phases]
