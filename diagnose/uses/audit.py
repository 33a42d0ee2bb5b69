"""The use-cases of scoring and calibrating a rulebook on a folder of worked cases."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from diagnose.audit.audit import Audit, Watch, audit
from diagnose.audit.calibration import Calibration, calibrate
from diagnose.audit.channels import ChannelFit, Told, fit_channels
from diagnose.audit.exercise import (
    PUBLISHED_FOLDERS,
    TUNE,
    Exercise,
    published_cases,
    worked_cases,
)
from diagnose.audit.readings_removed import LEFT, effect, met, pairs
from diagnose.audit.reported import REPORTED, Report, is_reported, reported_cases
from diagnose.audit.trial import try_exercise
from diagnose.rulebook.terms import Rulebook


def audit_rulebook(
    rulebook: Rulebook,
    cases: Path | None,
    *,
    bundled_cases: Path,
    published: Path | None,
    left_out: Iterable[str],
    now: datetime,
    watch: Watch = iter,
    ranges_in: Path | None = None,
) -> Audit:
    """The audit of a rulebook on a folder of worked cases or of reports, and of published rows.

    Without a folder it is on the bundled worked cases and, where the tests are at hand, on the
    reports and published rows beside them. now: the time of asking of cases that name none.
    ranges_in: the folder with the container model's parameters, to try the cases without their
    readings, and with estimates in their place too; None leaves that out. Raises ValueError or
    OSError for cases that cannot be used.
    """
    exercises: tuple[Exercise, ...] = ()
    reports: tuple[Report, ...] = ()
    if cases is None:
        cases = bundled_cases
        beside = cases.parent / "tests" / "published"
        if is_reported(beside / REPORTED):
            reports = reported_cases(beside / REPORTED, rulebook, now=now)
        if any((beside / name).is_dir() for name in PUBLISHED_FOLDERS):
            published = published or beside
    if is_reported(_folder(cases)):
        reports = reported_cases(cases, rulebook, now=now)
    else:
        exercises = worked_cases(cases, rulebook, now=now)
    if published is not None:
        exercises += published_cases(_folder(published), rulebook, now=now)
    found = audit(rulebook, exercises, left_out, watch, reports)
    if ranges_in is None or not exercises:
        return found
    tried = {left: tuple(pairs(rulebook, cases, ranges_in, now=now, left=left)) for left in LEFT}
    return replace(
        found,
        marks={**found.marks, **effect(tried)},
        met=met(rulebook, cases, tried["all"], now=now),
    )


def calibrate_rulebook(
    rulebook: Rulebook, cases: Path, *, folds: int, now: datetime, watch: Watch = iter
) -> Calibration:
    """The temperature that fits the tune split of a folder of worked cases.

    Raises ValueError or OSError for cases that cannot be used, or too few of them.
    """
    tune = [e for e in worked_cases(_folder(cases), rulebook, now=now) if e.split == TUNE]
    return calibrate(rulebook, [try_exercise(rulebook, e)[0] for e in watch(tune)], folds)


def fit_channels_of(
    rulebook: Rulebook,
    cases: Path,
    reports: Path,
    *,
    folds: int,
    now: datetime,
    watch: Watch = iter,
) -> ChannelFit:
    """The factors of the channels that fit the worked and the reported cases together.

    Raises ValueError or OSError for cases that cannot be used.
    """
    worked = worked_cases(_folder(cases), rulebook, now=now)
    reported = [
        report
        for report in reported_cases(_folder(reports), rulebook, now=now)
        if report.sort in ("named", "nothing_wrong")
    ]
    told = [
        Told(try_exercise(rulebook, e)[0], 1.0 / len(worked), f"worked {i}")
        for i, e in enumerate(watch(worked))
    ]
    told += [
        Told(try_exercise(rulebook, r.exercise)[0], 1.0 / len(reported), r.author) for r in reported
    ]
    return fit_channels(rulebook, told, folds)


def _folder(named: Path) -> Path:
    if not named.is_dir():
        raise ValueError(f"{named}: no such folder. Name a folder of case files.")
    return named
