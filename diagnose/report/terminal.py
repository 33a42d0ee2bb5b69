"""The answer on a terminal of 80 columns. Everything can be read without colour; text is never
taken as markup.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from diagnose.report.answer import Answer, CheckLine, Line, Outcome, Ranked, StepLine
from diagnose.report.wording import PHASE_TITLES, percent

WIDTH = 80
BAR = 10
#: Arguments shown per cause before --explain is needed.
LINES_FOR, LINES_AGAINST = 3, 2
CAUSES_IN_FULL = 3
CHECKS_SHOWN = 4
#: Answers less likely than this are not worth a line, nor are smaller moves of the first belief.
LIKELY_ENOUGH, VISIBLE_MOVE = 0.03, 0.04
HEADING, QUIET, STRONG, WARNING = "bold cyan", "dim", "bold", "yellow"


def show(answer: Answer, console: Console) -> None:
    """Prints the answer: what to do first, what fits, what to find out, what could hurt."""
    _headline(answer, console)
    _steps(answer, console, ("now",))
    _ranking(answer, console)
    _checks(answer, console)
    _steps(answer, console, ("today", "this_week", "prevent"))
    _not_advised(answer, console)
    _cautions(answer, console)
    _assumptions(answer.assumptions, console)


def _say(console: Console, text: str | Text, indent: int = 0, style: str = "") -> None:
    body = text if isinstance(text, Text) else Text(text, style=style)
    console.print(Padding(body, (0, 0, 0, indent), expand=False), markup=False, highlight=False)


def _heading(console: Console, title: str, note: str = "") -> None:
    console.print()
    line = Text(title, style=HEADING)
    if note:
        line.append(f"  {note}", style=QUIET)
    console.print(line, markup=False, highlight=False)


def _headline(answer: Answer, console: Console) -> None:
    line = Text(answer.case, style=STRONG)
    if answer.asked_at:
        line.append(f"  asked {answer.asked_at}", style=QUIET)
    _say(console, line)
    _say(console, answer.urgency_text, style=STRONG)


def bar(share: float) -> str:
    """A bar of plain characters, `[######....]`."""
    full = round(share * BAR)
    return f"[{'#' * full}{'.' * (BAR - full)}]"


def _ranking(answer: Answer, console: Console) -> None:
    _heading(console, "What fits best", _firmness_note(answer))
    for place, ranked in enumerate(answer.ranking, start=1):
        _cause(place, ranked, console, in_full=place <= CAUSES_IN_FULL and ranked.belief >= 0.05)
    _say(console, f"   {bar(answer.unexplained)} {percent(answer.unexplained)} none of these")
    for also in answer.also_at_work:
        _say(console, f"Also at work: {also.title}.", indent=3, style=STRONG)
        if also.reason:
            _say(console, also.reason, indent=5)
    if answer.firmness.overturned_by:
        _say(console, f"Would turn it over: {answer.firmness.overturned_by}", indent=3)


def _firmness_note(answer: Answer) -> str:
    rival = f", rival: {answer.firmness.rival}" if answer.firmness.rival else ""
    return f"first place is {answer.firmness.word}{rival if answer.firmness.share < 0.85 else ''}"


def _cause(place: int, ranked: Ranked, console: Console, *, in_full: bool) -> None:
    line = Text(f"{place}  {bar(ranked.belief)} {percent(ranked.belief)} ")
    line.append(ranked.title, style=STRONG)
    line.append(f"  {ranked.word}", style=QUIET)
    _say(console, line)
    if not in_full:
        return
    _say(console, f"harms by: {ranked.mechanism_title}", indent=5, style=QUIET)
    _arguments(ranked.for_[:LINES_FOR], "for    ", console)
    _arguments(ranked.against[:LINES_AGAINST], "against", console)


def _arguments(lines: Iterable[Line], side: str, console: Console) -> None:
    for line in lines:
        mark = " (estimate)" if any(fact.origin == "estimated" for fact in line.facts) else ""
        _hang(console, f"{side} {line.strength:<6} ", f"{line.because}{mark}", indent=5)


def _hang(console: Console, lead: str, text: str, indent: int) -> None:
    """A lead, and text beside it that wraps under itself."""
    width = max(20, console.width - indent - len(lead))
    wrapped = Text(text).wrap(console, width)
    for number, part in enumerate(wrapped):
        part.rstrip()
        line = Text(lead if number == 0 else " " * len(lead))
        line.append_text(part)
        _say(console, line, indent=indent)


def _checks(answer: Answer, console: Console) -> None:
    checks = [(check, telling(answer, check)) for check in answer.checks]
    checks = [(check, outcomes) for check, outcomes in checks if outcomes][:CHECKS_SHOWN]
    if not checks:
        return
    _heading(console, "Find out next", "most telling per minute first")
    for place, (check, outcomes) in enumerate(checks, start=1):
        needs = "" if check.needs == "eyes" else f", needs: {check.needs}"
        _hang(console, f"{place}  ", f"{check.asks} ({_minutes(check.minutes)}{needs})", indent=0)
        if check.look:
            _say(console, check.look, indent=5, style=QUIET)
        for outcome in outcomes:
            _say(
                console,
                f"{outcome.answer}: then {outcome.title} ({percent(outcome.belief)})",
                indent=5,
            )


def telling(answer: Answer, check: CheckLine) -> list[Outcome]:
    """The answers to a check that would put another cause first or move the first one visibly."""
    now = answer.ranking[0]
    return [
        outcome
        for outcome in check.outcomes
        if outcome.chance >= LIKELY_ENOUGH
        and (outcome.first != now.cause or abs(outcome.belief - now.belief) >= VISIBLE_MOVE)
    ]


def _minutes(minutes: float) -> str:
    return "half a minute" if minutes <= 0.5 else f"{minutes:g} min"


def _steps(answer: Answer, console: Console, phases: tuple[str, ...]) -> None:
    for phase in phases:
        steps = [step for step in answer.steps if step.phase == phase]
        if not steps:
            continue
        note = "safe whatever the cause" if all(not s.causes for s in steps) else ""
        _heading(console, PHASE_TITLES[phase], note)
        for place, step in enumerate(steps, start=1):
            _step(place, step, console)


def _step(place: int, step: StepLine, console: Console) -> None:
    line = Text(f"{place}  ")
    line.append(step.title, style=STRONG)
    _say(console, line)
    _say(console, step.do, indent=3)


def _not_advised(answer: Answer, console: Console) -> None:
    for item in answer.not_advised:
        _say(console, f"Not now: {item.title}. It would work against: {item.instead}.", style=QUIET)


def _cautions(answer: Answer, console: Console) -> None:
    if not answer.cautions:
        return
    _heading(console, "Take care")
    for caution in answer.cautions:
        _hang(console, "!  ", caution.text, indent=0)


def _assumptions(assumptions: tuple[str, ...], console: Console) -> None:
    if assumptions:
        _heading(console, "What this rests on")
        for text in assumptions:
            _hang(console, "-  ", text, indent=0)


def explain(ranked: Ranked, console: Console, *, place: int, looks_like: tuple[str, ...]) -> None:
    """Everything that spoke for and against one cause, down to where each fact came from."""
    line = Text(ranked.title, style=STRONG)
    line.append(f"  place {place}, {percent(ranked.belief)}, {ranked.word}", style=QUIET)
    _say(console, line)
    _say(console, ranked.summary)
    _say(console, f"Harms by: {ranked.mechanism_title}")
    for title, lines in (
        ("What speaks for it", ranked.for_),
        ("What speaks against it", ranked.against),
    ):
        _heading(console, title)
        if not lines:
            _say(console, "Nothing that is known.", indent=3)
        for argument in lines:
            _hang(console, f"{argument.weight:+6.1f} ", f"{argument.because}", indent=0)
            for fact in argument.facts:
                _say(console, f"{fact.text}  ({fact.origin}: {fact.from_})", indent=9, style=QUIET)
            _say(console, f"rule {argument.rule}; source: {argument.cite}", indent=9, style=QUIET)
    if looks_like:
        _heading(console, "Looks like it, but is not")
        for text in looks_like:
            _hang(console, "-  ", text, indent=0)
    _say(console, "")
    _say(console, "Weights are decibans: 10 makes a cause ten times as likely.", style=QUIET)
