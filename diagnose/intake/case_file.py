"""A case file, as bytes, to a Case - or everything that is wrong with it, with the lines.

No file is opened here: whoever calls hands over the bytes, and a function that fetches the log
beside the case.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from diagnose.intake.case import Case, Container, Stock
from diagnose.intake.contradictions import contradictions
from diagnose.intake.names import Term, check_names, in_the_vocabulary, with_keepers_words
from diagnose.intake.problems import CaseError, CaseErrors
from diagnose.intake.readable_part import read_what_can_be
from diagnose.intake.short_forms import written_out
from diagnose.intake.validation_faults import INNER_FIELDS, unknown_key, written_names
from diagnose.intake.yaml_document import Document, Path, one_problem, read_document, spell_path

_LOG_NAME = r"[\w][\w. -]*\.csv"


def read_case(
    data: bytes,
    file: str,
    now: datetime,
    *,
    open_beside: Callable[[str], bytes] | None = None,
    vocabulary: Mapping[str, Term] | None = None,
) -> Case:
    """The case written in `data`.

    file: the name used in messages. now: the time of asking where the case tells none; used for
    checks, not stored. open_beside: gives the bytes of a file that lies beside the case, by its
    plain name; it may raise OSError. vocabulary: the rulebook's; with it the names in the case are
    checked too and what was told is put into its units. Raises CaseErrors, which lists every
    problem found.
    """
    document = read_document(data, file)
    written = written_out(document.data)
    if vocabulary is not None:
        written = with_keepers_words(written, vocabulary)
    problems = list(_inner_fields(document))
    units = str(document.data.get("units", "metric"))
    readable = read_what_can_be(written, units, file, document.line_of)
    problems += readable.problems
    case = readable.case
    if case is None:
        raise CaseErrors(_by_line(problems))
    if vocabulary is not None:
        case, unknown = in_the_vocabulary(case, vocabulary)
        problems += [_at(document, readable.path(x.path), x.problem, x.hint) for x in unknown]
    problems += [
        _at(document, readable.path(x.path), x.problem, x.hint) for x in contradictions(case, now)
    ]
    if problems:
        raise CaseErrors(_by_line(problems))
    if case.log is not None:
        case = _with_log(case, document, now, open_beside)
        if vocabulary is not None:
            case = check_names(case, vocabulary, file=file, line_of=document.line_of)
    if not tells_something(case):
        hint = "Add what died, what was seen or what was done; `bowlside case new` prints a form."
        story = " beyond a story, which only people can read" if case.story else ""
        raise one_problem(file, None, f"the case tells nothing{story}.", hint)
    return case


def _at(document: Document, path: Path, problem: str, hint: str) -> CaseError:
    return CaseError(document.file, document.line_of(path), spell_path(path), problem, hint)


def tells_something(case: Case) -> bool:
    """Whether there is any fact in the case: a name, a title and a story are none."""
    return bool(
        case.readings
        or case.events
        or case.deaths
        or case.seen
        or case.not_seen
        or case.not_done
        or case.told
        or case.container != Container()
        or case.stock != Stock()
    )


def _with_log(
    case: Case, document: Document, now: datetime, open_beside: Callable[[str], bytes] | None
) -> Case:
    from diagnose.intake.csv_log import read_log

    name, line = str(case.log), document.line_of(("log",))
    if re.fullmatch(_LOG_NAME, name, re.IGNORECASE) is None:
        raise one_problem(
            document.file,
            line,
            f"`{name}` is no CSV file beside the case.",
            "Name it without a folder, as jar.csv.",
            "log",
        )
    if open_beside is None:
        raise one_problem(
            document.file,
            line,
            "there is no folder to look for the log in.",
            "Give the case as a file.",
            "log",
        )
    try:
        data = open_beside(name)
    except OSError:
        raise one_problem(
            document.file,
            line,
            f"`{name}` cannot be read.",
            "Put it into the folder of the case file.",
            "log",
        ) from None
    first_death = case.deaths.first if case.deaths is not None else None
    log = read_log(
        data, name, units=case.units, asked_at=case.asked_at or now, first_death=first_death
    )
    whole = case.model_copy(
        update={"readings": case.readings + log.readings, "events": case.events + log.events}
    )
    clashes = _found(contradictions(whole, now), document, whole)
    if clashes:
        raise CaseErrors(clashes)
    return whole


def _found(
    clashes: tuple[Any, ...], document: Document, whole: Case | None = None
) -> tuple[CaseError, ...]:
    """Contradictions with their lines; what came from the log names the line of the log."""
    problems = []
    for clash in clashes:
        logged = _logged(clash.path, whole)
        if logged:
            file, _, line = logged.rpartition(", line ")
            problems.append(
                CaseError(file, int(line), str(clash.path[-1]), clash.problem, clash.hint)
            )
        else:
            problems.append(_at(document, clash.path, clash.problem, clash.hint))
    return tuple(problems)


def _logged(path: Path, whole: Case | None) -> str:
    if whole is None or len(path) < 2 or path[0] not in ("readings", "events"):
        return ""
    return str(getattr(whole, str(path[0]))[path[1]].logged)


def _inner_fields(document: Document) -> Iterator[CaseError]:
    """`as_written` and `logged` are filled in by this program and are no fields of a file."""
    from diagnose.intake.case import Event, Reading

    for key, model in (("readings", Reading), ("events", Event)):
        entries = document.data.get(key)
        for index, entry in enumerate(entries if isinstance(entries, list) else ()):
            for name in sorted(INNER_FIELDS.intersection(entry if isinstance(entry, dict) else ())):
                problem, hint = unknown_key(name, written_names(model))
                yield _at(document, (key, index, name), problem, hint)


def _by_line(problems: Iterable[CaseError]) -> tuple[CaseError, ...]:
    return tuple(sorted(problems, key=lambda problem: problem.line or 0))
