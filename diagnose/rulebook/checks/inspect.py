"""Runs every check over a rulebook: the loader's own first, the others once it can be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from diagnose.rulebook.checks import (
    completeness,
    matching,
    questions,
    sourcing,
    steps,
    unused,
    wording,
)
from diagnose.rulebook.checks.check import At, Check, Finding
from diagnose.rulebook.checks.subject import Subject
from diagnose.rulebook.checks.written import Place, Written
from diagnose.rulebook.faults import Fault, RulebookError
from diagnose.rulebook.loading import load_rulebook

CHECKS: tuple[Check, ...] = (
    *completeness.CHECKS,
    *matching.CHECKS,
    *questions.CHECKS,
    *sourcing.CHECKS,
    *steps.CHECKS,
    *unused.CHECKS,
    *wording.CHECKS,
)
#: What the loader says of a name that nothing defines, and of a missing source; see
#: `diagnose.rulebook.loading`.
DEFINED_NOWHERE = ("is defined nowhere", "is neither an observation nor a condition")
SOURCE_KEYS = ("source", "base_source")


def inspect(folders: tuple[Path, ...], worked: Mapping[str, int]) -> tuple[Finding, ...]:
    """All findings about the rulebook of these folders, later ones laid over earlier ones, in the
    order of the files.

    worked: how many worked cases expect each cause. A rulebook that cannot be read yields only
    the reasons why; the other checks need it whole.
    """
    written = Written(folders)
    found = list(_keys_twice(written))
    try:
        rulebook = load_rulebook(*folders)
    except RulebookError as error:
        found += [_unreadable(fault, written) for fault in error.faults]
        return _in_order(found)
    subject = Subject(rulebook, written, worked, written.mentions())
    for check in CHECKS:
        for problem in check.look(subject):
            place = written.place(problem.at)
            found.append(_finding(check.id, check, place, _entry(problem.at), problem.says))
    return _in_order(found)


def _finding(name: str, check: Check, place: Place, entry: str, says: str) -> Finding:
    return Finding(
        name, check.level, str(place.folder), place.file, place.line, entry, says, check.mend
    )


def _entry(at: At) -> str:
    """The entry in the words of whoever wrote it: overfeeding, or overfeeding/food-left-over."""
    if len(at.path) > 1 and at.path[0] == "evidence":
        return f"{at.entry}/{at.path[1]}"
    return at.entry


def _keys_twice(written: Written) -> Iterator[Finding]:
    for twice in written.keys_twice():
        yield Finding(
            "key-twice",
            "error",
            str(twice.place.folder),
            twice.place.file,
            twice.place.line,
            twice.entry,
            f"`{twice.key}` stands here a second time, and the first is lost.",
            "Keep one of them.",
        )


def _unreadable(fault: Fault, written: Written) -> Finding:
    """A fault of the loader as a finding: a name nobody defined, a source that is missing, or a
    shape that cannot be read.
    """
    name = "schema"
    if any(words in fault.problem for words in DEFINED_NOWHERE):
        name = "unknown-name"
    elif fault.path and fault.path[-1] in SOURCE_KEYS:
        name = "without-source"
    place = written.at_of_file(fault.file, fault.path)
    mend = fault.mend or "See DEVELOPERS.md for how it is written."
    entry = ".".join(str(part) for part in fault.path)
    return Finding(
        name, "error", str(place.folder), place.file, place.line, entry, fault.problem, mend
    )


def _in_order(found: list[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(set(found), key=lambda f: (f.file, f.line or 0, f.check, f.says)))
