"""What to do in the first minute, before anybody knows why."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.advice.plan import WATCH, plan
from diagnose.dialogue.mind import Mind, View
from diagnose.dialogue.state import nobody_died
from diagnose.dialogue.voices import STRONG, WARNING
from diagnose.report.wording import URGENCY_SENTENCES


def first_minute(having: Mind, seen: View) -> Iterator[tuple[str, int, str]]:
    """What to do now, safe whatever the cause, with its cautions: text, indent and style."""
    advice = plan(having.rulebook, seen.thought.trace, seen.thought.beliefs)
    yield "", 0, ""
    if advice.urgency == WATCH and nobody_died(seen.session.told()):
        yield URGENCY_SENTENCES[WATCH], 0, STRONG
        return
    if advice.urgency != WATCH:
        yield URGENCY_SENTENCES[advice.urgency], 0, STRONG
    yield "Do this first. It is safe whatever the cause:", 0, ""
    names = (*having.rulebook.first_steps, *having.rulebook.after_steps)
    steps = [having.rulebook.steps[name] for name in names]
    for place, step in enumerate(steps, start=1):
        yield f"{place}  {step.title}. {step.do}", 2, ""
    for name in dict.fromkeys(caution for step in steps for caution in step.cautions):
        yield f"!  {having.rulebook.cautions[name].text}", 2, WARNING
    yield "Now to the reason.", 0, ""
