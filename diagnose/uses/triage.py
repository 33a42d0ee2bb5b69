"""Triage of a case file: observe it, diagnose it, and put the answer together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.advice.diagnosis import Diagnosis, diagnose
from diagnose.findings.observed_case import CaseFile, ObservedCase, observed_case, with_estimates
from diagnose.report.answer import Answer, Ranked, answer, ranked
from diagnose.report.wording import Preference

if TYPE_CHECKING:
    from diagnose.rulebook.terms import Rulebook


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


def triage_file(
    file: CaseFile,
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
