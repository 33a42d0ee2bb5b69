"""A shelf of containers: every case of a folder answered, the most urgent first."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path

from diagnose.care.week import readings_due
from diagnose.findings.density import animals_told
from diagnose.findings.readings import samples
from diagnose.findings.timeline import distinct_counts, timeline_of
from diagnose.intake.case import Case, Stock
from diagnose.report.shelf import Jar, most_urgent_first
from diagnose.report.wording import Preference
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.triage import CaseAnswer, triage_file

#: A second process costs about as much to start as this many cases take to answer.
CASES_WORTH_A_PROCESS = 24
CASE_ENDING, PAGE_ENDING = ".yaml", ".html"
#: A count before the losses stands this long before the first of them [h].
HOUR = 1.0
STAGES = ("adults", "females", "males", "berried", "juveniles", "hatchlings")


def cases_in(folder: Path) -> list[Path]:
    """The case files of a folder by name. Raises ValueError where there are none."""
    files = sorted(folder.glob(f"*{CASE_ENDING}"))
    if not files:
        raise ValueError(f"{folder}: no case files here. They end in {CASE_ENDING}.")
    return files


def shelf(
    files: list[Path],
    rulebook: Rulebook,
    *,
    now: datetime,
    prefer: Preference | None = None,
    ranges_in: Path | None = None,
    with_pages: bool = False,
    watch: Callable[[Iterable[Jar]], Iterable[Jar]] = iter,
) -> list[Jar]:
    """All containers, the most urgent first; in several processes where it pays.

    ranges_in: the folder with the container model's parameters; None makes no estimates.
    with_pages: make each one's own page too. watch: sees them go by, one by one.
    """
    work = partial(
        _jar,
        rulebook=rulebook,
        now=now,
        prefer=prefer,
        ranges_in=ranges_in,
        with_pages=with_pages,
    )
    processes = min(os.cpu_count() or 1, len(files) // CASES_WORTH_A_PROCESS)
    if processes < 2:
        found = list(watch(map(work, files)))
    else:
        with ProcessPoolExecutor(processes) as pool:
            chunk = max(1, len(files) // (4 * processes))
            found = list(watch(pool.map(work, files, chunksize=chunk)))
    return most_urgent_first(found, list(rulebook.levels))


def _jar(
    file: Path,
    rulebook: Rulebook,
    now: datetime,
    prefer: Preference | None,
    ranges_in: Path | None,
    with_pages: bool,
) -> Jar:
    """One container; a file that cannot be read gives one that says so."""
    try:
        found = triage_file(file, rulebook, now=now, prefer=prefer, ranges_in=ranges_in)
    except (ValueError, OSError) as error:
        return Jar(file.name, problem=str(error).splitlines()[0])
    jar = _told_of(found, file.name, now)
    if not with_pages:
        return jar
    from diagnose.uses.triage_page import triage_page

    return replace(jar, page=triage_page(found), link=f"{file.stem}{PAGE_ENDING}")


def _told_of(found: CaseAnswer, file: str, now: datetime) -> Jar:
    case = found.observed.case
    asked_at = case.asked_at or now
    return Jar(
        file,
        answer=found.answer,
        due=readings_due(case, found.rulebook.numbers, asked_at),
        counted=_counted(case.stock),
        temperatures=_temperatures(case, asked_at),
        counts=_left_alive(case, asked_at),
        prefer=found.prefer,
    )


def _left_alive(case: Case, asked_at: datetime) -> tuple[tuple[float, float], ...]:
    """How many were left when, from the count before the losses and the deaths with their times."""
    before, timeline = animals_told(case), timeline_of(case, asked_at)
    if before is None or case.deaths is None:
        return ()
    deaths = list(distinct_counts(case))
    if not deaths and case.deaths.last is not None and case.deaths.dead is not None:
        deaths = [(case.deaths.last, case.deaths.dead)]
    timed = [(hours, dead) for at, dead in deaths if (hours := timeline.hours_ago(at)) is not None]
    first = timeline.hours_ago(case.deaths.first) if case.deaths.first is not None else None
    began = max([hours for hours, _ in timed] + ([first] if first is not None else []), default=0.0)
    found, left = [(began + HOUR, float(before))], float(before)
    for hours, dead in sorted(timed, reverse=True):
        left -= dead
        found.append((hours, left))
    return tuple(found) if timed and left >= 0.0 else ()


def _temperatures(case: Case, asked_at: datetime) -> tuple[tuple[float, float], ...]:
    taken = samples(case, timeline_of(case, asked_at), "temperature")
    timed = [(one.hours_ago, one.value) for one in taken if one.timed]
    return tuple(sorted(timed, reverse=True))


def _counted(stock: Stock) -> str:
    told = ((name, getattr(stock, name)) for name in STAGES)
    return ", ".join(f"{number} {name}" for name, number in told if number is not None)
