"""Where the causes stand after an answer, in words: the first three, and what just moved."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.belief.belief import Beliefs
from diagnose.report.terminal import bar
from diagnose.report.wording import belief_word, percent
from diagnose.rulebook.terms import Rulebook

SHOWN = 3
#: Smaller moves than this share are not worth a word.
LEAST_MOVE = 0.02


@dataclass(frozen=True, slots=True)
class Place:
    """One cause as it stands: its belief, the word for it, and how it just moved (or nothing)."""

    title: str
    belief: float
    word: str
    moved: str


def places(rulebook: Rulebook, now: Beliefs, before: Beliefs | None) -> tuple[Place, ...]:
    """The first three causes, and any that an answer just threw out of them."""
    earlier = before.shares() if before is not None else {}
    three = [s.cause for s in now.standings[:SHOWN]]
    fallen = [
        s.cause
        for s in (before.standings[:SHOWN] if before is not None else ())
        if s.cause not in three and s.belief - now.of(s.cause).belief >= LEAST_MOVE
    ]
    return tuple(
        Place(
            rulebook.causes[cause].title,
            now.of(cause).belief,
            belief_word(now.of(cause).belief),
            _moved(now.of(cause).belief, earlier.get(cause)),
        )
        for cause in (*three, *fallen[:1])
    )


def _moved(now: float, before: float | None) -> str:
    if before is None or abs(now - before) < LEAST_MOVE:
        return ""
    return f"{'up' if now > before else 'down'} from {percent(before)}"


def panel(found: tuple[Place, ...]) -> tuple[str, ...]:
    """One line for each cause, with a bar of plain characters."""
    return tuple(
        f"{bar(p.belief)} {percent(p.belief):>5}  {p.title}" + (f" ({p.moved})" if p.moved else "")
        for p in found
    )


def spoken(found: tuple[Place, ...]) -> str:
    """The same in one sentence, for a screen reader or a log."""
    parts = [
        f"{p.title}, {percent(p.belief)}, {p.word}" + (f", {p.moved}" if p.moved else "")
        for p in found
    ]
    return "Now: " + "; ".join(parts) + "."
