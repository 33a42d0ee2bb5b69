"""A case file read and observed: what it says in the rulebook's vocabulary, before any rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Protocol

from diagnose.findings import observe
from diagnose.findings.assumptions import assumptions, not_logged
from diagnose.findings.density import animals_told, too_little_to_model
from diagnose.findings.observation import Observation
from diagnose.intake.carried import ToldFiles, carried_case, is_page, noted
from diagnose.intake.case_file import read_case
from diagnose.intake.problems import CaseError, CaseErrors
from diagnose.rulebook.species import UNKNOWN_KIND, species_of

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.rulebook.terms import Rulebook


class CaseFile(Protocol):
    """A case file on disk, or what stands in its place; str() names it in messages."""

    def read_bytes(self) -> bytes:
        """The text of the case."""

    @property
    def name(self) -> str:
        """Its plain name."""

    @property
    def parent(self) -> Path:
        """The folder where a log may lie beside it."""


@dataclass(frozen=True, slots=True)
class ObservedCase:
    """A case and what follows from it before any rule is asked. told: name and text of the case
    file and of the log beside it, as they were read.
    """

    case: Case
    observations: tuple[Observation, ...]
    not_logged: tuple[str, ...]
    assumptions: tuple[str, ...]
    told: tuple[tuple[str, str], ...] = ()


def with_estimates(
    rulebook: Rulebook, observed: ObservedCase, ranges_in: Path, *, now: datetime
) -> ObservedCase:
    """The observed case with estimates of what nobody measured, where the container model can run.

    ranges_in: the folder with the model's parameter ranges. Only now is numpy imported.
    """
    case = observed.case
    if too_little_to_model(case) is not None:
        return observed
    from diagnose.bowl.parameters import load_ranges
    from diagnose.findings.estimated import estimated

    found = estimated(
        case,
        {item.name: item for item in observed.observations},
        rulebook.vocabulary,
        species_of(rulebook, case.stock.species, *case.stock.also_species),
        load_ranges(ranges_in),
        now=case.asked_at or now,
    )
    if not found.observations:
        if not found.reason:
            return observed
        silent = f"Nothing was reckoned of what nobody measured. {found.reason}"
        return replace(observed, assumptions=(*observed.assumptions, silent))
    every = sorted((*observed.observations, *found.observations), key=lambda item: item.name)
    return replace(
        observed,
        observations=tuple(every),
        assumptions=(*observed.assumptions, f"For the estimates: {' '.join(found.assumed)}")
        if found.assumed
        else observed.assumptions,
    )


def observed_case(file: CaseFile, rulebook: Rulebook, *, now: datetime) -> ObservedCase:
    """What a case file says, or the case that an answer's page carries, in the rulebook's
    vocabulary.

    now: the time of asking where the file names none. Raises CaseErrors for a file that cannot be
    used.
    """
    told = told_files(file)
    return observed_text(
        told.data,
        str(file),
        rulebook,
        now=now,
        open_beside=told.open_beside,
        name=told.name,
    )


def told_files(file: CaseFile) -> ToldFiles:
    """The case file and the way to what lies beside it: in its folder, or in the page that carries
    them. Raises CaseErrors for a page without a case.
    """
    data = file.read_bytes()
    if is_page(file.name):
        return carried_case(data, str(file))
    return ToldFiles(file.name, data, lambda name: (file.parent / name).read_bytes())


def observed_text(
    data: bytes,
    file: str,
    rulebook: Rulebook,
    *,
    now: datetime,
    open_beside: Callable[[str], bytes] | None = None,
    name: str = "",
) -> ObservedCase:
    """What the text of a case file says; `file` is the name that errors call it by, `name` its own
    where that is another.

    Raises CaseErrors, also for answers that exclude each other.
    """
    beside: dict[str, bytes] = {}
    case = read_case(
        data, file, now, open_beside=noted(open_beside, beside), vocabulary=rulebook.vocabulary
    )
    try:
        observations = observed_in(case, rulebook, now=case.asked_at or now)
    except CaseErrors as found:
        raise CaseErrors(tuple(replace(one, file=file) for one in found.problems)) from None
    except ValueError as error:
        raise CaseErrors((CaseError(file, None, "", str(error)),)) from None
    return ObservedCase(
        case=case,
        observations=observations,
        not_logged=not_logged(case, observations, rulebook.vocabulary),
        assumptions=taken_for_granted(rulebook, case),
        told=tuple(
            (one, content.decode("utf-8"))
            for one, content in ((name or PurePath(file).name, data), *beside.items())
        ),
    )


def observed_in(case: Case, rulebook: Rulebook, *, now: datetime) -> tuple[Observation, ...]:
    """What follows from a case, in the rulebook's vocabulary. now: the time of asking. Raises
    CaseErrors for answers that exclude each other.
    """
    first, more = _kinds_told(case)
    species = species_of(rulebook, first, *more)
    return observe(case, rulebook.vocabulary, species, rulebook.companions, now=now)


def _kinds_told(case: Case) -> tuple[str | None, tuple[str, ...]]:
    """The kind that lives there and the others beside it; where nobody does, the kind to come."""
    if case.stock.species is None and case.adding is not None and animals_told(case) == 0:
        return case.adding.species, ()
    return case.stock.species, case.stock.also_species


def taken_for_granted(rulebook: Rulebook, case: Case) -> tuple[str, ...]:
    """What was taken for granted in reading the case, and who it took for a stranger."""
    found = assumptions(case, rulebook.companions)
    first, more = _kinds_told(case)
    names = [name for name in (first, *more) if name is not None]
    strange = [name for name in names if UNKNOWN_KIND in species_of(rulebook, name).kinds]
    if strange:
        kinds = ", ".join(strange)
        found += (f"No profile here is called {kinds}: wide ranges of several kinds are used.",)
    return found
