"""The game without a screen: looking costs minutes, a cause may be named at any time."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.belief.next_checks import SETTING_OUT_MINUTES
from diagnose.findings.observation import Observation
from diagnose.practice.exercise import Exercise
from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class Play:
    """How far a learner has come: what was asked for, in order, and the minutes it took."""

    exercise: Exercise
    looked: tuple[str, ...] = ()
    minutes: float = 0.0

    @property
    def known(self) -> dict[str, Observation]:
        """The facts the learner has: told at the start, or found by looking, which is asking."""
        hidden = self.exercise.hidden
        found = {n: replace(hidden[n], asked=True) for n in self.looked if n in hidden}
        return {**self.exercise.told, **found}


def look(play: Play, rulebook: Rulebook, name: str) -> tuple[Play, Observation | None]:
    """Asks for one observation: the play after it and what was found (None: nobody can say).

    Asking for what is known already, and for what nobody can say, costs nothing. Raises KeyError
    for no observation at all.
    """
    term = rulebook.vocabulary[name]
    known = play.known.get(name)
    if known is not None:
        return play, known
    if name in play.looked:
        return play, None
    found = play.exercise.hidden.get(name)
    minutes = term.minutes + SETTING_OUT_MINUTES if found is not None else 0.0
    after = replace(play, looked=(*play.looked, name), minutes=play.minutes + minutes)
    return after, after.known.get(name)
