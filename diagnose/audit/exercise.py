"""What a rulebook is tried on: what is known of a container, and what must come of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from diagnose.belief.belief import Standing
from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.rulebook.terms import Rulebook

TUNE, TEST, PUBLISHED = "tune", "test", "published"
SPLITS = (TUNE, TEST, PUBLISHED)


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
    it), test (they may not), or published.
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
    found = []
    for file in sorted(folder.rglob("*.yaml")):
        case = (observed := observed_case(file, rulebook, now=now)).case
        if case.expect is None or not case.expect.first:
            continue
        expected = Expected(frozenset(case.expect.first), also=frozenset(case.expect.also))
        must_know(rulebook.causes, expected.causes | expected.also, f"{file}: expect")
        found.append(
            Exercise(
                file.stem, case.expect.split, case.expect.thin, expected, observed.observations
            )
        )
    if not found:
        raise ValueError(
            f"{folder}: no case here says what it expects. Cases are .yaml files with an `expect` "
            "that names the causes that may come `first`."
        )
    return tuple(found)


def published_cases(folder: Path, rulebook: Rulebook) -> tuple[Exercise, ...]:
    """The rows of published tables and histories of a folder: YAML lists of mappings with `id`,
    `findings` and `cause`, `causes`, `mechanism` or `mechanisms`.

    Raises ValueError for a row that lacks them or names what the rulebook does not know.
    """
    import yaml

    found = []
    for file in sorted(folder.glob("*.yaml")):
        try:
            rows = yaml.safe_load(file.read_text(encoding="utf-8"))
        except (yaml.YAMLError, UnicodeDecodeError):
            raise ValueError(f"{file}: not readable as YAML.") from None
        if not isinstance(rows, list):
            raise ValueError(f"{file}: not a list of rows; each is {{id: ..., findings: ...}}.")
        found += [
            _published(row, f"{file.name}, row {i + 1}", rulebook) for i, row in enumerate(rows)
        ]
    if not found:
        raise ValueError(f"{folder}: no published rows here. They stand in .yaml files.")
    return tuple(found)


def _published(row: Any, where: str, rulebook: Rulebook) -> Exercise:
    if not isinstance(row, Mapping) or not isinstance(row.get("findings"), Mapping):
        raise ValueError(f"{where}: a row needs an id, its findings, and the cause it names.")
    causes = frozenset([*row.get("causes", ()), *filter(None, [row.get("cause")])])
    mechanisms = frozenset([*row.get("mechanisms", ()), *filter(None, [row.get("mechanism")])])
    if not causes | mechanisms:
        raise ValueError(f"{where}: it names neither a cause nor a mechanism.")
    must_know(rulebook.causes, causes, where)
    must_know(rulebook.mechanisms, mechanisms, where)
    must_know(rulebook.vocabulary, row["findings"], where)
    observations = tuple(
        Observation(name, value if isinstance(value, str) else float(value), "told", "published")
        for name, value in sorted(row["findings"].items())
    )
    return Exercise(
        str(row.get("id", where)), PUBLISHED, False, Expected(causes, mechanisms), observations
    )


def must_know(known: Iterable[str], names: Iterable[str], where: str) -> None:
    """Raises ValueError for a name that is not known; the message offers the nearest."""
    from difflib import get_close_matches

    known = list(known)
    for name in sorted(names):
        if name not in known:
            near = get_close_matches(name, known, n=3, cutoff=0.5)
            hint = f" Did you mean {', '.join(near)}?" if near else ""
            raise ValueError(f"{where}: the rulebook does not know `{name}`.{hint}")
