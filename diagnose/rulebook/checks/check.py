"""What a check is, and what it finds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from diagnose.rulebook.checks.subject import Subject

#: `error`: the rule cannot do what it says, or somebody could be hurt; `advice`: it could be
#: better.
Level = Literal["error", "advice"]


@dataclass(frozen=True, slots=True)
class At:
    """Where a fault is, in the words of the rulebook: the kind and id of an entry, and the keys
    inside it. A number or the id of an inner entry picks one from a list.
    """

    kind: str
    entry: str
    path: tuple[str | int, ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing a check objects to: where, and what is wrong, as a sentence."""

    at: At
    says: str


@dataclass(frozen=True, slots=True)
class Check:
    """One named check. `mend` says how to put right what `look` finds."""

    id: str
    level: Level
    mend: str
    look: Callable[[Subject], Iterable[Problem]]


@dataclass(frozen=True, slots=True)
class Finding:
    """A problem with its check and its place in a file. line counts from 1; None: the whole
    file.
    """

    check: str
    level: Level
    folder: str
    file: str
    line: int | None
    entry: str
    says: str
    mend: str
