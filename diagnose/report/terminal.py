"""The answer on a terminal of 80 columns. Everything can be read without colour; text is never
taken as markup.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, Group
from rich.text import Text

from diagnose.report.answer import Answer, CheckLine, Guess, Line, Outcome, Ranked, StepLine
from diagnose.report.wording import PHASE_TITLES, instead_of_guessing, percent

WIDTH = 80
BAR = 10
#: However narrow the terminal, text is not squeezed further than this.
LEAST_WIDTH = 20
#: Arguments shown per cause before --explain is needed.
LINES_FOR, LINES_AGAINST = 3, 2
CAUSES_IN_FULL = 3
CHECKS_SHOWN = 4
#: Answers less likely than this are not worth a line, nor are smaller moves of the first belief.
LIKELY_ENOUGH, VISIBLE_MOVE = 0.03, 0.04
HEADING, QUIET, STRONG, WARNING = "bold cyan", "dim", "bold", "yellow"


def show(answer: Answer, console: Console) -> None:
    """Prints the answer: what to do first, what fits, what to find out, what could hurt."""
    page = Page(console)
    _headline(answer, page)
    _steps(answer, page, ("now",))
    _ranking(answer, page)
    _checks(answer, page)
    _steps(answer, page, ("today", "this_week", "prevent"))
    _not_advised(answer, page)
    _cautions(answer, page)
    _estimates(answer.estimates, page)
    _assumptions(answer.assumptions, page)
    page.print()


class Page:
    """What is to be printed, gathered first: one printing is several times as fast as a hundred."""

    def __init__(self, console: Console) -> None:
        self.console = console
        self._lines: list[Text] = []

    def say(self, text: str | Text, indent: int = 0, style: str = "") -> None:
        """Adds a paragraph."""
        self.hang("", text, indent, style)

    def hang(self, lead: str, text: str | Text, indent: int = 0, style: str = "") -> None:
        """Adds a lead, and text beside it that wraps under itself."""
        body = text if isinstance(text, Text) else Text(text, style=style)
        beside = " " * indent + lead
        for line in body.wrap(self.console, max(LEAST_WIDTH, self.console.width - len(beside))):
            line.rstrip()
            self._lines.append(Text(beside).append_text(line))
            beside = " " * len(beside)

    def head(self, title: str, note: str = "") -> None:
        """Adds a heading after an empty line."""
        line = Text(title, style=HEADING)
        if note:
            line.append(f"  {note}", style=QUIET)
        self._lines.append(Text())
        self.say(line)

    def print(self) -> None:
        """Prints all that was added, with no blanks at the ends of lines."""
        self.console.print(Group(*self._lines), markup=False, highlight=False, soft_wrap=True)


def _headline(answer: Answer, page: Page) -> None:
    line = Text(answer.case, style=STRONG)
    if answer.asked_at:
        line.append(f"  asked {answer.asked_at}", style=QUIET)
    page.say(line)
    page.say(answer.urgency_text, style=STRONG)


def bar(share: float) -> str:
    """A bar of plain characters, `[######....]`."""
    full = round(share * BAR)
    return f"[{'#' * full}{'.' * (BAR - full)}]"


def _ranking(answer: Answer, page: Page) -> None:
    page.head("What fits best", _firmness_note(answer))
    for place, ranked in enumerate(answer.ranking, start=1):
        _cause(place, ranked, page, in_full=place <= CAUSES_IN_FULL and ranked.belief >= 0.05)
    page.say(f"   {bar(answer.unexplained)} {percent(answer.unexplained)} none of these")
    for also in answer.also_at_work:
        page.say(f"Also at work: {also.title}.", indent=3, style=STRONG)
        if also.reason:
            page.say(also.reason, indent=5)
    if answer.firmness.overturned_by:
        page.say(f"Would turn it over: {answer.firmness.overturned_by}", indent=3)


def _firmness_note(answer: Answer) -> str:
    rival = f", rival: {answer.firmness.rival}" if answer.firmness.rival else ""
    return f"first place is {answer.firmness.word}{rival if answer.firmness.share < 0.85 else ''}"


def _cause(place: int, ranked: Ranked, page: Page, *, in_full: bool) -> None:
    line = Text(f"{place}  {bar(ranked.belief)} {percent(ranked.belief)} ")
    line.append(ranked.title, style=STRONG)
    line.append(f"  {ranked.word}", style=QUIET)
    page.say(line)
    if not in_full:
        return
    page.say(f"harms by: {ranked.mechanism_title}", indent=5, style=QUIET)
    _arguments(ranked.for_[:LINES_FOR], "for    ", page)
    _arguments(ranked.against[:LINES_AGAINST], "against", page)


def _arguments(lines: Iterable[Line], side: str, page: Page) -> None:
    for line in lines:
        mark = " (estimate)" if any(fact.origin == "estimated" for fact in line.facts) else ""
        page.hang(f"{side} {line.strength:<6} ", f"{line.because}{mark}", indent=5)


def _checks(answer: Answer, page: Page) -> None:
    checks = [(check, telling(answer, check)) for check in answer.checks]
    checks = [(check, outcomes) for check, outcomes in checks if outcomes][:CHECKS_SHOWN]
    if not checks:
        page.head("Find out next")
        page.say("No single answer that is quickly found would change the first place.", indent=3)
        return
    page.head("Find out next", "most telling per minute first")
    for place, (check, outcomes) in enumerate(checks, start=1):
        needs = "" if check.needs == "eyes" else f", needs: {check.needs}"
        page.hang(f"{place}  ", f"{check.asks} ({_minutes(check.minutes)}{needs})")
        if check.look:
            page.say(check.look, indent=5, style=QUIET)
        for outcome in outcomes:
            page.say(
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


def _steps(answer: Answer, page: Page, phases: tuple[str, ...]) -> None:
    for phase in phases:
        steps = [step for step in answer.steps if step.phase == phase]
        if not steps:
            continue
        note = "safe whatever the cause" if all(not s.causes for s in steps) else ""
        page.head(PHASE_TITLES[phase], note)
        for place, step in enumerate(steps, start=1):
            _step(place, step, page)


def _step(place: int, step: StepLine, page: Page) -> None:
    line = Text(f"{place}  ")
    line.append(step.title, style=STRONG)
    page.say(line)
    page.say(step.do, indent=3)


def _not_advised(answer: Answer, page: Page) -> None:
    for item in answer.not_advised:
        page.say(f"Not now: {item.title}. It would work against: {item.instead}.", style=QUIET)


def _cautions(answer: Answer, page: Page) -> None:
    if not answer.cautions:
        return
    page.head("Take care")
    for caution in answer.cautions:
        page.hang("!  ", caution.text)


def _estimates(estimates: tuple[Guess, ...], page: Page) -> None:
    """The estimates that argue, by the instrument that would replace them."""
    by_need: dict[str, list[str]] = {}
    for guess in estimates:
        if guess.argues:
            by_need.setdefault(guess.measured_by, []).append(guess.text)
    if not by_need:
        return
    page.head("Reckoned, not measured", "four of five times within the span")
    for needs, texts in by_need.items():
        for text in texts:
            page.hang("-  ", text[0].upper() + text[1:] + ".")
        page.say(instead_of_guessing(needs), indent=3, style=QUIET)


def _assumptions(assumptions: tuple[str, ...], page: Page) -> None:
    if assumptions:
        page.head("What this rests on")
        for text in assumptions:
            page.hang("-  ", text)


def explain(ranked: Ranked, console: Console, *, place: int, looks_like: tuple[str, ...]) -> None:
    """Everything that spoke for and against one cause, down to where each fact came from."""
    page = Page(console)
    line = Text(ranked.title, style=STRONG)
    line.append(f"  place {place}, {percent(ranked.belief)}, {ranked.word}", style=QUIET)
    page.say(line)
    page.say(ranked.summary)
    page.say(f"Harms by: {ranked.mechanism_title}")
    for title, lines in (
        ("What speaks for it", ranked.for_),
        ("What speaks against it", ranked.against),
    ):
        page.head(title)
        if not lines:
            page.say("Nothing that is known.", indent=3)
        for argument in lines:
            page.hang(f"{argument.weight:+6.1f} ", f"{argument.because}")
            for fact in argument.facts:
                page.say(f"{fact.text}  ({fact.origin}: {fact.from_})", indent=9, style=QUIET)
            page.say(f"rule {argument.rule}; source: {argument.cite}", indent=9, style=QUIET)
    if looks_like:
        page.head("Looks like it, but is not")
        for text in looks_like:
            page.hang("-  ", text)
    page.say("Weights are decibans: 10 makes a cause ten times as likely.", style=QUIET)
    page.print()
