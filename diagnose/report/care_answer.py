"""The week of care as plain data, and as a page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from diagnose.care.week import Week
from diagnose.report.answer import (
    CautionLine,
    HeldBack,
    caution_lines,
    held_back,
    state_lines,
)
from diagnose.report.keepers_units import said_in
from diagnose.report.pages import Page, PageLine, Section, section
from diagnose.report.wording import Preference, plain
from diagnose.rulebook.terms import Rulebook

FORMAT = "bowlside-care/2"


@dataclass(frozen=True, slots=True)
class CareTask:
    """One line of the plan; first is an ISO date, empty for what has no day of its own; named is
    what a calendar calls it.
    """

    topic: str
    rhythm: str
    what: str
    why: str
    every_days: float | None
    first: str
    named: str


@dataclass(frozen=True, slots=True)
class CareAnswer:
    """The whole plan with the figures it rests on: food in mg a day, change as a share of 1.

    triage_first: what is wrong, where triage comes before any week. withheld: steps of a usual week
    that the case forbids. The figures of what is not to be done are None.
    """

    format: str
    case: str
    asked_on: str
    triage_first: tuple[str, ...]
    withheld: tuple[HeldBack, ...]
    tasks: tuple[CareTask, ...]
    food_mg_a_day: float | None
    feeds_a_day: int | None
    change_share: float | None
    change_every_days: float | None
    top_up_l_a_week: float | None
    young_out: tuple[float, float, float] | None
    cautions: tuple[CautionLine, ...]
    assumptions: tuple[str, ...]


def care_answer(
    rulebook: Rulebook, plan: Week, *, case: str, prefer: Preference = "metric"
) -> CareAnswer:
    """The plan as data. `prefer` sets the units in sentences."""
    planned = {task.topic for task in plan.tasks}
    feeds, changes = "feeding" in planned, "water change" in planned
    found = CareAnswer(
        format=FORMAT,
        case=plain(case),
        asked_on=plan.asked_on.isoformat(),
        triage_first=state_lines(rulebook, plan.triage_first, prefer),
        withheld=tuple(held_back(rulebook, item) for item in plan.withheld),
        tasks=tuple(
            CareTask(
                task.topic,
                task.rhythm,
                task.what,
                task.why,
                task.every_days,
                task.first.isoformat() if task.first is not None else "",
                task.named or task.topic,
            )
            for task in plan.tasks
        ),
        food_mg_a_day=plan.ration.mg_a_day if feeds else None,
        feeds_a_day=plan.ration.feeds_a_day if feeds else None,
        change_share=plan.change.share if changes else None,
        change_every_days=plan.change.every_days if changes else None,
        top_up_l_a_week=plan.evaporation.litres_a_week if "top-up" in planned else None,
        young_out=plan.outlook.young_out if plan.outlook is not None else None,
        cautions=caution_lines(rulebook, plan.cautions),
        assumptions=tuple(plain(text) for text in plan.assumed),
    )
    return said_in(found, prefer)


def care_page(answer: CareAnswer) -> Page:
    """The plan as a page: by topic, each line with its reason."""
    sections = [
        Section(
            topic[0].upper() + topic[1:],
            tuple(
                PageLine(
                    task.what,
                    lead=f"{task.rhythm}:"
                    if task.rhythm in ("daily", "weekly", "monthly")
                    else "-",
                    below=(f"Why: {task.why}",),
                )
                for task in tasks
            ),
        )
        for topic, tasks in groupby(answer.tasks, key=lambda task: task.topic)
    ]
    return Page(
        title=answer.case,
        note=f"from {answer.asked_on}",
        first=(_first(answer),),
        sections=(
            section("Why", answer.triage_first),
            Section(
                "Not now",
                tuple(PageLine(f"{held.title}: {held.because}") for held in answer.withheld),
            ),
            *sections,
            Section("Take care", tuple(PageLine(c.text, lead="!") for c in answer.cautions)),
            section("What this rests on", answer.assumptions),
        ),
    )


def within_a_week(answer: CareAnswer) -> tuple[PageLine, ...]:
    """What comes in the next seven days, by its day; what comes every day is one line."""
    end = (date.fromisoformat(answer.asked_on) + timedelta(days=7)).isoformat()
    dated = sorted(
        ("every day" if task.every_days <= 1.0 else task.first, task.named)
        for task in answer.tasks
        if task.every_days is not None and task.first and task.first <= end
    )
    return tuple(
        PageLine(", ".join(name for _, name in same), lead=f"{day}:")
        for day, same in groupby(dated, key=lambda one: one[0])
    )


def _first(answer: CareAnswer) -> str:
    if answer.triage_first:
        return "Triage first: this is no normal week."
    food = "no ration for now"
    if answer.food_mg_a_day is not None:
        food = f"{answer.food_mg_a_day:.0f} mg of food a day in {answer.feeds_a_day} feeds"
    change = "no usual change for now"
    if answer.change_share is not None:
        days = f"{answer.change_every_days:g} days"
        change = f"{100 * answer.change_share:.0f} % of the water every {days}"
    return f"{food[0].upper()}{food[1:]}; {change}."
