"""A text in a keeper's own words as a case file, and its answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.intake.problems import CaseErrors
from diagnose.intake.written_text import LONGEST_STORY
from diagnose.story.as_case import case_text
from diagnose.story.lexicon import load_lexicon
from diagnose.story.reader import Story, read_story

if TYPE_CHECKING:
    from diagnose.report.wording import Preference
    from diagnose.rulebook.terms import Rulebook
    from diagnose.uses.triage import CaseAnswer

#: More than this is no story but a book; the rest is left unread, and that is said.
MOST_BYTES = 4 * LONGEST_STORY


@dataclass(frozen=True, slots=True)
class StoryRead:
    """The case file a text makes, and what was read of it."""

    text: str
    story: Story


def read_text(
    data: bytes, name: str, rulebook: Rulebook, folders: Iterable[Path], *, now: datetime
) -> StoryRead:
    """The case file that a text makes. name: what the case is called. Raises ValueError for a
    grammar or lexicon that cannot be used.
    """
    text = data[:MOST_BYTES].decode("utf-8", "replace").lstrip("\ufeff")[:LONGEST_STORY]
    lexicon = load_lexicon(
        folders, rulebook.vocabulary, rulebook.species.values(), rulebook.companions.values()
    )
    plain = re.sub(r"[^\w -]+", "-", name).strip("-_ ") or "story"

    def made(story: Story) -> StoryRead:
        return StoryRead(case_text(story, text, plain, rulebook.vocabulary, now), story)

    story = read_story(text, lexicon, rulebook.vocabulary, now)
    return made(_agreeing(story, made, rulebook, now))


def _agreeing(
    story: Story, made: Callable[[Story], StoryRead], rulebook: Rulebook, now: datetime
) -> Story:
    """The story without what contradicts the rest of it: that was misread, and is said to be not
    understood.
    """
    from diagnose.findings.observed_case import observed_text

    while story.readings:
        try:
            observed_text(made(story).text.encode("utf-8"), "story", rulebook, now=now)
        except CaseErrors as found:
            names = {problem.field for problem in found.problems}
            odd = [one for one in story.readings if names & {name for name, _ in one.tells}]
            if not odd:
                return story
            rest = tuple(one for one in story.readings if one not in odd)
            unread = (*story.unread, *(one.words for one in odd))
            story = replace(story, readings=rest, unread=unread)
        else:
            return story
    return story


def triage_text(
    data: bytes,
    name: str,
    rulebook: Rulebook,
    folders: Iterable[Path],
    *,
    now: datetime,
    prefer: Preference | None = None,
    ranges_in: Path | None = None,
) -> tuple[CaseAnswer, StoryRead]:
    """The answer to a text, and what was read of it. Raises ValueError if nothing was."""
    from diagnose.findings.observed_case import observed_text, with_estimates
    from diagnose.uses.triage import triage_case

    read = read_text(data, name, rulebook, folders, now=now)
    if not read.story.readings:
        raise ValueError(
            f"{name}: nothing of this could be read as a fact. Say who died, since when, what was "
            "done in the days before and what is seen; or run `bowlside triage` to be asked."
        )
    observed = observed_text(read.text.encode("utf-8"), name, rulebook, now=now)
    if ranges_in is not None:
        observed = with_estimates(rulebook, observed, ranges_in, now=now)
    return triage_case(rulebook, observed, prefer), read
