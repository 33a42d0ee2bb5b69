"""The use-case of checking a rulebook: which folders, which worked cases, whose findings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diagnose.rulebook.checks.check import Finding
from diagnose.rulebook.checks.inspect import inspect


@dataclass(frozen=True, slots=True)
class Checked:
    """What was checked and what was found. folder: the last of the folders laid over each other."""

    folder: str
    laid_over: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> int:
        return sum(finding.level == "error" for finding in self.findings)


def check_rulebook(
    folder: Path | None, overlays: Sequence[Path], *, bundled: Path, cases: Path, now: datetime
) -> Checked:
    """Checks a folder of rules, with further ones laid over it.

    folder: a whole rulebook, or rules of one's own without a vocabulary, which are laid over the
    bundled ones; None for the bundled ones. cases: a folder of worked cases. Of rules laid over
    others, only what the last folder brings with it is told. Raises ValueError for a folder that
    is none.
    """
    folders = (*((bundled,) if folder is None else _with_ground(folder, bundled)), *overlays)
    for named in folders:
        if not named.is_dir():
            raise ValueError(f"{named}: no such folder. Name a folder of YAML rules.")
    worked = expected_causes(cases, now=now)
    found = inspect(folders, worked)
    if len(folders) > 1:
        before = frozenset(inspect(folders[:-1], worked))
        found = tuple(finding for finding in found if finding not in before)
    return Checked(str(folders[-1]), tuple(map(str, folders[:-1])), found)


def _with_ground(folder: Path, bundled: Path) -> tuple[Path, ...]:
    whole = (folder / "vocabulary").is_dir() or (folder / "ranking.yaml").is_file()
    return (folder,) if whole else (bundled, folder)


def expected_causes(cases: Path, *, now: datetime) -> Counter[str]:
    """How many worked cases of a folder expect each cause, first or beside another one.

    A case that cannot be read counts for nothing here; `bowlside case check` says why.
    """
    from diagnose.intake.case_file import read_case

    counts: Counter[str] = Counter()
    for file in sorted(cases.rglob("*.yaml")):
        try:
            expect = read_case(file.read_bytes(), str(file), now).expect
        except (ValueError, OSError):
            continue
        if expect is not None:
            counts.update({*expect.first, *expect.also})
    return counts
