"""Two causes that are confused, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest

from diagnose.reasons.page import look_alikes, names_of, size_of, strongest_for
from diagnose.rulebook.terms import Evidence, Rulebook

MARKS = 4
LOOKS = 4


@dataclass(frozen=True, slots=True)
class Side:
    """What marks one of the two. tell: as the other's page says it; marks: its own strongest
    arguments.
    """

    id: str
    title: str
    tell: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Both sides, and the questions whose answers part them most."""

    left: Side
    right: Side
    look_at: tuple[str, ...]


def apart(rulebook: Rulebook, left: str, right: str) -> Comparison:
    """What tells two causes apart. Raises KeyError for a cause the rulebook does not have."""
    tells = {x.id: x for x in look_alikes(rulebook, left)}.get(right)
    marks = {name: _marks(rulebook, name) for name in (left, right)}
    only = {
        name: [m.because for m in marks[name] if m.because not in _texts(marks[other])]
        for name, other in ((left, right), (right, left))
    }
    pairs = list(zip_longest(only[left][:MARKS], only[right][:MARKS], fillvalue=""))
    ours = tells.ours if tells else ""
    theirs = tells.theirs if tells else ""
    return Comparison(
        Side(left, rulebook.causes[left].title, ours, tuple(a for a, _ in pairs)),
        Side(right, rulebook.causes[right].title, theirs, tuple(b for _, b in pairs)),
        _look_at(rulebook, left, right),
    )


def _texts(marks: tuple[Evidence, ...]) -> set[str]:
    return {mark.because for mark in marks}


def _evidence(rulebook: Rulebook, cause: str) -> tuple[Evidence, ...]:
    found = rulebook.causes[cause]
    return (*found.evidence, *rulebook.mechanisms[found.works_through[0]].evidence)


def _marks(rulebook: Rulebook, cause: str) -> tuple[Evidence, ...]:
    return strongest_for(_evidence(rulebook, cause), 2 * MARKS)


def _look_at(rulebook: Rulebook, left: str, right: str) -> tuple[str, ...]:
    """The observations that speak loudest for one and not for the other."""
    loudest: dict[str, list[float]] = {}
    for side, cause in enumerate((left, right)):
        for item in _evidence(rulebook, cause):
            for name in names_of(item) & rulebook.vocabulary.keys():
                sizes = loudest.setdefault(name, [0.0, 0.0])
                sizes[side] = max(sizes[side], size_of(item))
    order = sorted(loudest, key=lambda name: (-abs(loudest[name][0] - loudest[name][1]), name))
    askable = [name for name in order if not rulebook.vocabulary[name].derived]
    return tuple(
        f"{rulebook.vocabulary[name].asks} {rulebook.vocabulary[name].look}".strip()
        for name in askable[:LOOKS]
    )
