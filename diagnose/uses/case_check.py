"""What a case file says, line by line: what was understood, what was set aside and why, and what is
missing, in order of what it would change for this case.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

from diagnose.advice.diagnosis import open_checks
from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import CaseFile, observed_case, observed_in
from diagnose.findings.set_aside import set_aside, unheard
from diagnose.intake.case import Case
from diagnose.intake.yaml_document import Document, Path, read_document, spell_path
from diagnose.rulebook.terms import Rulebook, Term

#: More questions than this are no list but a form.
MISSING_SHOWN = 8
_PART = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


class Understood(NamedTuple):
    """One observation, in words, and where in the file it comes from (empty: from no one line)."""

    place: str
    says: str


class CheckedCase(NamedTuple):
    """Everything a check of a case file tells."""

    understood: tuple[Understood, ...]
    set_aside: tuple[Understood, ...]
    missing: tuple[str, ...]
    not_logged: tuple[str, ...]
    assumptions: tuple[str, ...]


def checked_file(file: CaseFile, rulebook: Rulebook, *, now: datetime) -> CheckedCase:
    """The case file as it is understood. Raises CaseErrors with everything wrong in it."""
    found = observed_case(file, rulebook, now=now)
    document = read_document(found.told[0][1].encode("utf-8"), str(file))
    case = found.case
    asked_at = case.asked_at or now
    dropped = set_aside(case, rulebook.vocabulary, now=asked_at)
    dropped += tuple(
        unheard(
            case,
            [item.statement for item in dropped],
            lambda one: observed_in(one, rulebook, now=asked_at),
        )
    )
    checks = sorted(
        open_checks(rulebook, found.observations), key=lambda check: (-check.gain_bits, check.name)
    )
    return CheckedCase(
        understood=tuple(
            Understood(_place(case, document, item.statement), _says(item, rulebook))
            for item in found.observations
        ),
        set_aside=tuple(
            Understood(
                _place(case, document, item.statement),
                f"{_named(case, item.statement)}: {item.why}",
            )
            for item in dropped
        ),
        missing=tuple(
            f"{rulebook.vocabulary[check.name].asks} ({check.name})"
            for check in checks[:MISSING_SHOWN]
        ),
        not_logged=found.not_logged,
        assumptions=found.assumptions,
    )


def _place(case: Case, document: Document, statement: str) -> str:
    """Where a statement stands: its line, or the line of the log beside the case."""
    path = _path_of(statement)
    if not path:
        return ""
    if len(path) > 1 and path[0] in ("events", "readings") and isinstance(path[1], int):
        entries = getattr(case, str(path[0]))
        if path[1] >= len(entries):
            path = ("stock", "others")
        elif entries[path[1]].logged:
            return str(entries[path[1]].logged)
    if path[0] not in document.data:
        return ""
    return f"line {document.line_of(path)}"


def _path_of(statement: str) -> Path:
    return tuple(_parts(statement))


def _parts(statement: str) -> Iterator[str | int]:
    for word, number in _PART.findall(statement):
        yield int(number) if number else word


def _named(case: Case, statement: str) -> str:
    """What a statement is about, in the words of the case."""
    path = _path_of(statement)
    if path[:2] == ("stock", "others") and len(path) > 2:
        return case.stock.others[int(path[2])].kind
    entries = getattr(case, str(path[0]), ()) if path else ()
    if len(path) > 1 and isinstance(path[1], int) and path[1] < len(entries):
        return str(getattr(entries[path[1]], "what", spell_path(path)))
    return spell_path(path)


def _says(item: Observation, rulebook: Rulebook) -> str:
    term = rulebook.vocabulary[item.name]
    return f"{item.name}: {_value(item, term)} ({item.because})"


def _value(item: Observation, term: Term) -> str:
    if item.either is not None:
        return " or ".join(item.either)
    if isinstance(item.value, str):
        return item.value
    if item.span is not None and item.span[0] != item.span[1]:
        low, high = item.span
        return f"{low:.3g} to {high:.3g} {term.unit}".strip()
    return f"{item.value:.3g} {term.unit}".strip()
