"""An efficient way to the cause: at each step the observation with the most expected information
for its minutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.findings.observation import Observation
from diagnose.practice.exercise import Exercise, askable_names
from diagnose.practice.play import Play, look
from diagnose.rulebook.terms import Rulebook
from diagnose.session.worth import Reckoner, Thought, think, worths

#: A path ends when one cause is believed this much, or after so many looks.
SETTLED, MOST_LOOKS = 0.8, 8


@dataclass(frozen=True, slots=True)
class PathStep:
    """One look of a path: minutes so far, and what was believed most after it."""

    name: str
    answer: str | float
    minutes: float
    first: str
    belief: float


def beliefs_on(reckon: Reckoner, known: Iterable[Observation]) -> Thought:
    """What the engine believes on these facts."""
    return think(reckon, known)


def most_telling(reckon: Reckoner, play: Play, names: Iterable[str]) -> str | None:
    """The observation among `names` with the most expected information a minute, or None."""
    thought = think(reckon, play.known.values())
    found = worths(reckon, thought, tuple(names))
    return found[0].name if found else None


def efficient_path(rulebook: Rulebook, reckon: Reckoner, exercise: Exercise) -> list[PathStep]:
    """A good way through an exercise, among what can be found out in it."""
    play = Play(exercise)
    steps: list[PathStep] = []
    while len(steps) < MOST_LOOKS:
        first = think(reckon, play.known.values()).beliefs.first
        if first.belief >= SETTLED:
            break
        open_names = askable_names(rulebook, exercise, set(play.known) | set(play.looked))
        name = most_telling(reckon, play, [n for n in open_names if n in exercise.hidden])
        if name is None:
            break
        play, found = look(play, rulebook, name)
        after = think(reckon, play.known.values()).beliefs.first
        assert found is not None
        steps.append(PathStep(name, found.value, play.minutes, after.cause, after.belief))
    return steps


def would_have_settled(reckon: Reckoner, play: Play) -> tuple[str, float, float] | None:
    """The one fact not looked at that would have moved belief in the cause most: its name, the
    belief before and after. None where nothing was left to look at that helps.
    """
    cause = play.exercise.right[0]
    before = think(reckon, play.known.values()).shares[cause]
    best: tuple[str, float, float] | None = None
    for name, found in sorted(play.exercise.hidden.items()):
        if name in play.known or found.origin == "derived":
            continue
        after = think(reckon, (*play.known.values(), found)).shares[cause]
        if after > before + 0.01 and (best is None or after > best[2]):
            best = (name, before, after)
    return best
