"""Ways to the cause: the look most worth its minutes while the cause is not known, and afterwards
the looks that would have led to it soonest.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log10

from diagnose.dialogue.expected_information import Inferred, LookAhead, expected_information, infer
from diagnose.practice.exercise import Exercise, askable_names
from diagnose.practice.play import Play, look
from diagnose.practice.weighing import speaks_for
from diagnose.rulebook.terms import Rulebook

#: A path ends when the cause is believed this much, after so many looks, or when no look raises it
#: by this factor any more.
SETTLED, MOST_LOOKS, LEAST_RISE = 0.8, 6, 1.15
#: Looks tried on the engine at each step; the others say less for the cause by the rulebook.
TRIED = 10


@dataclass(frozen=True, slots=True)
class PathStep:
    """One look of a path: minutes so far, and what was believed most after it."""

    name: str
    answer: str | float
    minutes: float
    first: str
    belief: float


def most_telling(look_ahead: LookAhead, play: Play, names: Iterable[str]) -> str | None:
    """The observation among `names` with the most expected information a minute, or None."""
    inferred = infer(look_ahead, play.known.values())
    found = expected_information(look_ahead, inferred, tuple(names))
    return found[0].name if found else None


def efficient_path(rulebook: Rulebook, look_ahead: LookAhead, exercise: Exercise) -> list[PathStep]:
    """With hindsight: at each step the look that raised belief in the cause most per minute."""
    play = Play(exercise)
    cause = exercise.right[0]
    steps: list[PathStep] = []
    seen = infer(look_ahead, play.known.values())
    belief = seen.shares[cause]
    while len(steps) < MOST_LOOKS and belief < SETTLED:
        best: tuple[float, Play, str, Inferred] | None = None
        for name in _worth_trying(rulebook, play, cause, seen):
            after, _ = look(play, rulebook, name)
            inferred = infer(look_ahead, after.known.values())
            rise = inferred.shares[cause] / belief
            worth = log10(rise) / (after.minutes - play.minutes)
            if rise >= LEAST_RISE and (best is None or worth > best[0]):
                best = (worth, after, name, inferred)
        if best is None:
            break
        _, play, name, seen = best
        belief = seen.shares[cause]
        first = seen.beliefs.first
        answer = exercise.hidden[name].value
        steps.append(PathStep(name, answer, play.minutes, first.cause, first.belief))
    return steps


def would_have_settled(
    rulebook: Rulebook, look_ahead: LookAhead, play: Play
) -> tuple[str, float, float] | None:
    """The one fact not looked at that would have moved belief in the cause most: its name, the
    belief before and after. None where nothing was left to look at that helps.
    """
    cause = play.exercise.right[0]
    seen = infer(look_ahead, play.known.values())
    before = seen.shares[cause]
    best: tuple[str, float, float] | None = None
    for name in _worth_trying(rulebook, play, cause, seen):
        found = play.exercise.hidden[name]
        after = infer(look_ahead, (*play.known.values(), found)).shares[cause]
        if after >= before * LEAST_RISE and (best is None or after > best[2]):
            best = (name, before, after)
    return best


def _worth_trying(rulebook: Rulebook, play: Play, cause: str, seen: Inferred) -> list[str]:
    """The open looks that say most, by the rulebook's weights, for a cause and against the one
    that rivals it most, most telling first.
    """
    known = {name: found.value for name, found in play.known.items()}
    through = rulebook.causes[cause].works_through
    rival = next(s for s in seen.beliefs.standings if s.cause != cause)

    def support(facts: dict[str, str | float]) -> float:
        own = max(speaks_for(rulebook, cause, mechanism, facts) for mechanism in through)
        return own - speaks_for(rulebook, rival.cause, rival.mechanism, facts)

    now = support(known)
    asked = set(play.known) | set(play.looked)
    gains = {
        name: support({**known, name: play.exercise.hidden[name].value}) - now
        for name in askable_names(rulebook, play.exercise, asked)
        if name in play.exercise.hidden
    }
    helpful = [name for name, gain in gains.items() if gain > 0.0]
    return sorted(helpful, key=lambda name: (-gains[name], name))[:TRIED]
