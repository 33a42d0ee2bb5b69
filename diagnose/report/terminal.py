"""The answer on a terminal of 80 columns. Everything can be read without colour; text is never
taken as markup.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from rich.console import Console, Group
from rich.text import Text

from diagnose.report.answer import (
    Answer,
    CheckLine,
    Guess,
    Line,
    Outcome,
    Ranked,
    StepLine,
    not_now,
)
from diagnose.report.wording import PHASE_TITLES, instead_of_guessing, percent

WIDTH = 80
BAR = 10
#: Causes named in a short answer, and the belief from which a cause's reasons are worth lines.
CAUSES_NAMED, WORTH_REASONS = 3, 0.05
#: However narrow the terminal, text is not squeezed further than this.
LEAST_WIDTH = 20
#: A short answer has no more lines than this at 80 columns.
MOST_LINES = 60
#: Answers less likely than this are not worth a line, nor are smaller moves of the first belief.
LIKELY_ENOUGH, VISIBLE_MOVE = 0.03, 0.04
HEADING, QUIET, STRONG, WARNING = "bold cyan", "dim", "bold", "yellow"


class Fit(NamedTuple):
    """How much of an answer is shown."""

    causes_in_full: int
    lines_for: int
    lines_against: int
    checks: int
    looks: bool
    cautions: int
    estimates: bool
    assumptions: bool
    not_now: int
    later: tuple[str, ...] = ("today", "this_week", "prevent")


#: All of it, and the short answers from rich to lean; the first that fits is shown.
ALL = Fit(3, 3, 2, 4, looks=True, cautions=99, estimates=True, assumptions=True, not_now=99)
SHORT = (
    Fit(3, 2, 1, 3, looks=True, cautions=99, estimates=True, assumptions=True, not_now=3),
    Fit(3, 2, 1, 3, looks=False, cautions=6, estimates=True, assumptions=False, not_now=2),
    Fit(2, 2, 1, 2, looks=False, cautions=5, estimates=False, assumptions=False, not_now=2),
    Fit(1, 2, 1, 2, looks=False, cautions=4, estimates=False, assumptions=False, not_now=2),
    Fit(1, 2, 0, 1, looks=False, cautions=3, estimates=False, assumptions=False, not_now=2),
    Fit(1, 1, 0, 1, looks=False, cautions=2, estimates=False, assumptions=False, not_now=1),
    Fit(0, 0, 0, 1, looks=False, cautions=2, estimates=False, assumptions=False, not_now=1),
    Fit(0, 0, 0, 0, looks=False, cautions=1, estimates=False, assumptions=False, not_now=1),
    Fit(
        *(0, 0, 0, 0),
        looks=False,
        cautions=1,
        estimates=False,
        assumptions=False,
        not_now=1,
        later=("today",),
    ),
)


def show(answer: Answer, console: Console, *, everything: bool = False) -> None:
    """Prints the answer: what to do first, when to look again, what fits, what to find out, what
    could hurt. everything: all of it, else at most `MOST_LINES` lines at 80 columns.
    """
    if everything:
        _laid_out(answer, console, ALL, short=False).print()
        return
    pages = (_laid_out(answer, console, fit, short=True) for fit in SHORT)
    for page in pages:
        if page.lines <= MOST_LINES:
            break
    page.print()


def _laid_out(answer: Answer, console: Console, fit: Fit, *, short: bool) -> Page:
    page = Page(console)
    _headline(answer, page)
    _steps(answer, page, ("now",))
    _deciding(answer, page)
    _not_now(answer, page, fit)
    _next_look(answer, page)
    _ranking(answer, page, fit)
    _checks(answer, page, fit)
    if short:
        _titles(answer, page, fit.later)
    else:
        _steps(answer, page, ("today", "this_week", "prevent"))
        _not_advised(answer, page)
    left = _cautions(answer, page, fit)
    if fit.estimates:
        _estimates(answer.estimates, page)
    if fit.assumptions:
        _assumptions(answer.assumptions, page)
    if short:
        more = f"{left} more cautions, and " if left else ""
        page.head(f"With --all: {more}how to do each step, all reasons and sources.")
    return page


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

    @property
    def lines(self) -> int:
        """How many lines it has so far."""
        return len(self._lines)

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


def _ranking(answer: Answer, page: Page, fit: Fit) -> None:
    page.head("What fits best", _firmness_note(answer))
    for place, ranked in enumerate(answer.ranking, start=1):
        in_full = place <= fit.causes_in_full and ranked.belief >= WORTH_REASONS
        if in_full or place <= CAUSES_NAMED or fit is ALL:
            _cause(place, ranked, page, fit, in_full=in_full)
    page.say(f"   {bar(answer.unexplained)} {percent(answer.unexplained)} none of these")
    for also in answer.also_at_work:
        page.say(f"Also at work: {also.title}.", indent=3, style=STRONG)
        if also.reason:
            page.say(also.reason, indent=5)
    for threat in answer.threats:
        page.say(
            f"What threatens: {threat.title}, {percent(threat.belief)}.", indent=3, style=STRONG
        )
        page.say(f"{threat.reason} {threat.step}.", indent=5)
    if answer.firmness.overturned_by and fit.checks:
        page.say(f"Would turn it over: {answer.firmness.overturned_by}", indent=3)


def _firmness_note(answer: Answer) -> str:
    rival = f", rival: {answer.firmness.rival}" if answer.firmness.rival else ""
    return f"first place is {answer.firmness.word}{rival if answer.firmness.share < 0.85 else ''}"


def _cause(place: int, ranked: Ranked, page: Page, fit: Fit, *, in_full: bool) -> None:
    line = Text(f"{place}  {bar(ranked.belief)} {percent(ranked.belief)} ")
    line.append(ranked.title, style=STRONG)
    line.append(f"  {ranked.word}", style=QUIET)
    page.say(line)
    if not in_full:
        return
    way = "harms by" if ranked.way_is_shown else "could harm by"
    if not ranked.harmless:
        page.say(f"{way}: {ranked.mechanism_title}", indent=5, style=QUIET)
    _arguments(ranked.for_[: fit.lines_for], "for    ", page)
    _arguments(ranked.against[: fit.lines_against], "against", page)


def _arguments(lines: Iterable[Line], side: str, page: Page) -> None:
    for line in lines:
        mark = " (estimate)" if any(fact.origin == "estimated" for fact in line.facts) else ""
        page.hang(f"{side} {line.strength:<6} ", f"{line.because}{mark}", indent=5)


def _checks(answer: Answer, page: Page, fit: Fit) -> None:
    if not fit.checks:
        return
    checks = [(check, telling(answer, check)) for check in answer.checks]
    checks = [(check, outcomes) for check, outcomes in checks if outcomes][: fit.checks]
    if not checks:
        page.head("Find out next")
        page.say("No single answer that is quickly found would change the first place.", indent=3)
        return
    page.head("Find out next", "most telling per minute first")
    for place, (check, outcomes) in enumerate(checks, start=1):
        needs = "" if check.needs == "eyes" else f", needs: {check.needs}"
        page.hang(f"{place}  ", f"{check.asks} ({_minutes(check.minutes)}{needs})")
        if check.look and fit.looks:
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
        page.head(PHASE_TITLES[phase])
        for place, step in enumerate(steps, start=1):
            _step(place, step, page)


def _step(place: int, step: StepLine, page: Page) -> None:
    line = Text(f"{place}  ")
    line.append(step.title, style=STRONG)
    line.append(f"  {_minutes(step.minutes)}" if step.minutes else "", style=QUIET)
    page.say(line)
    page.say(f"{step.do} {step.size}".rstrip(), indent=3)


def _titles(answer: Answer, page: Page, phases: tuple[str, ...]) -> None:
    """The steps below the first block, by their titles alone."""
    shown = [(PHASE_TITLES[phase], _named(answer, phase)) for phase in phases]
    shown = [(title, names) for title, names in shown if names]
    if shown:
        page.head("Then")
    for title, names in shown:
        page.hang(f"{title}: ", f"{'; '.join(names)}.")


def _named(answer: Answer, phase: str) -> list[str]:
    return [step.title for step in answer.steps if step.phase == phase]


def _deciding(answer: Answer, page: Page) -> None:
    for asked in answer.deciding:
        page.say(f"Which way it came decides the next step. {asked.asks}", style=STRONG)


def _not_now(answer: Answer, page: Page, fit: Fit) -> None:
    for titles, because in not_now(answer)[: fit.not_now]:
        page.say(f"Not now: {titles}. {because}", style=WARNING)


def _next_look(answer: Answer, page: Page) -> None:
    look = answer.next_look
    if not look.when:
        return
    page.head("The next look", look.when)
    page.hang("works: ", look.works, indent=3)
    page.hang("if not: ", look.otherwise, indent=3)
    page.hang("vet: ", look.vet, indent=3)


def _not_advised(answer: Answer, page: Page) -> None:
    for item in answer.not_advised:
        page.say(f"Not now: {item.title}. It would work against: {item.instead}.", style=QUIET)


def _cautions(answer: Answer, page: Page, fit: Fit) -> int:
    """What belongs to the steps to be taken now first, people before all; gives how many are left
    out. What keeps people from harm in those steps is never left out.
    """
    first = {name for step in answer.steps if step.phase == "now" for name in step.cautions}
    cautions = sorted(answer.cautions, key=lambda c: (c.guards != "person", c.id not in first))
    cautions.sort(key=lambda c: c.id not in first)
    if answer.cautions:
        page.head("Take care")
    must = sum(caution.guards == "person" and caution.id in first for caution in cautions)
    shown = max(fit.cautions, must)
    for caution in cautions[:shown]:
        page.hang("!  ", caution.text)
    return len(cautions[shown:])


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
