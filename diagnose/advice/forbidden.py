"""What forbids a step, and what must come before it: the one place that applies `never_when` and
`first_do`, to every answer that gives steps.

A step is judged by what was told, measured or follows from it. What the bowl model only reckons
forbids nothing, and what nobody knows forbids nothing: where that would be rash, the step names
what to do first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.requirements import met
from diagnose.rulebook.terms import Bar, Condition, Evidence, Rulebook, Step

#: A bar holds, and a first step is called for, once its requirement is met at least this far.
HOLDS_FROM = 0.5

Values = Mapping[str, str | float]


class Withheld(NamedTuple):
    """A step not advised, and why. say: a keeper would do it unasked."""

    step: Step
    because: str
    source: str
    say: bool


@dataclass(frozen=True, slots=True)
class _StateRules:
    """The conditions alone, as a set of rules for the engine."""

    conditions: dict[str, Condition]

    def evidence(self) -> tuple[Evidence, ...]:
        return ()


def state_of(rulebook: Rulebook, observations: Iterable[Observation]) -> Trace:
    """What the conditions of the rulebook make of these observations, without any cause."""
    known = {item.name: item for item in observations}
    return Inference(_StateRules(rulebook.conditions), known).run(known.values())


def known_values(trace: Trace) -> dict[str, str | float]:
    """What is known, without what is only reckoned: observations, and degrees of conditions."""
    values: dict[str, str | float] = {
        name: item.value for name, item in trace.observations.items() if item.origin != "estimated"
    }
    values |= {
        name: firing.degree for name, firing in trace.conditions.items() if not firing.estimated
    }
    return values


def bar_of(step: Step, values: Values) -> Bar | None:
    """The first bar of the step that holds, if any does."""
    return next((bar for bar in step.never_when if met(bar.when, values) >= HOLDS_FROM), None)


def withheld_of(step: Step, values: Values) -> Withheld | None:
    """The step as withheld, if anything forbids it."""
    bar = bar_of(step, values)
    return None if bar is None else Withheld(step, bar.because, bar.source, bar.say)


def withheld_among(
    rulebook: Rulebook, names: Iterable[str], values: Values
) -> tuple[Withheld, ...]:
    """Those of the named steps that are forbidden."""
    found = (withheld_of(rulebook.steps[name], values) for name in dict.fromkeys(names))
    return tuple(item for item in found if item is not None)


def before(rulebook: Rulebook, step: Step, values: Values) -> tuple[Step, ...]:
    """The steps that must come right before this one, first things first.

    One that is itself withheld is left out: it is done already, or it is forbidden.
    """
    found: dict[str, Step] = {}
    _gather(rulebook, step, values, found, (step.id,))
    return tuple(found.values())


class CalledFor(NamedTuple):
    """A step that what was told calls for before another, and why."""

    step: Step
    because: str


def called_for(rulebook: Rulebook, names: Iterable[str], values: Values) -> tuple[CalledFor, ...]:
    """What was told and must be seen to before any of the named steps of a usual week. What leads
    in a rescue whatever was told is left out: no routine needs it.
    """
    found: dict[str, CalledFor] = {}
    for name in dict.fromkeys(names):
        for item in rulebook.steps[name].first_do:
            first = rulebook.steps[item.step]
            if item.when and met(item.when, values) >= HOLDS_FROM and bar_of(first, values) is None:
                found.setdefault(first.id, CalledFor(first, item.because))
    return tuple(found.values())


def _gather(
    rulebook: Rulebook, step: Step, values: Values, found: dict[str, Step], above: tuple[str, ...]
) -> None:
    for item in step.first_do:
        if item.step in above or (item.when and met(item.when, values) < HOLDS_FROM):
            continue
        first = rulebook.steps[item.step]
        if bar_of(first, values) is None:
            _gather(rulebook, first, values, found, (*above, first.id))
            found.setdefault(first.id, first)
