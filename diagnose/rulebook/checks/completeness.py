"""Checks that each cause says all a keeper needs: for and against, what looks alike, what settles
it, what to do and how to prevent it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject, highest, lowest

#: Two cases for each cause: one could be right by luck.
WORKED_CASES_EACH = 2


def _causes_lacking(field: str, says: str) -> Callable[[Subject], Iterable[Problem]]:
    def look(subject: Subject) -> Iterable[Problem]:
        for cause in subject.rulebook.causes.values():
            if not getattr(cause, field):
                yield Problem(At("causes", cause.id), says)

    return look


def _nothing_to_do(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        if not (cause.now or cause.today or cause.this_week):
            yield Problem(At("causes", cause.id), "it says nothing of what to do.")


def _nothing_for(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        if not any(highest(item) > 0 for item in cause.evidence):
            yield Problem(At("causes", cause.id, ("evidence",)), "nothing speaks for it.")


def _nothing_against(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        if not any(lowest(item) < 0 for item in cause.evidence):
            yield Problem(At("causes", cause.id, ("evidence",)), "nothing speaks against it.")


def _mechanism_nothing_against(subject: Subject) -> Iterable[Problem]:
    for found in subject.rulebook.mechanisms.values():
        if not any(lowest(item) < 0 for item in found.evidence):
            yield Problem(At("mechanisms", found.id, ("evidence",)), "nothing speaks against it.")


def _look_alike_of_itself(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        named = [item.cause for item in cause.looks_like]
        at = At("causes", cause.id, ("looks_like",))
        if cause.id in named:
            yield Problem(at, "it is named as its own look-alike.")
        for name in sorted({name for name in named if named.count(name) > 1}):
            yield Problem(at, f"the look-alike `{name}` is named twice.")


def _nothing_can_be_asked(subject: Subject) -> Iterable[Problem]:
    vocabulary = subject.rulebook.vocabulary
    for cause in subject.rulebook.causes.values():
        if cause.confirm and all(vocabulary[item.check].derived for item in cause.confirm):
            at = At("causes", cause.id, ("confirm",))
            yield Problem(
                at, "every way to confirm it is worked out from a log; none can be asked."
            )


def _confirmed_by_nothing(subject: Subject) -> Iterable[Problem]:
    """A finding that is said to settle a cause must move it, or a mechanism of it.

    Numbers are left out: a rule may rest on what is worked out from them.
    """
    rulebook = subject.rulebook
    for cause in rulebook.causes.values():
        owners = [cause.evidence, *(rulebook.mechanisms[m].evidence for m in cause.works_through)]
        names = set()
        for item in (item for evidence in owners for item in evidence):
            names |= {leaf.name for way in item.when for leaf in way}
            names |= {item.curve.over} if item.curve is not None else set()
        for leaf_name in list(names):
            if leaf_name in rulebook.conditions:
                names |= _under(subject, leaf_name)
        for confirmation in cause.confirm:
            number = rulebook.vocabulary[confirmation.check].kind == "number"
            if not number and confirmation.check not in names:
                yield Problem(
                    At("causes", cause.id, ("confirm", confirmation.check)),
                    f"`{confirmation.check}` is said to confirm it, but no argument rests on that.",
                )


def _under(subject: Subject, condition: str) -> set[str]:
    found: set[str] = set()
    for way in subject.rulebook.conditions[condition].when:
        for leaf in way:
            found.add(leaf.name)
            if leaf.name in subject.rulebook.conditions:
                found |= _under(subject, leaf.name)
    return found


def _few_worked_cases(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        count = subject.worked.get(cause.id, 0)
        if count < WORKED_CASES_EACH:
            many = "no worked case expects" if count == 0 else "only one worked case expects"
            yield Problem(At("causes", cause.id), f"{many} it.")


def _mechanism_without_case(subject: Subject) -> Iterable[Problem]:
    exercised = {
        name
        for cause in subject.rulebook.causes.values()
        if subject.worked.get(cause.id)
        for name in cause.works_through
    }
    for name in subject.rulebook.mechanisms:
        if name not in exercised:
            yield Problem(At("mechanisms", name), "no worked case exercises it.")


def _repeats_a_mechanism(subject: Subject) -> Iterable[Problem]:
    for cause in subject.rulebook.causes.values():
        if len(set(cause.works_through)) < len(cause.works_through):
            yield Problem(At("causes", cause.id, ("works_through",)), "a mechanism stands twice.")
        if not cause.works_through:
            yield Problem(At("causes", cause.id, ("works_through",)), "it works through nothing.")


CHECKS = (
    Check(
        "nothing-for",
        "error",
        "Give the history or habit that would make you think of it.",
        _nothing_for,
    ),
    Check(
        "nothing-against",
        "error",
        "Say what would speak against it: an argument with a negative weight.",
        _nothing_against,
    ),
    Check(
        "mechanism-nothing-against",
        "error",
        "Say what animals harmed in this way never do, with a negative weight.",
        _mechanism_nothing_against,
    ),
    Check(
        "no-look-alike",
        "error",
        "Name in `looks_like` a cause that would look the same, and how to tell them apart.",
        _causes_lacking("looks_like", "it names no look-alike."),
    ),
    Check(
        "look-alike-wrong",
        "error",
        "Name each other cause once.",
        _look_alike_of_itself,
    ),
    Check(
        "no-confirmation",
        "error",
        "Name in `confirm` an observation that would settle it.",
        _causes_lacking("confirm", "it names no way to confirm it."),
    ),
    Check(
        "confirmation-unaskable",
        "error",
        "Add one that a keeper can look for or measure.",
        _nothing_can_be_asked,
    ),
    Check(
        "confirmation-idle",
        "advice",
        "Add an argument that rests on it, or confirm by something that has one.",
        _confirmed_by_nothing,
    ),
    Check(
        "no-prevention",
        "error",
        "Name in `prevent` a step that keeps it from coming back.",
        _causes_lacking("prevent", "it names no way to prevent it."),
    ),
    Check(
        "nothing-to-do",
        "error",
        "Name steps in now, today or this_week, if only to wait and watch.",
        _nothing_to_do,
    ),
    Check(
        "works-through-wrong",
        "error",
        "Name each mechanism once, likeliest first.",
        _repeats_a_mechanism,
    ),
    Check(
        "few-worked-cases",
        "advice",
        f"Write {WORKED_CASES_EACH} cases whose `expect` names it first.",
        _few_worked_cases,
    ),
    Check(
        "mechanism-without-case",
        "advice",
        "Write a case whose cause works through it.",
        _mechanism_without_case,
    ),
)
