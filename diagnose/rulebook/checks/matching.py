"""Checks of what a rule asks for and how much it says: can it match, and is it said once?"""

from __future__ import annotations

import math
from collections.abc import Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.reach import always_met, clash
from diagnose.rulebook.checks.subject import Subject, highest, lowest
from diagnose.rulebook.terms import Curve, Evidence, Leaf, Ways

#: A thousand to one. Beyond it a slip in the looking or in the rule itself is likelier than what
#: the rule says (by argument; no source).
MOST_DECIBANS = 30.0
#: Over a time a curve may rise and fall: harm comes after some hours and not after weeks. Over
#: all else that harms, more must never say less.
UNITS_OF_TIME = ("min", "h", "d", "weeks", "months", "years")


def _ways_with_curve(item: Evidence) -> Ways:
    if item.curve is None:
        return item.when
    over = Leaf(item.curve.over, "known")
    return tuple((*way, over) for way in item.when)


def _never_matches(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        clashes = [clash(subject.rulebook, way) for way in _ways_with_curve(item)]
        if clashes and all(clashes):
            yield Problem(_at(at, "when"), f"it can never match: {clashes[0]}")


def _way_never_matches(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        clashes = [clash(subject.rulebook, way) for way in _ways_with_curve(item)]
        for found in clashes:
            if found is not None and not all(clashes):
                yield Problem(_at(at, "when"), f"one of its ways can never match: {found}")


def _condition_never_holds(subject: Subject) -> Iterable[Problem]:
    for condition in subject.rulebook.conditions.values():
        clashes = [clash(subject.rulebook, way) for way in condition.when]
        says = "it can never hold" if all(clashes) else "one of its ways can never hold"
        for found in clashes:
            if found is not None:
                yield Problem(At("conditions", condition.id, ("when",)), f"{says}: {found}")


def _asks_for_nothing(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        for leaf in sorted({leaf for way in item.when for leaf in way}, key=repr):
            term = subject.rulebook.vocabulary.get(leaf.name)
            if term is not None and always_met(term, leaf):
                yield Problem(_at(at, "when"), f"every plausible `{leaf.name}` meets it.")


def _same_rule_twice(subject: Subject) -> Iterable[Problem]:
    seen: dict[tuple[str, Ways, str | None], str] = {}
    for at, item in subject.arguments():
        over = item.curve.over if item.curve is not None else None
        key = (item.owner, item.when, over)
        if key in seen:
            yield Problem(at, f"it asks for the same as `{seen[key]}`.")
        seen.setdefault(key, item.id)


def _counted_twice(subject: Subject) -> Iterable[Problem]:
    rulebook = subject.rulebook
    for cause in rulebook.causes.values():
        for name in cause.works_through:
            for theirs in rulebook.mechanisms[name].evidence:
                for own in cause.evidence:
                    if own.when != theirs.when or (own.curve is None) != (theirs.curve is None):
                        continue
                    if own.curve and theirs.curve and own.curve.over != theirs.curve.over:
                        continue
                    if _same_way(own, theirs) and (own.group is None or own.group != theirs.group):
                        yield Problem(
                            At("causes", cause.id, ("evidence", own.id)),
                            f"the mechanism `{name}` argues the same way from the same finding "
                            f"(`{theirs.id}`), and both count.",
                        )


def _same_way(one: Evidence, other: Evidence) -> bool:
    """Whether two arguments lean the same way: both for or both against, or, over a number, both
    more as it grows or both less.
    """
    if one.curve is not None and other.curve is not None:
        return _rise(one.curve) * _rise(other.curve) > 0
    return one.weight * other.weight > 0


def _rise(curve: Curve) -> float:
    return curve.points[-1][1] - curve.points[0][1]


def _falls_where_harm_grows(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        if item.curve is None:
            continue
        unit = subject.rulebook.vocabulary[item.curve.over].unit
        weights = [y for _, y in item.curve.points]
        if unit in UNITS_OF_TIME or weights in (sorted(weights), sorted(weights, reverse=True)):
            continue
        yield Problem(
            _at(at, "weight"), f"its curve over `{item.curve.over}` both rises and falls."
        )


def _curve_outside(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        if item.curve is None:
            continue
        low, high = subject.rulebook.vocabulary[item.curve.over].plausible or (-math.inf, math.inf)
        points = [x for x, _ in item.curve.points]
        if points[0] >= high or points[-1] <= low:
            yield Problem(
                _at(at, "weight"),
                f"its curve lies outside what `{item.curve.over}` can plausibly be.",
            )


def _says_nothing(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        if not item.excludes and highest(item) == lowest(item) == 0.0:
            yield Problem(_at(at, "weight"), "its weight is 0 throughout.")


def _too_sure(subject: Subject) -> Iterable[Problem]:
    for at, item in subject.arguments():
        most = max(abs(highest(item)), abs(lowest(item)))
        if most > MOST_DECIBANS:
            yield Problem(_at(at, "weight"), f"{most:g} decibans is surer than anyone can be.")


def _at(at: At, key: str) -> At:
    return At(at.kind, at.entry, (*at.path, key))


CHECKS = (
    Check(
        "never-matches",
        "error",
        "Mend the words or the range, or remove the rule.",
        _never_matches,
    ),
    Check(
        "way-never-matches",
        "error",
        "Remove that part of `any`, or mend its words or range.",
        _way_never_matches,
    ),
    Check(
        "condition-never-holds",
        "error",
        "Mend the words or the range.",
        _condition_never_holds,
    ),
    Check(
        "asks-for-nothing",
        "advice",
        "Write `known`, or move the edge into the plausible range.",
        _asks_for_nothing,
    ),
    Check(
        "same-rule-twice",
        "error",
        "Keep one of them.",
        _same_rule_twice,
    ),
    Check(
        "counted-twice",
        "error",
        "Give both the same `group`, or keep one: history in the cause, looks in the mechanism.",
        _counted_twice,
    ),
    Check(
        "curve-not-monotone",
        "error",
        "Let it only rise or only fall: more of what harms never argues less for it.",
        _falls_where_harm_grows,
    ),
    Check(
        "curve-outside",
        "error",
        "Move its points into the plausible range.",
        _curve_outside,
    ),
    Check(
        "says-nothing",
        "error",
        "Give it a weight, or remove it.",
        _says_nothing,
    ),
    Check(
        "too-sure",
        "error",
        f"Stay within {MOST_DECIBANS:g} decibans.",
        _too_sure,
    ),
)
