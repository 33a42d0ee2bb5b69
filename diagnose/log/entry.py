"""What a log holds: containers, and entries about them that are never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, get_args

Kind = Literal["reading", "event", "count", "death", "sign", "note"]
KINDS: tuple[str, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Jot:
    """One thing to be kept. `at` is the time it is about, None where nobody knows it; `content` is
    written as in a case file; `words` are the keeper's own.
    """

    kind: Kind
    at: datetime | None
    content: dict[str, Any]
    words: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """A jot as it is kept: `number` counts up, `act` is what it was entered with, `entered_at`
    when.
    """

    number: int
    act: int
    entered_at: datetime
    jot: Jot


@dataclass(frozen=True, slots=True)
class Described:
    """A container as it was made known: the case file's words, and the time they are about."""

    name: str
    at: datetime
    content: dict[str, Any]
