"""Situations told as a keeper would, and what the answer must and must not say.

Each is a situation in which following the cause alone would do harm. Where no source is named the
demand is common practice, no source.
"""

from __future__ import annotations

from datetime import datetime

import pytest

from diagnose.findings.observed_case import ObservedCase, observed_text, with_estimates
from diagnose.report.answer import Answer
from diagnose.report.care_answer import care_answer
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.care import care_of_case
from diagnose.uses.stocking import stocking_case, told_newcomers
from diagnose.uses.triage import triage_case

NOW = datetime(2026, 4, 18, 17, 30)
JAR = "container: {kind: jar, volume: 6 L, age: 9 months, planting: moderate, filter: none"
TWELVE = "stock: {species: cherry shrimp, adults: 12}\n"
DYING = "deaths: {first: 2 days ago, last: today, dead: 5}\n"
SPRAYED = f"""{JAR}}}
{TWELVE}deaths: {{first: 1 hour ago, last: today, dead: 2}}
events: [{{what: spray, at: 2 hours ago}}]
told: {{spray_kind: insects}}
"""
ACID = f"""{JAR}, water_source: tap}}
{TWELVE}{DYING}readings:
  - {{what: ammonia, value: 4 mg/L, at: today}}
  - {{what: ph, value: 6.0, at: today}}
"""
HUNGRY = f"""{JAR}}}
{TWELVE}seen: [bare_surfaces]
told: {{died_sizes: hatchlings_only, losses: some}}
"""
NOT_DONE = f"""{JAR}, water_source: tap}}
{TWELVE}{DYING}seen: [twitching]
not_done: [new-plants]
not_seen: [nose_threads, leg_worms]
told: {{change_helped: worse}}
"""
UNTREATED = f"""{JAR}, water_source: tap, conditioner: never}}
stock: {{species: cherry shrimp, adults: 30}}
deaths: {{first: 1 day ago, last: today, dead: 9}}
readings:
  - {{what: ammonia, value: 2 mg/L, at: today}}
  - {{what: nitrite, value: 1 mg/L, at: today}}
events: [{{what: water-change, share: 50 %, at: 1 day ago}}]
"""
ALKALINE = f"""{JAR}, water_source: tap}}
{TWELVE}readings:
  - {{what: ammonia, value: 8 mg/L, at: today}}
  - {{what: ph, value: 8.4, at: today}}
seen: [survivors_normal]
"""
CALM = f"""{JAR}}}
{TWELVE}seen: [survivors_normal, hiding]
told: {{losses: none}}
"""
CROWD = """container: {kind: jar, volume: 7 L, age: 9 months, planting: moderate, filter: none}
stock: {species: cherry shrimp, adults: 250}
seen: [survivors_normal]
"""


def seen_in(rulebook: Rulebook, text: str) -> ObservedCase:
    told = f"case: example\nasked_at: 2026-04-18 17:30\n{text}"
    return observed_text(told.encode("utf-8"), "example", rulebook, now=NOW)


def triaged(rulebook: Rulebook, text: str) -> Answer:
    seen = with_estimates(rulebook, seen_in(rulebook, text), bundled("knowledge"), now=NOW)
    return triage_case(rulebook, seen).answer


def now(answer: Answer) -> list[str]:
    return [step.id for step in answer.steps if step.phase == "now"]


@pytest.mark.parametrize(
    ("text", "urgency", "first", "lacks"),
    [
        # National Pesticide Information Center, first aid: out of the air first.
        (
            SPRAYED,
            "within-the-hour",
            ["people-and-pets-out", "carry-to-clean-air"],
            {"add-air", "air-each-night", "take-out-new-plants"},
        ),
        # Emerson 1975: the free share rises about tenfold with a unit of pH.
        (
            ACID,
            "within-the-hour",
            ["thin-acid-ammonia"],
            {"add-air", "part-change-matched", "change-for-waste", "restart-a-stopped-filter"},
        ),
        (HUNGRY, "today", ["let-film-grow"], {"stop-feeding"}),
        (
            NOT_DONE,
            "within-the-hour",
            [],
            {"take-out-new-plants", "salt-dip", "part-change-matched", "move-to-clean-water"},
        ),
        (UNTREATED, "within-the-hour", ["dose-conditioner-now"], set()),
        (ALKALINE, "within-the-hour", ["change-for-waste"], set()),
        (CROWD, "today", ["air-each-night"], set()),
    ],
    ids=["spray", "acid", "hungry", "not-done", "untreated", "alkaline", "crowd"],
)
def test_what_saves_comes_first_and_what_harms_not_at_all(
    rulebook: Rulebook, text: str, urgency: str, first: list[str], lacks: set[str]
) -> None:
    found = triaged(rulebook, text)
    assert found.urgency == urgency
    assert now(found)[: len(first)] == first and len(now(found)) <= 5
    assert lacks.isdisjoint(step.id for step in found.steps)


def test_the_change_for_ammonia_says_how_much_and_what_it_leaves(rulebook: Rulebook) -> None:
    """8 mg/L as the ion is 6.6 as nitrogen (14.007/17.031 of it), and half of that 3.3."""
    step = triaged(rulebook, ALKALINE).steps[0]
    assert "6.6 mg/L" in step.size and "leaves 3.3" in step.size


def test_calm_animals_get_nothing_to_do_but_look(rulebook: Rulebook) -> None:
    found = triaged(rulebook, CALM)
    assert found.urgency == "watch" and now(found) == []


@pytest.mark.parametrize("text", [SPRAYED, ACID, NOT_DONE, UNTREATED, ALKALINE])
def test_before_adding_and_in_the_week_triage_comes_first(rulebook: Rulebook, text: str) -> None:
    seen = seen_in(rulebook, text)
    week = care_answer(
        rulebook, care_of_case(rulebook, seen, now=NOW, with_outlook=False), case="example"
    )
    assert week.triage_first and week.change_share is None and week.food_mg_a_day is None
    newcomers = told_newcomers(seen.case, rulebook, add="4 adults")
    found = stocking_case(rulebook, seen, newcomers, now=NOW, with_outlook=False)
    assert found.triage_first and found.verdict != "add now"
    assert len(found.to_do) == 1 and "triage" in found.to_do[0]


def test_a_crowd_is_no_routine_of_whole_changes(rulebook: Rulebook) -> None:
    seen = seen_in(rulebook, CROWD)
    week = care_of_case(rulebook, seen, now=NOW, with_outlook=False)
    assert week.tasks[0].topic == "more than it carries" and "triage" in week.tasks[0].what
    assert week.change.share <= 0.5
