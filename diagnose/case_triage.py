"""Triage of a case file: read it, observe it, diagnose it, and put the answer together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.findings import observe
from diagnose.findings.assumptions import assumptions, not_logged
from diagnose.findings.observation import Observation
from diagnose.intake.case_file import read_case
from diagnose.intake.problems import CaseError, CaseErrors
from diagnose.report.answer import Answer, Ranked, answer, ranked
from diagnose.report.wording import Preference
from diagnose.rulebook.species import species_of
from diagnose.triage import Diagnosis, diagnose

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class ObservedCase:
    """A case and what follows from it before any rule is asked."""

    case: Case
    observations: tuple[Observation, ...]
    not_logged: tuple[str, ...]
    assumptions: tuple[str, ...]


def with_estimates(
    rulebook: Rulebook, observed: ObservedCase, ranges_in: Path, *, now: datetime
) -> ObservedCase:
    """The observed case with estimates of what nobody measured, where the container model can run.

    ranges_in: the folder with the model's parameter ranges. Only now is numpy imported.
    """
    from diagnose.bowl.parameters import load_ranges
    from diagnose.findings.estimated import estimated

    case = observed.case
    found = estimated(
        case,
        {item.name: item for item in observed.observations},
        rulebook.vocabulary,
        species_of(rulebook, case.stock.species),
        load_ranges(ranges_in),
        now=case.asked_at or now,
    )
    if not found.observations:
        return observed
    every = sorted((*observed.observations, *found.observations), key=lambda item: item.name)
    return replace(
        observed,
        observations=tuple(every),
        assumptions=(*observed.assumptions, f"For the estimates: {' '.join(found.assumed)}")
        if found.assumed
        else observed.assumptions,
    )


@dataclass(frozen=True, slots=True)
class CaseAnswer:
    """A case with its diagnosis and the answer that every format renders."""

    rulebook: Rulebook
    observed: ObservedCase
    diagnosis: Diagnosis
    answer: Answer
    prefer: Preference

    def explained(self, cause: str) -> tuple[Ranked, int, tuple[str, ...]]:
        """All arguments about one cause, its place, and what looks like it.

        Raises ValueError with the nearest names for a cause that the rulebook does not know.
        """
        if cause not in self.rulebook.causes:
            from difflib import get_close_matches

            near = get_close_matches(cause, self.rulebook.causes, n=3, cutoff=0.4)
            known = f"Did you mean {', '.join(near)}?" if near else "See the JSON for their names."
            raise ValueError(f"No cause is called '{cause}'. {known}")
        standings = self.diagnosis.beliefs.standings
        place = [s.cause for s in standings].index(cause) + 1
        looks_like = tuple(
            f"{self.rulebook.causes[x.cause].title}: {x.tell}"
            for x in self.rulebook.causes[cause].looks_like
        )
        found = ranked(
            self.rulebook, self.diagnosis.trace, standings[place - 1], prefer=self.prefer
        )
        return found, place, looks_like


def observed_case(file: Path, rulebook: Rulebook, *, now: datetime) -> ObservedCase:
    """What a case file says, in the rulebook's vocabulary.

    now: the time of asking where the file names none. Raises CaseErrors for a file that cannot be
    used.
    """
    return observed_text(
        file.read_bytes(),
        str(file),
        rulebook,
        now=now,
        open_beside=lambda name: (file.parent / name).read_bytes(),
    )


def observed_text(
    data: bytes,
    file: str,
    rulebook: Rulebook,
    *,
    now: datetime,
    open_beside: Callable[[str], bytes] | None = None,
) -> ObservedCase:
    """What the text of a case file says; `file` is the name that errors call it by.

    Raises CaseErrors, also for a species nobody knows and for answers that exclude each other.
    """
    case = read_case(data, file, now, open_beside=open_beside, vocabulary=rulebook.vocabulary)
    try:
        species = species_of(rulebook, case.stock.species)
        observations = observe(case, rulebook.vocabulary, species, now=case.asked_at or now)
    except CaseErrors as found:
        raise CaseErrors(tuple(replace(one, file=file) for one in found.problems)) from None
    except ValueError as error:
        raise CaseErrors((CaseError(file, None, "", str(error)),)) from None
    return ObservedCase(
        case=case,
        observations=observations,
        not_logged=not_logged(case, observations, rulebook.vocabulary),
        assumptions=assumptions(case),
    )


def triage_file(
    file: Path,
    rulebook: Rulebook,
    *,
    now: datetime,
    prefer: Preference | None = None,
    ranges_in: Path | None = None,
) -> CaseAnswer:
    """The answer to one case file. `prefer`: units in sentences; by default the file's own.

    ranges_in: the folder with the container model's parameters; None makes no estimates.
    """
    observed = observed_case(file, rulebook, now=now)
    if ranges_in is not None:
        observed = with_estimates(rulebook, observed, ranges_in, now=now)
    return triage_case(rulebook, observed, prefer)


def triage_case(
    rulebook: Rulebook, observed: ObservedCase, prefer: Preference | None = None
) -> CaseAnswer:
    """The answer to an observed case."""
    case = observed.case
    units = prefer or case.units
    diagnosis = diagnose(rulebook, observed.observations)
    rests_on = observed.assumptions
    if observed.not_logged:
        rests_on = (*rests_on, f"Nothing is known of: {', '.join(observed.not_logged)}.")
    return CaseAnswer(
        rulebook=rulebook,
        observed=observed,
        diagnosis=diagnosis,
        answer=answer(
            rulebook,
            diagnosis,
            case=case.title or case.case,
            asked_at=f"{case.asked_at:%Y-%m-%d %H:%M}" if case.asked_at else "",
            assumptions=rests_on,
            prefer=units,
        ),
        prefer=units,
    )
