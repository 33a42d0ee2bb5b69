"""What a session was told, as the case file a keeper would have written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.dialogue.state import BESIDES, STORY, Given, Session
from diagnose.intake.case import Case
from diagnose.intake.names import ALL_OF_THE_DEATHS, check_names
from diagnose.intake.writing import case_to_yaml
from diagnose.rulebook.terms import Term
from diagnose.story.case_content import content_of
from diagnose.story.facts import DEAD_COUNT, DEAD_OF, FIRST_DEATH, SPAN_H

#: What the opening tells of the deaths that the vocabulary has no name for.
_OF_THE_DEATHS = frozenset({DEAD_COUNT, DEAD_OF, FIRST_DEATH, SPAN_H})


def case_of(session: Session, vocabulary: Mapping[str, Term]) -> Case:
    """The case that the answers so far make, in the vocabulary's words.

    Raises pydantic's ValidationError or CaseErrors for an answer that cannot stand in a case.
    """
    case = Case.model_validate(
        case_content(session, vocabulary), context="metric", by_alias=True, by_name=False
    )
    return check_names(case, vocabulary)


def case_text(session: Session, vocabulary: Mapping[str, Term]) -> str:
    """The text of the case file. Reading it gives the same case."""
    return case_to_yaml(case_of(session, vocabulary))


def case_content(session: Session, vocabulary: Mapping[str, Term]) -> dict[str, Any]:
    """What stands in the case file, as lists and mappings."""
    content: dict[str, Any] = {
        "case": session.name,
        "asked_at": f"{session.started_at:%Y-%m-%d %H:%M}",
    }
    if session.story:
        content["story"] = session.story
    content |= content_of(session.told(), vocabulary)
    asked = asked_for(session, vocabulary)
    if asked:
        content["asked"] = list(asked)
    return content


def asked_for(session: Session, vocabulary: Mapping[str, Term]) -> tuple[str, ...]:
    """What was only told as the answer to a question, by observation, sorted; what the keeper told
    in the first free words was volunteered, also where a question came back to it.
    """
    volunteered = {name for given in session.given if _freely(given) for name, _ in given.tells}
    asked = {
        name for given in session.given if not _freely(given) for name, _ in given.tells
    } - volunteered
    found = {name for name in asked if name in vocabulary}
    if asked & _OF_THE_DEATHS and not volunteered & _OF_THE_DEATHS:
        found.add(ALL_OF_THE_DEATHS)
    return tuple(sorted(found))


def _freely(given: Given) -> bool:
    """Whether it was told in the keeper's own words, and not asked for."""
    return given.question == STORY or given.question.startswith(BESIDES)
