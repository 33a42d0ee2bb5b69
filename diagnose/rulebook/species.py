"""Finds the profile of a species by its id, its Latin name or a name the trade uses."""

from __future__ import annotations

import re
from functools import reduce

from diagnose.rulebook.terms import SEVERAL_KINDS, Rulebook, Species

#: What is assumed when nobody says which shrimp it is: by far the commonest in bowls (common
#: practice, no source).
USUAL_SPECIES = "hardy-dwarf"
#: The broad profile of a shrimp that no profile is called after.
UNKNOWN_KIND = "unknown-kind"
#: What keepers put between two kinds named in one breath.
_BETWEEN_KINDS = re.compile(r"\s*(?:,|;|\+|&|\band\b|\bwith\b)\s*")
#: ... and between two of which they do not know which it is.
_EITHER_KIND = re.compile(r"\s*(?:/|\bor\b)\s*")
#: Words with which no kind is meant that grows to a multiple of the smallest (convention of this
#: program, no source).
_SMALL = frozenset({"small", "little", "tiny", "dwarf"})
MUCH_HEAVIER = 3.0


def species_of(rulebook: Rulebook, name: str | None, *more: str) -> Species:
    """The profile called `name`, or the usual one for None.

    A shrimp nobody has a profile for gets the broad profile of an unknown kind. Of several kinds
    (`more`, or two names in one) the profile is the widest caution: what suits all of them.
    """
    if name is None and not more:
        return rulebook.species[USUAL_SPECIES]
    kinds = species_named(rulebook, *((name,) if name is not None else ()), *more)
    return reduce(_both, kinds)


def species_named(rulebook: Rulebook, *names: str) -> tuple[Species, ...]:
    """The profiles that these names mean, each once; a name may hold several kinds."""
    found = [species for name in names for species in _in_parts(rulebook, name)]
    return tuple({species.id: species for species in found}.values())


def known_species(rulebook: Rulebook, name: str) -> Species | None:
    """The one profile that goes by this name, or None."""
    known = {
        _plain(called): species
        for species in rulebook.species.values()
        for called in (species.id, species.title, *species.latin, *species.also_called)
    }
    return known.get(_plain(name)) or _only_one_meant(_plain(name), known)


def _in_parts(rulebook: Rulebook, name: str) -> list[Species]:
    either = [known_species(rulebook, x) for x in _EITHER_KIND.split(name.lower()) if x]
    kinds = {species.id if species else None for species in either}
    if len(kinds) > 1 and None not in kinds:
        return [rulebook.species[UNKNOWN_KIND]]
    parts = [part for part in _BETWEEN_KINDS.split(name.lower()) if part]
    known = [species for part in parts if (species := known_species(rulebook, part)) is not None]
    if len(parts) > 1 and len(known) > 1:
        return known
    return [known_species(rulebook, name) or rulebook.species[UNKNOWN_KIND]]


def _both(one: Species, other: Species) -> Species:
    """What suits both: ranges where they overlap; where they do not, the first one's."""
    return one._replace(
        id=f"{one.id}{SEVERAL_KINDS}{other.id}",
        title=f"{one.title} and {other.title[:1].lower()}{other.title[1:]}",
        latin=(*one.latin, *other.latin),
        group=one.group if one.group == other.group else "unknown",
        comfortable=_shared(one.comfortable, other.comfortable),
        survives=_shared(one.survives, other.survives),
    )


def _shared(
    one: dict[str, tuple[float, float]], other: dict[str, tuple[float, float]]
) -> dict[str, tuple[float, float]]:
    found = {**other, **one}
    for name in one.keys() & other.keys():
        low, high = max(one[name][0], other[name][0]), min(one[name][1], other[name][1])
        if low < high:
            found[name] = (low, high)
    return found


def _only_one_meant(name: str, known: dict[str, Species]) -> Species | None:
    """The one species with a name made of some of these words, or that these words are part of;
    a kind that is known goes before the unknown one.
    """
    words = set(name.split())
    meant = {
        species.id: species
        for called, species in known.items()
        if words and (words <= set(called.split()) or set(called.split()) <= words)
    }
    if words & _SMALL:
        least = min(species.adult_mass_mg for species in known.values())
        meant = {k: s for k, s in meant.items() if s.adult_mass_mg < MUCH_HEAVIER * least}
    if len(meant) > 1:
        meant.pop(UNKNOWN_KIND, None)
    return next(iter(meant.values())) if len(meant) == 1 else None


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[-_().,']", " ", name.lower()).split())
