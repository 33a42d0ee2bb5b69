"""Checks for what is defined and never used, and for what is used by nothing but itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject

#: Observations and conditions that no rule needs because the program itself reads them.
READ_BY_THE_PROGRAM = {
    "settled_material": "makes the film older (diagnose.stocking.prospect)",
    "companions-ail-now": "sends to triage before any routine (diagnose.advice.triage_first)",
}


def _never_mentioned(kind: str, what: str) -> Callable[[Subject], Iterable[Problem]]:
    def look(subject: Subject) -> Iterable[Problem]:
        entries: Iterable[str] = getattr(subject.rulebook, kind)
        for name in entries:
            if not subject.mentions[name] and name not in READ_BY_THE_PROGRAM:
                yield Problem(At(kind, name), f"{what} `{name}` is used nowhere.")

    return look


def _observations(subject: Subject) -> Iterable[Problem]:
    """The hours since an event come with the event; where that is used, nobody is asked in vain."""
    vocabulary = subject.rulebook.vocabulary
    for name, term in vocabulary.items():
        comes_with = term.event is not None and any(
            subject.mentions[other.name]
            for other in vocabulary.values()
            if other.event == term.event
        )
        if not (subject.mentions[name] or comes_with or name in READ_BY_THE_PROGRAM):
            yield Problem(At("vocabulary", name), f"the observation `{name}` is used nowhere.")


def _mechanisms_without_cause(subject: Subject) -> Iterable[Problem]:
    used = {name for cause in subject.rulebook.causes.values() for name in cause.works_through}
    for name in subject.rulebook.mechanisms:
        if name not in used:
            yield Problem(At("mechanisms", name), f"no cause works through `{name}`.")


CHECKS = (
    Check(
        "observation-unused",
        "advice",
        "Give a rule that asks for it, or remove it: nobody should be asked in vain.",
        _observations,
    ),
    Check(
        "condition-unused",
        "advice",
        "Build a rule on it with `holds`, or remove it.",
        _never_mentioned("conditions", "the condition"),
    ),
    Check(
        "mechanism-unused",
        "advice",
        "Name it in `works_through` of a cause, or remove it.",
        _mechanisms_without_cause,
    ),
    Check(
        "step-unused",
        "advice",
        "Name it in now, today, this_week or prevent of a cause, or remove it.",
        _never_mentioned("steps", "the step"),
    ),
    Check(
        "caution-unused",
        "advice",
        "Let the steps that need it name it, or remove it.",
        _never_mentioned("cautions", "the caution"),
    ),
    Check(
        "source-unused",
        "advice",
        "Cite it where it is relied on, or remove it.",
        _never_mentioned("sources", "the source"),
    ),
)
