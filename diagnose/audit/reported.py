"""How right the rules are on what keepers really reported.

A folder of reported situations holds one case file a report and `conclusions.csv`: what was
concluded, how surely, and which causes of the rulebook count as that. Rules are argued from biology
and practice; reports are evidence of how often they are right, never a place to fit a single rule.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Literal

from diagnose.audit.exercise import Exercise, Expected, must_know
from diagnose.audit.shares import Share, wilson
from diagnose.audit.trial import Trial
from diagnose.belief.firmness import firmness
from diagnose.findings.observed_case import observed_case
from diagnose.rulebook.terms import Rulebook

CONCLUSIONS = "conclusions.csv"
REPORTED = "reported"
Sort = Literal["named", "nothing_wrong", "open", "weak"]
#: Bins of equal count for the calibration error (A. Nguyen and B. O'Connor 2015, Posterior
#: calibration and exploratory analysis for natural language processing models).
BINS = 5
AMONG_FIRST = 3
WORDS = ("firm", "fairly firm", "open")


@dataclass(frozen=True, slots=True)
class Report:
    """A reported situation: sort says how it is scored (`weak` ones are read, not scored).

    author: reports of one author are not independent.
    """

    exercise: Exercise
    sort: Sort
    author: str


@dataclass(frozen=True, slots=True)
class ReportedMarks:
    """What the rules made of reports with a known answer.

    first: the beliefs of the accepted causes together are the largest; first_three: no more than
    two other causes are believed more. brier: mean squared distance of the belief in the first from
    whether it was right.
    """

    n: int
    first: float
    first_interval: Share
    first_three: float
    first_three_interval: Share
    brier: float
    calibration_error: float


@dataclass(frozen=True, slots=True)
class OpenMarks:
    """Reports that stayed open: how strongly the first cause was believed, on average."""

    n: int
    belief_in_first: float


@dataclass(frozen=True, slots=True)
class WordMarks:
    """Of the first causes called by one word of firmness: how many, and the share right."""

    word: str
    n: int
    right: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """One report: what led, with which belief, whether that was right, and the word for it."""

    report: str
    sort: Sort
    author: str
    led: str
    belief: float
    belief_in_right: float
    right: bool
    place: int
    word: str


@dataclass(frozen=True, slots=True)
class Reported:
    """What the rules made of a folder of reports."""

    marks: dict[str, ReportedMarks | OpenMarks]
    words: tuple[WordMarks, ...]
    outcomes: tuple[Outcome, ...]


def is_reported(folder: Path) -> bool:
    """Whether a folder holds reported situations rather than worked cases."""
    return (folder / CONCLUSIONS).is_file()


def reported_cases(folder: Path, rulebook: Rulebook, *, now: datetime) -> tuple[Report, ...]:
    """The reports of a folder whose case file is there, in order of their names.

    Raises ValueError where a row or a case cannot be used.
    """
    found = []
    with (folder / CONCLUSIONS).open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    for number, row in enumerate(rows, start=2):
        name, cause = row.get("report") or "", row.get("cause") or ""
        if not name or not cause:
            raise ValueError(f"{folder / CONCLUSIONS}, line {number}: needs `report` and `cause`.")
        file = folder / f"{name}.yaml"
        if not file.is_file():
            continue
        accepted = frozenset(filter(None, (row.get("accepted_causes") or "").split("|")))
        must_know(rulebook.causes, accepted, f"{folder / CONCLUSIONS}, line {number}")
        case = observed_case(file, rulebook, now=now)
        exercise = Exercise(name, REPORTED, False, Expected(accepted), case.observations)
        found.append(Report(exercise, _sort(row, cause), row.get("author") or name))
    if not found:
        raise ValueError(f"{folder}: {CONCLUSIONS} is here, but no case file that it names.")
    return tuple(sorted(found, key=lambda report: report.exercise.name))


def _sort(row: dict[str, str], cause: str) -> Sort:
    if (row.get("weak") or "").strip():
        return "weak"
    if cause == "none":
        return "nothing_wrong"
    return "open" if cause == "unknown" else "named"


def score_reports(rulebook: Rulebook, tried: Sequence[tuple[Report, Trial]]) -> Reported:
    """The marks of reports that were tried."""
    outcomes = [_outcome(rulebook, report, trial) for report, trial in tried]
    marks: dict[str, ReportedMarks | OpenMarks] = {}
    named = [o for o in outcomes if o.sort == "named"]
    fine = [o for o in outcomes if o.sort == "nothing_wrong"]
    left_open = [o for o in outcomes if o.sort == "open"]
    for key, some in ((REPORTED, named), ("nothing_wrong", fine), ("both", [*named, *fine])):
        if some:
            marks[key] = _marks(some)
    if left_open:
        marks["open"] = OpenMarks(len(left_open), _mean(o.belief for o in left_open))
    words = []
    for word in WORDS:
        called = [o for o in (*named, *fine) if o.word == word]
        if called:
            words.append(WordMarks(word, len(called), _mean(o.right for o in called)))
    return Reported(marks, tuple(words), tuple(outcomes))


def _outcome(rulebook: Rulebook, report: Report, trial: Trial) -> Outcome:
    accepted = report.exercise.expected.causes
    standings = trial.beliefs.standings
    together = math.fsum(s.belief for s in standings if s.cause in accepted)
    others = [s for s in standings if s.cause not in accepted]
    ahead = sum(s.belief > together for s in others)
    first = standings[0]
    if not ahead and accepted:
        led, belief = next(s for s in standings if s.cause in accepted).cause, together
    else:
        led, belief = first.cause, first.belief
    return Outcome(
        report=report.exercise.name,
        sort=report.sort,
        author=report.author,
        led=led,
        belief=belief,
        belief_in_right=together,
        right=bool(accepted) and not ahead,
        place=ahead + 1,
        word=firmness(trial.beliefs, rulebook.ranking).word,
    )


def _marks(outcomes: Sequence[Outcome]) -> ReportedMarks:
    n = len(outcomes)
    first = sum(o.right for o in outcomes)
    three = sum(o.place <= AMONG_FIRST for o in outcomes)
    return ReportedMarks(
        n=n,
        first=first / n,
        first_interval=wilson(first, n),
        first_three=three / n,
        first_three_interval=wilson(three, n),
        brier=_mean((o.belief - o.right) ** 2 for o in outcomes),
        calibration_error=equal_count_error([(o.belief, o.right) for o in outcomes]),
    )


def equal_count_error(pairs: Sequence[tuple[float, bool]], bins: int = BINS) -> float:
    """Mean gap between belief and share that was right, over bins of equal count."""
    ordered = sorted(pairs)
    n = len(ordered)
    edges = [round(i * n / bins) for i in range(bins + 1)]
    gaps = []
    for low, high in pairwise(edges):
        part = ordered[low:high]
        if part:
            gap = abs(_mean(belief for belief, _ in part) - _mean(right for _, right in part))
            gaps.append(len(part) * gap)
    return math.fsum(gaps) / n


def _mean(values: Iterable[float]) -> float:
    kept = list(values)
    return math.fsum(kept) / len(kept)
