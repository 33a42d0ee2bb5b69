"""The audit: every exercise run, and all that can be learnt from the lot."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from diagnose.audit.by_cause import CauseRow, Confusion, by_cause, confusions
from diagnose.audit.coverage import Coverage, coverage
from diagnose.audit.exercise import PUBLISHED, SPLITS, Exercise
from diagnose.audit.knock_out import KnockOut, knock_outs
from diagnose.audit.marks import Marks, marks
from diagnose.audit.misled import Misled, misled
from diagnose.audit.readings_removed import Met
from diagnose.audit.reported import Report, Reported, score_reports
from diagnose.audit.trial import try_exercise
from diagnose.rulebook.terms import Rulebook

Watch = Callable[[Iterable[Exercise]], Iterable[Exercise]]


@dataclass(frozen=True, slots=True)
class Audit:
    """What the exercises say of the rulebook.

    marks: by split, tune and seen and published apart, and `worked` for tune and seen together.
    by_cause and confusions are of the worked cases; coverage counts the published ones too.
    left_out: observations taken as unknown throughout. met: how the container model's estimates
    meet readings it was not given, where that was asked for; `marks` then has what they are worth.
    """

    left_out: tuple[str, ...]
    temperature: float
    temperature_note: str
    marks: dict[str, Marks]
    by_cause: tuple[CauseRow, ...]
    confusions: tuple[Confusion, ...]
    misled: tuple[Misled, ...]
    coverage: Coverage
    knock_outs: tuple[KnockOut, ...]
    met: tuple[Met, ...] = ()
    reported: Reported | None = None


def audit(
    rulebook: Rulebook,
    exercises: Sequence[Exercise],
    left_out: Iterable[str] = (),
    watch: Watch = iter,
    reports: Sequence[Report] = (),
) -> Audit:
    """Runs all exercises, and reports apart from them. watch: passes the exercises on one by one,
    for a progress bar.

    Raises ValueError for an observation to leave out that the vocabulary does not know.
    """
    unknown = frozenset(left_out)
    _must_be_observations(rulebook, unknown)
    tried = [try_exercise(rulebook, exercise.without(unknown)) for exercise in watch(exercises)]
    trials = [trial for trial, _ in tried]
    read = [
        (report, try_exercise(rulebook, report.exercise.without(unknown))[0]) for report in reports
    ]
    worked = [trial for trial in trials if trial.exercise.split != PUBLISHED]
    of_split = {
        split: [trial for trial in trials if trial.exercise.split == split] for split in SPLITS
    }
    found = {split: marks(of_split[split]) for split in SPLITS}
    found["worked"] = marks(worked)
    return Audit(
        left_out=tuple(sorted(unknown)),
        temperature=rulebook.ranking.temperature,
        temperature_note=rulebook.ranking.temperature_note,
        marks={name: mark for name, mark in found.items() if mark is not None},
        by_cause=by_cause(worked),
        confusions=confusions(worked),
        misled=misled(trials),
        coverage=coverage(rulebook, trials),
        knock_outs=knock_outs(
            rulebook, [pair for pair in tried if pair[0].exercise.split != PUBLISHED]
        ),
        reported=score_reports(rulebook, read) if read else None,
    )


def _must_be_observations(rulebook: Rulebook, names: Iterable[str]) -> None:
    from difflib import get_close_matches

    for name in sorted(names):
        if name not in rulebook.vocabulary:
            near = get_close_matches(name, rulebook.vocabulary, n=3, cutoff=0.5)
            hint = f" Did you mean {', '.join(near)}?" if near else ""
            raise ValueError(f"There is no observation `{name}` to leave out.{hint}")
