"""All causes by how often they happen: cause, mechanism, how early, what is seen first."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.reasons.page import OFTEN_WORDS, often_word, share_of_losses
from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class Row:
    """One cause of the map. warning: the rulebook's word; seen: names of its early signs."""

    cause: str
    title: str
    mechanism: str
    warning: str
    seen: tuple[str, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Group:
    """Causes that are about equally common, commonest first."""

    word: str
    rows: tuple[Row, ...]


def overview(rulebook: Rulebook) -> tuple[Group, ...]:
    """Every cause once, in groups by how common it is."""
    rows = [
        Row(
            cause=cause.id,
            title=cause.title,
            mechanism=cause.works_through[0],
            warning=cause.warning or "?",
            seen=tuple(spoken(name) for name in cause.early_signs),
            share=share_of_losses(rulebook, cause.id),
        )
        for cause in rulebook.causes.values()
    ]
    rows.sort(key=lambda row: (-row.share, row.cause))
    groups = [
        Group(word, tuple(row for row in rows if often_word(row.share) == word))
        for _, word in OFTEN_WORDS
    ]
    return tuple(group for group in groups if group.rows)


#: What is looked at, where the observation's name alone would say the opposite or too little.
SAID = {
    "young_seen": "no young",
    "colony_trend": "numbers over months",
    "sexes_left": "no eggs",
    "survivors_normal": "all graze as ever",
    "pale_faded": "faded colour",
    "hydra_planaria": "flatworms",
    "pink_opaque": "pinkish look",
    "off_food": "leave food alone",
    "mass_moult": "many moult at once",
}


def spoken(name: str) -> str:
    """An observation as a few words."""
    return SAID.get(name) or name.removeprefix("did_").replace("_", " ")
