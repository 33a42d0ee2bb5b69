"""Keepers made up by the model of answers itself: a cause drawn from the beliefs at the start, and
each answer drawn from its chance under that cause, given all answers so far.

With them the expected information can be held against the information that came.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from diagnose.belief.next_checks import answer_chances, askable, divergence_bits, lifts_of
from diagnose.dialogue.expected_information import (
    Inferred,
    LookAhead,
    Value,
    expected_information,
    infer,
    scores_after,
)
from diagnose.findings.observation import Observation


@dataclass(frozen=True)
class Learnt:
    """One question: the bits expected, the bits by which beliefs moved, and the bits gained about
    the cause that was true.
    """

    expected: float
    moved: float
    about_truth: float


def chances_under(
    look_ahead: LookAhead, inferred: Inferred, name: str, cause: str
) -> list[tuple[Value, float]]:
    """The chance of each answer if `cause` were true: the rulebook's shares, reweighed."""
    term = look_ahead.rulebook.vocabulary[name]
    lifts = []
    for value, _ in term.shares:
        scores = scores_after(
            look_ahead, inferred, Observation(name, value, "told", "supposed"), lambda n, v: ()
        )
        lifts.append(lifts_of(look_ahead.rulebook, inferred.scores, scores))
    chances = answer_chances(term.shares, lifts).get(cause)
    if chances is None:
        total = math.fsum(share for _, share in term.shares)
        chances = [share / total for _, share in term.shares]
    return [(value, c) for (value, _), c in zip(term.shares, chances, strict=True)]


def learning(look_ahead: LookAhead, seed: int, questions: int) -> list[Learnt]:
    """What was learnt at each question of one made-up session, always asking what is worth most."""
    source = random.Random(seed)
    known: list[Observation] = []
    inferred = infer(look_ahead, known)
    names = sorted(inferred.shares)
    truth = source.choices(names, [inferred.shares[name] for name in names])[0]
    found: list[Learnt] = []
    for _ in range(questions):
        vocabulary = look_ahead.rulebook.vocabulary
        askables = [n for n, term in vocabulary.items() if askable(term, inferred.trace)]
        best = expected_information(look_ahead, inferred, askables)[0]
        chances = chances_under(look_ahead, inferred, best.name, truth)
        value = source.choices([v for v, _ in chances], [c for _, c in chances])[0]
        known.append(Observation(best.name, value, "told", "drawn"))
        then = infer(look_ahead, known)
        found.append(
            Learnt(
                best.gain_bits,
                divergence_bits(then.shares, inferred.shares),
                math.log2(then.shares[truth] / inferred.shares[truth]),
            )
        )
        inferred = then
    return found
