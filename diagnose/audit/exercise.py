"""What a rulebook is tried on: what is known of a container, and what must come of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diagnose.belief.belief import Standing
from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.rulebook.terms import Rulebook

TUNE, SEEN, PUBLISHED = "tune", "seen", "published"
SPLITS = (TUNE, SEEN, PUBLISHED)
#: Where the rows of published tables and the published histories lie.
PUBLISHED_FOLDERS = ("differentials", "case_histories")


@dataclass(frozen=True, slots=True)
class Expected:
    """What must come first: one of these causes, or whatever works through one of these
    mechanisms. also: causes at work beside it.
    """

    causes: frozenset[str]
    mechanisms: frozenset[str] = frozenset()
    also: frozenset[str] = frozenset()

    def names(self, standing: Standing) -> bool:
        """Whether a standing is what was expected."""
        return self.holds(standing.cause, standing.mechanism)

    def holds(self, cause: str, mechanism: str) -> bool:
        """Whether a cause that worked through a mechanism is what was expected."""
        return cause in self.causes or mechanism in self.mechanisms


@dataclass(frozen=True, slots=True)
class Exercise:
    """One case with its expectation. split: tune (weights and the temperature may be fitted on
    it), seen (kept apart at first; rules have been argued from them since), or published.
    """

    name: str
    split: str
    thin: bool
    expected: Expected
    observations: tuple[Observation, ...]

    def without(self, names: frozenset[str]) -> Exercise:
        """The same case with these observations unknown."""
        kept = tuple(item for item in self.observations if item.name not in names)
        return Exercise(self.name, self.split, self.thin, self.expected, kept)


def worked_cases(folder: Path, rulebook: Rulebook, *, now: datetime) -> tuple[Exercise, ...]:
    """The cases of a folder that say what they expect, in order of their files' names.

    Raises ValueError where a case cannot be read, expects a cause that the rulebook does not know,
    or no case expects anything.
    """
    found = _expecting(sorted(folder.rglob("*.yaml")), rulebook, now)
    if not found:
        raise ValueError(
            f"{folder}: no case here says what it expects. Cases are .yaml files with an `expect` "
            "that names the causes that may come `first`."
        )
    return found


def published_cases(folder: Path, rulebook: Rulebook, *, now: datetime) -> tuple[Exercise, ...]:
    """The rows of published tables and the published histories of a folder: case files that expect
    the causes, or the mechanisms, which their source names. They lie in PUBLISHED_FOLDERS of the
    folder, or in the folder itself.

    Raises ValueError where a case cannot be read, or names what the rulebook does not know.
    """
    parts = [folder / name for name in PUBLISHED_FOLDERS if (folder / name).is_dir()] or [folder]
    files = [file for part in parts for file in sorted(part.glob("*.yaml"))]
    found = _expecting(files, rulebook, now, PUBLISHED)
    if not found:
        raise ValueError(
            f"{folder}: no published cases here. They are .yaml files with an `expect` that names "
            "the causes that may come `first`, or the `mechanisms`."
        )
    return found


def _expecting(
    files: Iterable[Path], rulebook: Rulebook, now: datetime, split: str | None = None
) -> tuple[Exercise, ...]:
    found = []
    for file in files:
        case = (observed := observed_case(file, rulebook, now=now)).case
        expect = case.expect
        if expect is None or not (expect.first or expect.mechanisms):
            continue
        expected = Expected(
            frozenset(expect.first), frozenset(expect.mechanisms), frozenset(expect.also)
        )
        must_know(rulebook.causes, expected.causes | expected.also, f"{file}: expect")
        must_know(rulebook.mechanisms, expected.mechanisms, f"{file}: expect")
        found.append(
            Exercise(file.stem, split or expect.split, expect.thin, expected, observed.observations)
        )
    return tuple(found)


def must_know(known: Iterable[str], names: Iterable[str], where: str) -> None:
    """Raises ValueError for a name that is not known; the message offers the nearest."""
    from difflib import get_close_matches

    known = list(known)
    for name in sorted(names):
        if name not in known:
            near = get_close_matches(name, known, n=3, cutoff=0.5)
            hint = f" Did you mean {', '.join(near)}?" if near else ""
            raise ValueError(f"{where}: the rulebook does not know `{name}`.{hint}")
