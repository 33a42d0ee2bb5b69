"""The morning round over all logged containers, as data and as a page to go round with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.report.pages import Figure, Page, PageLine, Section

FORMAT = "bowlside-round/2"


@dataclass(frozen=True, slots=True)
class Warned:
    """One early warning: how sure, why, and what would confirm it and helps at least."""

    title: str
    belief: float
    because: tuple[str, ...]
    usual_days: float
    confirm: str
    least: str


@dataclass(frozen=True, slots=True)
class Look:
    """One container of the round: its name, how many died in the last days, early warnings, and
    what is due.
    """

    name: str
    dying: int
    warned: tuple[Warned, ...]
    due: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shared:
    """What goes wrong in several containers at once, and what sets them apart from the others."""

    containers: tuple[str, ...]
    says: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Round:
    """All containers, those that need eyes first on top. shared: what several have in common."""

    format: str
    asked_at: str
    shared: tuple[Shared, ...]
    containers: tuple[Look, ...]


def round_page(found: Round, figures: Mapping[str, tuple[Figure, ...]]) -> Page:
    """The round as a page; figures: the small courses of each container by its name."""
    return Page(
        title="The morning round",
        first=(_first(found.containers),),
        sections=(
            Section("In several at once", tuple(_in_several(one) for one in found.shared)),
            *(
                Section(look.name, tuple(_lines(look)), figures=figures.get(look.name, ()))
                for look in found.containers
            ),
        ),
        note=found.asked_at,
    )


def _first(looks: Sequence[Look]) -> str:
    number = f"{len(looks)} container{'' if len(looks) == 1 else 's'}."
    if not looks:
        return "No container is known yet: bowlside log know CASE."
    if looks[0].dying or looks[0].warned:
        return f"{number} Eyes first on {looks[0].name}."
    return f"{number} Nobody died lately and nothing warns."


def _in_several(one: Shared) -> PageLine:
    return PageLine(f"{', '.join(one.containers)}: {one.says}", lead="!", below=one.because)


def _lines(look: Look) -> list[PageLine]:
    lines = []
    if look.dying:
        lines.append(PageLine(f"{look.dying} died: run bowlside triage {look.name}", lead="!"))
    for warned in look.warned:
        lines.append(
            PageLine(
                f"Warning: {warned.title}, usually {warned.usual_days:.0f} days ahead.",
                lead="!",
                below=(
                    *(f"why: {because}" for because in warned.because),
                    f"to be sure: {warned.confirm}",
                    f"least: {warned.least}",
                ),
            )
        )
    if look.due:
        lines.append(PageLine(", ".join(look.due), lead="due:"))
    return lines or [PageLine("nothing is due, nothing warns")]
