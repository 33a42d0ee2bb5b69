"""Who lives there already, and how newcomers and they would get on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from diagnose.findings.companions import companion_of, risk_of
from diagnose.intake.case import Case
from diagnose.rulebook.species import UNKNOWN_KIND, known_species, species_named, species_of
from diagnose.rulebook.terms import Rulebook, Species

Company = Literal["none", "nibbler", "hunter"]
ShrimpCompany = Literal["none", "same", "may_interbreed", "apart", "other_water"]

#: Ranges that two kinds must share to live in one water.
SHARED_RANGES = ("temperature_c", "ph", "gh_dgh", "kh_dkh")
#: Names that mean the whole kind, not one colour form of it.
COLLECTIVE = frozenset({"neocaridina", "neos", "caridina"})


def company(case: Case, rulebook: Rulebook) -> Company | None:
    """The most troublesome of the other animals; None where nobody said who lives there, or
    nobody knows what they do.
    """
    kept = [animal for animal in case.stock.others if animal.count != 0 and not animal.gone]
    risks = {risk_of(animal, rulebook.companions) for animal in kept}
    named = {companion_of(animal.kind, rulebook.companions) for animal in kept}
    fish_of_no_kind = any(one is not None and one.kin == "fish" for one in named)
    if "eats_grown" in risks or ("unknown" in risks and fish_of_no_kind):
        return "hunter"
    if "eats_young" in risks:
        return "nibbler"
    answer = case.told.get("fish_kept")
    if answer in ("present", True) or "fish_kept" in case.seen:
        return "hunter"
    if "unknown" in risks:
        return None
    if kept or answer in ("absent", False) or "fish_kept" in case.not_seen:
        return "none"
    return None


def residents(case: Case, rulebook: Rulebook) -> list[tuple[str | None, Species]]:
    """The kinds of shrimp that live there, with the names they were told under."""
    stock = case.stock
    found: list[tuple[str | None, Species]] = []
    counts = (stock.adults, stock.females, stock.males, stock.juveniles, stock.hatchlings)
    told = [n for n in counts if n is not None]
    if sum(told) > 0 or (not told and stock.species is not None):
        names = (stock.species, *stock.also_species)
        for name in names:
            found += [(name, kind) for kind in _kinds(rulebook, name)]
    for animal in stock.others:
        if animal.count == 0:
            continue
        kind = known_species(rulebook, animal.kind)
        if kind is not None and kind.id != UNKNOWN_KIND:
            found.append((animal.kind, kind))
    return found


def _kinds(rulebook: Rulebook, name: str | None) -> tuple[Species, ...]:
    if name is None:
        return (species_of(rulebook, None),)
    return species_named(rulebook, name)


def shrimp_company(
    there: Iterable[tuple[str | None, Species]], name: str | None, newcomers: Species
) -> ShrimpCompany:
    """How the newcomers' kind and the shrimp that live there fit, worst case of all of them."""
    order: tuple[ShrimpCompany, ...] = ("none", "same", "apart", "may_interbreed", "other_water")
    worst: ShrimpCompany = "none"
    for called, kind in there:
        worst = max(worst, _pair(called, kind, name, newcomers), key=order.index)
    return worst


def _pair(called: str | None, kind: Species, name: str | None, newcomers: Species) -> ShrimpCompany:
    if kind.id == newcomers.id:
        return "may_interbreed" if _other_form(called, name, kind) else "same"
    if kind.group == newcomers.group:
        return "may_interbreed"
    shared = all(
        _overlap(kind.comfortable[key], newcomers.comfortable[key])
        for key in SHARED_RANGES
        if key in kind.comfortable and key in newcomers.comfortable
    )
    return "apart" if shared else "other_water"


def _other_form(called: str | None, name: str | None, kind: Species) -> bool:
    """Whether two names of one kind stand for two forms of it."""
    if called is None or name is None:
        return False
    one, other = called.lower().strip(), name.lower().strip()
    collective = {*COLLECTIVE, kind.id, kind.title.lower(), *(word.lower() for word in kind.latin)}
    return not ({one, other} & collective or one in other or other in one)


def _overlap(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return max(one[0], other[0]) <= min(one[1], other[1])


SENTENCES: dict[ShrimpCompany | Company, str] = {
    "same": "The shrimp there are of the same kind: they will mix without trouble.",
    "may_interbreed": "Another form of the same kind lives there: they will interbreed, and "
    "their young mostly come out in wild colours. Keep them apart if the colours matter to you.",
    "apart": "The shrimp there are another kind that is content with the same water and does not "
    "interbreed with these.",
    "other_water": "The shrimp there need other water than these: one of the two would live in the "
    "wrong water.",
    "nibbler": "The small fish there leave grown shrimp alone but pick off most young.",
    "hunter": "There lives something that eats shrimp.",
}
