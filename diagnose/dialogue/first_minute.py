"""What to do in the first minute, before anybody knows why."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.plan import plan
from diagnose.advice.sizes import size_of
from diagnose.advice.urgency import WATCH
from diagnose.dialogue.adapters import STRONG, WARNING
from diagnose.dialogue.belief_state import BeliefState, SessionRules
from diagnose.dialogue.state import nobody_died


def first_minute(rules: SessionRules, seen: BeliefState) -> Iterator[tuple[str, int, str]]:
    """What to do now, whatever the cause, with its cautions: text, indent and style."""
    advice = plan(rules.rulebook, seen.inferred.trace, seen.inferred.beliefs)
    yield "", 0, ""
    if advice.urgency == WATCH and nobody_died(seen.session.told()):
        yield advice.says, 0, STRONG
        return
    if advice.urgency != WATCH:
        yield advice.says, 0, STRONG
    steps = [item for item in advice.steps if item.phase == "now" and not item.causes]
    if steps:
        yield "Do this first, whatever the cause:", 0, ""
    for place, item in enumerate(steps, start=1):
        size = size_of(rules.rulebook, item.step, advice.values)
        yield f"{place}  {item.step.title}. {item.step.do} {size}".rstrip(), 2, ""
    for withheld in advice.withheld:
        if withheld.say:
            yield f"Not now: {withheld.step.title}. {withheld.because}", 2, ""
    for name in dict.fromkeys(caution for item in steps for caution in item.step.cautions):
        yield f"!  {rules.rulebook.cautions[name].text}", 2, WARNING
    yield "Now to the reason.", 0, ""
