"""One sitting of practice: exercises in the order of a seed, results kept, calibration told."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diagnose.dialogue.expected_information import look_ahead_over
from diagnose.practice.calibration import calibration, calibration_sentence
from diagnose.practice.exercise import Exercise
from diagnose.practice.feedback import Feedback
from diagnose.practice.invented import Maker, invent, maker
from diagnose.practice.play import Play
from diagnose.practice.record import Result, keep, kept, times_seen
from diagnose.practice.table import Voice, play_one, say_all
from diagnose.practice.worked_exercises import Shelf, next_worked, shelf
from diagnose.rulebook.terms import Rulebook
from diagnose.story.lexicon import load_lexicon

#: The level of made-up cases when none is named.
USUAL_LEVEL = 1
LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a learner wants: a level or any, made-up cases or worked ones, how many, whose record.

    seed fixes the order, so that a class gets the same cases.
    """

    level: int | None
    fresh: bool
    rounds: int
    seed: int
    learner: str


def practise(
    rulebook: Rulebook,
    folders: Iterable[Path],
    cases: Path,
    keep_in: Path,
    wanted: Wanted,
    voice: Voice,
    now: Callable[[], datetime],
) -> int:
    """Plays `wanted.rounds` exercises and keeps the results in `keep_in`; how many were finished.

    Raises ValueError for cases or results that cannot be used.
    """
    if len(wanted.learner) > LONGEST_NAME or not wanted.learner.isprintable():
        raise ValueError(f"A learner's name is up to {LONGEST_NAME} ordinary characters.")
    folders = tuple(folders)
    look_ahead = look_ahead_over(rulebook)
    choose = _chooser(rulebook, folders, cases, wanted)
    done = 0
    given: list[str] = []
    for _ in range(wanted.rounds):
        seen = times_seen(kept(keep_in), wanted.learner)
        exercise = choose(seen, given)
        given.append(exercise.id)
        played = play_one(rulebook, look_ahead, exercise, voice)
        if played is None:
            voice.say("")
            voice.say("Left. Nothing is kept of this case.")
            break
        keep(keep_in, _result(exercise, *played, wanted.learner, now()))
        done += 1
        voice.say("")
    if done:
        _say_calibration(kept(keep_in), wanted.learner, voice)
    return done


def _chooser(
    rulebook: Rulebook, folders: tuple[Path, ...], cases: Path, wanted: Wanted
) -> Callable[[dict[str, int], list[str]], Exercise]:
    if wanted.fresh:
        making = maker(rulebook)
        return lambda seen, given: _next_fresh(making, wanted, seen, given)
    having = shelf(
        cases,
        load_lexicon(
            folders, rulebook.vocabulary, rulebook.species.values(), rulebook.companions.values()
        ),
    )
    return lambda seen, given: _next_worked(having, rulebook, wanted, seen, given)


def _next_fresh(making: Maker, wanted: Wanted, seen: dict[str, int], given: list[str]) -> Exercise:
    """The first seed from the wanted one on whose exercise was not done yet."""
    level = wanted.level or USUAL_LEVEL
    seed = wanted.seed
    while True:
        exercise = invent(making, level, seed)
        if exercise.id not in seen and exercise.id not in given:
            return exercise
        seed += 1


def _next_worked(
    having: Shelf, rulebook: Rulebook, wanted: Wanted, seen: dict[str, int], given: list[str]
) -> Exercise:
    found = next_worked(having, rulebook, wanted.level, wanted.seed, seen, given)
    if found is None:
        raise ValueError(
            "None of these cases can be practised on at that level: a case needs a story and an "
            "`expect` block. Leave out --level, or use --fresh."
        )
    return found


def _result(exercise: Exercise, play: Play, found: Feedback, learner: str, now: datetime) -> Result:
    return Result(
        when=now.isoformat(timespec="seconds"),
        learner=learner,
        case=exercise.id,
        origin=exercise.origin,
        level=exercise.level,
        named=found.named,
        cause=found.cause,
        confidence_percent=found.confidence * 100.0,
        right=found.is_right,
        minutes=found.minutes,
        looks=len(play.looked),
        score=round(found.score, 6),
        asked=" ".join(play.looked),
    )


def _say_calibration(results: tuple[Result, ...], learner: str, voice: Voice) -> None:
    own = [(r.confidence_percent / 100.0, r.right) for r in results if r.learner == learner]
    found = calibration(own)
    score = math.fsum(r.score for r in results if r.learner == learner) / found.answers
    say_all(
        voice,
        f"Your record: {found.answers} done, {found.right:.0%} right, mean score "
        f"{score:.2f}. {calibration_sentence(found)}",
    )
