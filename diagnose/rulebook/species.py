"""Finds the profile of a species by its id, its Latin name or a name the trade uses."""

from __future__ import annotations

from diagnose.rulebook.terms import Rulebook, Species

#: What is assumed when nobody says which shrimp it is: by far the commonest in bowls (common
#: practice, no source).
USUAL_SPECIES = "hardy-dwarf"


def species_of(rulebook: Rulebook, name: str | None) -> Species:
    """The profile called `name`, or the usual one for None.

    Raises ValueError for a name nobody uses, with the nearest known ones.
    """
    if name is None:
        return rulebook.species[USUAL_SPECIES]
    known = {
        _plain(called): species
        for species in rulebook.species.values()
        for called in (species.id, species.title, *species.latin, *species.also_called)
    }
    found = known.get(_plain(name)) or _only_one_meant(_plain(name), known)
    if found is None:
        from difflib import get_close_matches  # slow to import, and most files need no hint

        near = get_close_matches(_plain(name), known, n=3, cutoff=0.5) or sorted(rulebook.species)
        raise ValueError(
            f"stock, species: no profile is called '{name}'. "
            f"Try {', '.join(near)}, or leave it out."
        )
    return found


def _only_one_meant(name: str, known: dict[str, Species]) -> Species | None:
    """The one species with a name made of some of these words, or that these words are part of."""
    words = set(name.split())
    meant = {
        species.id: species
        for called, species in known.items()
        if words and (words <= set(called.split()) or set(called.split()) <= words)
    }
    return next(iter(meant.values())) if len(meant) == 1 else None


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())
