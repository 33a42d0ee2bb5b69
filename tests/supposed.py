"""Generated sets of observations, for tests that need many cases of every kind."""

from __future__ import annotations

import random

from hypothesis import strategies as st

from diagnose.findings.observation import Observation
from diagnose.rulebook.terms import Rulebook, Term


def told(name: str, value: str | float) -> Observation:
    """An observation as a keeper tells it."""
    return Observation(name, value, "told", "told")


def any_value(term: Term, source: random.Random) -> str | float:
    """A possible value: any word, or any plausible number and often a typical one."""
    if term.kind != "number":
        return source.choice(term.words)
    if source.random() < 0.5 or term.plausible is None:
        return source.choice([value for value, _ in term.shares])
    low, high = term.plausible
    return round(source.uniform(low, high), 3)


def any_observations(rulebook: Rulebook, seed: int, most: int = 40) -> list[Observation]:
    """Up to `most` observations, some of them estimates, reproducible by seed."""
    source = random.Random(seed)
    names = source.sample(sorted(rulebook.vocabulary), source.randint(1, most))
    found = []
    for name in names:
        value = any_value(rulebook.vocabulary[name], source)
        estimated = isinstance(value, float) and source.random() < 0.2
        found.append(Observation(name, value, "estimated" if estimated else "told", "supposed"))
    return found


seeds = st.integers(min_value=0, max_value=2**32)
