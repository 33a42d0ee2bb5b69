"""Checks of the vocabulary: can a keeper answer what is asked, and is the answer understood?"""

from __future__ import annotations

import re
from collections.abc import Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject
from diagnose.rulebook.terms import Term

#: A check that takes longer than this is no question but a project.
LONGEST_MINUTES = 60.0
NAME = re.compile(r"[a-z][a-z0-9_]*")
ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def _nobody_can_answer(subject: Subject) -> Iterable[Problem]:
    for term in subject.rulebook.vocabulary.values():
        if term.derived:
            continue
        for says in _unanswerable(subject, term):
            yield Problem(At("vocabulary", term.name), says)


def _unanswerable(subject: Subject, term: Term) -> Iterable[str]:
    if term.kind == "choice" and len(term.choices) < 2:
        yield "a choice needs at least two answers."
    if term.kind == "number" and not term.unit:
        yield "nobody can answer a number without its unit."
    if not 0.0 <= term.minutes <= LONGEST_MINUTES:
        yield f"finding out takes {term.minutes:g} minutes."
    if term.needs != "eyes" and not term.look:
        yield f"it needs the {term.needs}, and `look` does not say how to use it."
    ground = subject.rulebook.vocabulary.get(term.needs_present or "")
    if ground is not None and ground.kind != "sign":
        yield f"`{ground.name}`, which it presupposes, is no sign that can be present."
    if _presupposes_itself(subject, term):
        yield "it presupposes itself, so it is never asked."
    if len(term.shares) < 2:
        yield "only one answer has a share, so asking can teach nothing."


def _presupposes_itself(subject: Subject, term: Term) -> bool:
    seen = {term.name}
    ground = term.needs_present
    while ground is not None:
        if ground in seen:
            return True
        seen.add(ground)
        ground = subject.rulebook.vocabulary[ground].needs_present
    return False


def _ranges(subject: Subject) -> Iterable[Problem]:
    for term in subject.rulebook.vocabulary.values():
        if term.kind != "number":
            continue
        at = At("vocabulary", term.name)
        if term.possible is None or term.plausible is None:
            yield Problem(at, "it has no possible or no plausible range.")
            continue
        if term.plausible[0] < term.possible[0] or term.plausible[1] > term.possible[1]:
            yield Problem(at, "its plausible range reaches beyond the possible one.")
        outside = [
            value
            for value, _ in term.shares
            if isinstance(value, float) and not term.plausible[0] <= value <= term.plausible[1]
        ]
        if outside:
            yield Problem(at, f"the typical value {outside[0]:g} is not plausible.")


def _names(subject: Subject) -> Iterable[Problem]:
    for name in subject.rulebook.vocabulary:
        if NAME.fullmatch(name) is None:
            yield Problem(At("vocabulary", name), f"`{name}` is no name for an observation.")
    for kind in ("causes", "mechanisms", "conditions", "steps", "cautions", "sources"):
        for name in getattr(subject.rulebook, kind):
            if ID.fullmatch(name) is None:
                yield Problem(At(kind, name), f"`{name}` is no id.")
    for at, item in subject.arguments():
        if ID.fullmatch(item.id) is None:
            yield Problem(at, f"`{item.id}` is no id.")


def _early_signs(subject: Subject) -> Iterable[Problem]:
    vocabulary = subject.rulebook.vocabulary
    for kind in ("causes", "mechanisms"):
        for owner in getattr(subject.rulebook, kind).values():
            for name in owner.early_signs:
                if vocabulary[name].kind == "number" or vocabulary[name].derived:
                    at = At(kind, owner.id, ("early_signs", name))
                    yield Problem(at, f"`{name}` is nothing a keeper sees on the animals or water.")


CHECKS = (
    Check(
        "question-unanswerable",
        "error",
        "Say in `asks`, `look`, `unit` and `choices` what a keeper can find out and answer.",
        _nobody_can_answer,
    ),
    Check(
        "range-wrong",
        "error",
        "Give [lowest, highest]: possible for what can exist, plausible for what containers show.",
        _ranges,
    ),
    Check(
        "name-shape",
        "error",
        "Observations are small_letters_with_underscores, all else small-letters-with-hyphens.",
        _names,
    ),
    Check(
        "early-sign-unseen",
        "error",
        "Name a sign that can be seen before anybody dies.",
        _early_signs,
    ),
)
