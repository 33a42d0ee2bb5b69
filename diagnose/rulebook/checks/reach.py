"""Whether a requirement can be met at all by values that a real container shows."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator

from diagnose.rulebook.terms import Leaf, Rulebook, Term, Ways

#: A condition may hold in many ways; beyond this many combinations a requirement is taken as
#: possible rather than searched to the end.
MAX_COMBINATIONS = 4096


def clash(rulebook: Rulebook, way: Iterable[Leaf]) -> str | None:
    """Why nothing can meet all leaves of a way together, as a sentence; None if something can."""
    combinations = itertools.islice(_spelt_out(rulebook, tuple(way)), MAX_COMBINATIONS)
    first: str | None = None
    for leaves in combinations:
        found = _clash(rulebook, leaves)
        if found is None:
            return None
        first = first or found
    return first


def always_met(term: Term, leaf: Leaf) -> bool:
    """Whether an edge is wholly met by every plausible value, so that it asks for nothing."""
    low, high = term.plausible or (-math.inf, math.inf)
    if leaf.kind == "rising":
        return leaf.edges[1] <= low
    if leaf.kind == "falling":
        return leaf.edges[0] >= high
    if leaf.kind == "between":
        return leaf.edges[1] <= low and leaf.edges[2] >= high
    return leaf.kind == "in" and set(term.words) <= set(leaf.words)


def _spelt_out(rulebook: Rulebook, way: tuple[Leaf, ...]) -> Iterator[tuple[Leaf, ...]]:
    """The way with each condition replaced by one of its own ways, in every combination, and with
    what an observation presupposes.
    """
    choices: list[Ways] = [
        _ways_of_condition(rulebook, leaf.name) if leaf.kind == "holds" else ((leaf,),)
        for leaf in way
    ]
    for combination in itertools.product(*choices):
        leaves = tuple(leaf for part in combination for leaf in part)
        grounds = tuple(
            Leaf(ground, "in", words=("present",))
            for leaf in leaves
            if (ground := rulebook.vocabulary[leaf.name].needs_present) is not None
        )
        yield (*leaves, *grounds)


def _ways_of_condition(rulebook: Rulebook, name: str) -> Ways:
    found = []
    for way in rulebook.conditions[name].when:
        inner: list[Ways] = [
            _ways_of_condition(rulebook, leaf.name) if leaf.kind == "holds" else ((leaf,),)
            for leaf in way
        ]
        for combination in itertools.islice(itertools.product(*inner), MAX_COMBINATIONS):
            found.append(tuple(leaf for part in combination for leaf in part))
    return tuple(found)


def _clash(rulebook: Rulebook, leaves: tuple[Leaf, ...]) -> str | None:
    by_name: dict[str, list[Leaf]] = {}
    for leaf in leaves:
        by_name.setdefault(leaf.name, []).append(leaf)
    for name, parts in sorted(by_name.items()):
        found = _clash_of_one(rulebook.vocabulary[name], parts)
        if found is not None:
            return found
    return None


def _clash_of_one(term: Term, leaves: list[Leaf]) -> str | None:
    words = set(term.words)
    low, high = term.plausible or term.possible or (-math.inf, math.inf)
    for leaf in leaves:
        if leaf.kind == "in":
            words &= set(leaf.words)
        elif leaf.kind in ("rising", "between"):
            low = max(low, leaf.edges[0])
        if leaf.kind in ("falling", "between"):
            high = min(high, leaf.edges[-1])
    if term.kind == "number":
        if low < high or not any(leaf.edges for leaf in leaves):
            return None
        first, last = term.plausible or (-math.inf, math.inf)
        return (
            f"no value of `{term.name}` between {first:g} and {last:g} {term.unit} meets it".strip()
            + "."
        )
    return None if words else f"`{term.name}` cannot be all that it asks at once."
