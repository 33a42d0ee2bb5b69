"""The page of a triage: the answer with its drawings, and the case that it carries."""

from __future__ import annotations

from diagnose.report.answer import Answer
from diagnose.report.figures.course import course_marks
from diagnose.report.web_page import triage_html
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.triage import CaseAnswer

#: Signs named in the drawing of how a cause works.
SEEN_NAMED = 5
#: Origins of what a keeper saw or read, and not this program.
SEEN_BY_KEEPERS = ("told", "measured")


def triage_page(result: CaseAnswer) -> str:
    """The whole page as HTML."""
    return triage_html(
        result.answer,
        told=result.observed.told,
        marks=course_marks(result.observed.case, result.prefer),
        works=_how_it_works(result.answer, result.rulebook),
    )


def _how_it_works(answer: Answer, rulebook: Rulebook) -> tuple[tuple[str, str], ...]:
    """From the first cause to what was seen; nothing where nothing harms them."""
    if not answer.ranking or answer.ranking[0].harmless:
        return ()
    first = answer.ranking[0]
    mechanism = rulebook.mechanisms[first.mechanism]
    facts = [fact for line in first.for_ for fact in line.facts if fact.origin in SEEN_BY_KEEPERS]
    seen = list(dict.fromkeys(fact.text for fact in facts))[:SEEN_NAMED]
    parts = [
        (first.title, first.summary),
        ("In the water", mechanism.in_the_water),
        ("In the animal", mechanism.in_the_animal),
        ("What was told of it", "; ".join(seen)),
    ]
    return tuple((heading, text) for heading, text in parts if text)
