"""The answer as Markdown, to paste into a message to a vet or a friend."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.report.answer import Answer, Line
from diagnose.report.wording import PHASE_TITLES, instead_of_guessing, percent

#: Characters that Markdown would take for its own at any place in a line.
SPECIAL = str.maketrans({c: f"\\{c}" for c in "\\`*_[]<>#|~"})


def literal(text: str) -> str:
    """Text that shows as written, whatever marks it holds."""
    return " ".join(text.translate(SPECIAL).split())


def markdown(answer: Answer) -> str:
    """The whole answer as one Markdown text ending in a newline."""
    return "\n".join(_lines(answer)) + "\n"


def _lines(answer: Answer) -> Iterator[str]:
    yield f"# {literal(answer.case)}"
    yield ""
    yield f"**{answer.urgency_text}**" + (f" Asked {answer.asked_at}." if answer.asked_at else "")
    yield from _steps(answer, "now")
    for asked in answer.deciding:
        yield f"- Which way it came decides the next step: {literal(asked.asks)}"
    yield from _next_look(answer)
    yield from ("", "## What fits best", "", f"First place is {answer.firmness.word}.", "")
    for place, ranked in enumerate(answer.ranking, start=1):
        yield (
            f"{place}. **{literal(ranked.title)}**, {percent(ranked.belief)} ({ranked.word}), "
            f"{'by' if ranked.way_is_shown else 'it could be by'} {literal(ranked.mechanism_title)}"
        )
        yield from (_argument("for", line) for line in ranked.for_)
        yield from (_argument("against", line) for line in ranked.against)
    yield f"- None of these: {percent(answer.unexplained)}"
    for also in answer.also_at_work:
        yield f"- Also at work: **{literal(also.title)}**. {literal(also.reason)}"
    for threat in answer.threats:
        yield (
            f"- What threatens: **{literal(threat.title)}**, {percent(threat.belief)}. "
            f"{literal(threat.reason)} {literal(threat.step)}."
        )
    if answer.firmness.overturned_by:
        yield f"- Would turn it over: {literal(answer.firmness.overturned_by)}"
    if answer.checks:
        yield from ("", "## Find out next", "")
        for place, check in enumerate(answer.checks, start=1):
            yield f"{place}. {literal(check.asks)} ({check.minutes:g} min, {check.needs})"
            for outcome in check.outcomes:
                yield (
                    f"   - {literal(outcome.answer)}: then {literal(outcome.title)} "
                    f"({percent(outcome.belief)})"
                )
    for phase in ("today", "this_week", "prevent"):
        yield from _steps(answer, phase)
    for item in answer.not_advised:
        yield f"- Not now: {literal(item.title)}. It would work against: {literal(item.instead)}."
    if answer.withheld:
        yield from ("", "## Not now", "")
        for held in answer.withheld:
            yield f"- {literal(held.title)}: {literal(held.because)} ({literal(held.cite)})"
    if answer.cautions:
        yield from ("", "## Take care", "")
        yield from (f"- {literal(caution.text)}" for caution in answer.cautions)
    if answer.observations:
        yield from ("", "## What was known", "")
        for fact in answer.observations:
            yield f"- {literal(fact.text)} ({fact.origin}: {literal(fact.from_)})"
    argued = [guess for guess in answer.estimates if guess.argues]
    if argued:
        yield from ("", "## Reckoned, not measured", "")
        for guess in argued:
            yield f"- {literal(guess.text)}. {instead_of_guessing(guess.measured_by)}"
    if answer.assumptions:
        yield from ("", "## What this rests on", "")
        yield from (f"- {literal(text)}" for text in answer.assumptions)


def _next_look(answer: Answer) -> Iterator[str]:
    look = answer.next_look
    if look.when:
        yield from ("", "## The next look", "")
        yield f"- {literal(look.when)}"
        yield f"- It works if: {literal(look.works)}"
        yield f"- If not: {literal(look.otherwise)}"
        yield f"- Stop and ask a vet: {literal(look.vet)}"


def _argument(side: str, line: Line) -> str:
    return f"   - {side}, {line.strength}: {literal(line.because)}"


def _steps(answer: Answer, phase: str) -> Iterator[str]:
    steps = [step for step in answer.steps if step.phase == phase]
    if steps:
        yield from ("", f"## {PHASE_TITLES[phase]}", "")
        for place, step in enumerate(steps, start=1):
            size = f" {literal(step.size)}" if step.size else ""
            yield (
                f"{place}. **{literal(step.title)}.** ({step.minutes:g} min) "
                f"{literal(step.do)}{size}"
            )
