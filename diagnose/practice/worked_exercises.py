"""The worked cases of a folder as exercises, told as the keeper told them."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.intake.case import Expectation
from diagnose.practice.exercise import Exercise
from diagnose.rulebook.terms import Rulebook
from diagnose.story.lexicon import Lexicon
from diagnose.story.reader import read_story

#: Cases without a time of asking are asked at this one; only differences of time matter.
ASKED = datetime(2026, 5, 12, 18, 0)
#: So much is not a story: nothing would be told.
LEAST_STORY = 20


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where worked cases are, and how to read what their stories plainly say."""

    files: tuple[Path, ...]
    lexicon: Lexicon


def shelf(folder: Path, lexicon: Lexicon) -> Shelf:
    """All case files of a folder. Raises ValueError for a folder without any."""
    files = tuple(sorted(folder.glob("*.yaml")))
    if not files:
        raise ValueError(f"{folder}: no cases here. Name a folder with case files (*.yaml).")
    return Shelf(files, lexicon)


def exercise_of(file: Path, rulebook: Rulebook, lexicon: Lexicon) -> Exercise | None:
    """The case of a file as an exercise; None for one that is none: no story, or no expectation."""
    found = observed_case(file, rulebook, now=ASKED)
    case, expect = found.case, found.case.expect
    if expect is None or not expect.first or len(case.story or "") < LEAST_STORY:
        return None
    known = {o.name: o for o in found.observations if o.origin != "estimated"}
    told = _told(case.story or "", known, rulebook, lexicon)
    return Exercise(
        id=case.case,
        title=case.title or case.case,
        story=" ".join((case.story or "").split()),
        level=level_of(expect),
        origin="worked",
        told=told,
        hidden={name: o for name, o in known.items() if name not in told},
        right=tuple(expect.first),
        at_work=tuple(expect.also),
    )


def level_of(expect: Expectation) -> int:
    """3 where two causes were at work, 2 where little is known, 1 where all is plain."""
    if expect.also:
        return 3
    return 2 if expect.thin else 1


def _told(
    story: str, known: Mapping[str, Observation], rulebook: Rulebook, lexicon: Lexicon
) -> dict[str, Observation]:
    """What the story says in so many words and the case bears out."""
    said = {
        (name, value)
        for reading in read_story(story, lexicon, rulebook.vocabulary).readings
        for name, value in reading.tells
    }
    return {name: o for name, o in known.items() if (name, o.value) in said}


def next_worked(
    having: Shelf,
    rulebook: Rulebook,
    level: int | None,
    seed: int,
    seen: Mapping[str, int],
    without: Iterable[str] = (),
) -> Exercise | None:
    """The next exercise in the order of the seed: one that was done least often, so that none comes
    again before all of its level were seen. None where the folder has none of that level.

    without: ids not to give again in this sitting as long as others are left.
    """
    order = list(having.files)
    random.Random(seed).shuffle(order)
    avoided = set(without)
    order.sort(key=lambda file: (seen.get(file.stem, 0), file.stem in avoided))
    for file in order:
        exercise = exercise_of(file, rulebook, having.lexicon)
        if exercise is not None and level in (None, exercise.level):
            return exercise
    return None
