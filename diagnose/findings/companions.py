"""The animals beside the shrimp: which of the table is meant by a keeper's word, and what they do
to shrimp.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Literal, Protocol

from diagnose.findings.observation import Observation
from diagnose.intake.case import Event
from diagnose.intake.meaning import folded

if TYPE_CHECKING:
    from diagnose.intake.case import Case, OtherAnimals

Risk = Literal["none", "eats_young", "eats_grown", "unknown"]
#: Worst last: what is known to eat grown shrimp leads, an unknown habit before a known small one.
_WORSE: tuple[Risk, ...] = ("none", "eats_young", "unknown", "eats_grown")
#: A fish of no named kind swallows grown shrimp from about this length on, and below the other
#: only the young (common practice, no source), cm.
SWALLOWS_GROWN_CM, SWALLOWS_YOUNG_CM = 8.0, 3.0
#: What the states mean in the vocabulary, best first: of several entries the worst one counts.
_SNAIL_STATES = {
    "breeding": "fine",
    "fine": "fine",
    "climbing_out": "climbing_out",
    "overturned": "dead",
    "dying": "dead",
    "dead": "dead",
}
_FISH_STATES = {
    "breeding": "fine",
    "fine": "fine",
    "climbing_out": "gasping",
    "gasping": "gasping",
    "dying": "dead",
    "dead": "dead",
}
_SMALL_STATES = {
    "swarming": "swarming",
    "breeding": "swarming",
    "fine": "swarming",
    "dying": "gone",
    "dead": "gone",
    "gone": "gone",
}
_STATES = (
    ("snails_state", "snail", _SNAIL_STATES),
    ("fish_state", "fish", _FISH_STATES),
    ("microcrustaceans_state", "small", _SMALL_STATES),
)
#: Signs that the presence of an animal is.
_SIGNS = {"flatworm": "hydra_planaria", "leech": "leech"}
#: What these observations rest on.
STATEMENT = "stock.others"
#: What dies or died with the shrimp is not what hunted them.
_DIED_WITH_THEM = ("dying", "dead")
_HUNTERS = ("crustacean", "insect", "vertebrate")


class Companion(Protocol):
    """What is needed of an entry of the table."""

    @property
    def id(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def also(self) -> tuple[str, ...]: ...
    @property
    def kin(self) -> str: ...
    @property
    def grown(self) -> str: ...
    @property
    def young(self) -> str: ...


def companion_of(kind: str, table: Mapping[str, Companion]) -> Companion | None:
    """The animal of the table that is meant: by its whole name, else by the longest name that is
    part of the keeper's word. None: nobody listed it.
    """
    said = _singulars(kind)
    best: tuple[int, int, str] | None = None
    for companion in table.values():
        for name in (companion.id, *companion.also):
            words = _singulars(name)
            if not words <= said:
                continue
            found = (len(words), len(name), companion.id)
            if best is None or found > best:
                best = found
    return table[best[2]] if best is not None else None


def risk_of(animal: OtherAnimals, table: Mapping[str, Companion]) -> Risk:
    """What one kind of animal does to shrimp."""
    companion = companion_of(animal.kind, table)
    if companion is None:
        return "unknown"
    if companion.grown == "unknown" and companion.kin == "fish" and animal.size_cm is not None:
        if animal.size_cm >= SWALLOWS_GROWN_CM:
            return "eats_grown"
        if animal.size_cm <= SWALLOWS_YOUNG_CM:
            return "eats_young"
    if companion.grown == "eats":
        return "eats_grown"
    if "unknown" in (companion.grown, companion.young):
        return "unknown"
    return "eats_young" if companion.young == "eats" else "none"


def worst(risks: Iterable[Risk]) -> Risk:
    """The worst of several risks; none of none."""
    return max(risks, key=_WORSE.index, default="none")


def unlisted(case: Case, table: Mapping[str, Companion]) -> tuple[str, ...]:
    """The kinds of other animals that the table does not hold, as they were written."""
    kinds = (animal.kind for animal in case.stock.others if animal.count != 0)
    return tuple(dict.fromkeys(kind for kind in kinds if companion_of(kind, table) is None))


def with_arrivals(case: Case, table: Mapping[str, Companion]) -> Case:
    """The case with an event for each kind of animal of which it is told when it was put in."""
    arrivals = tuple(
        Event(what=_arrival(animal, table), at=animal.put_in, logged="told of the other animals")
        for animal in case.stock.others
        if animal.put_in is not None
    )
    if not arrivals:
        return case
    return case.model_copy(update={"events": case.events + arrivals})


def _arrival(animal: OtherAnimals, table: Mapping[str, Companion]) -> str:
    companion = companion_of(animal.kind, table)
    return "new-fish" if companion is not None and _eats(companion) else "new-animals"


def other_animals(case: Case, table: Mapping[str, Companion]) -> Iterator[Observation]:
    """What is told of the animals beside the shrimp."""
    others = case.stock.others
    known = [
        (animal, companion)
        for animal in others
        if (companion := companion_of(animal.kind, table)) is not None
    ]
    for name, kin, states in _STATES:
        words = list(states)
        seen = {
            state: animal.count
            for animal, companion in known
            if companion.kin == kin
            and (state := _state_of_most(animal)) in states
            and animal.count != 0
            and not _came_after(animal)
        }
        if len(seen) > 1:
            # One alone that ails while another kind is well tells nothing of the water.
            seen = {state: count for state, count in seen.items() if count != 1}
        if seen:
            worst_state = max(seen, key=lambda state: words.index(str(state)))
            yield _told(name, states[str(worst_state)])
    known = [(animal, companion) for animal, companion in known if _beside_them(animal)]
    large = [(animal, companion) for animal, companion in known if _eats(companion)]
    if large:
        yield _told("fish_kept", "present" if any(_lives(a) for a, _ in large) else "absent")
    said = {*case.seen, *case.not_seen}
    present = {
        "predator_seen"
        for animal, companion in large
        if companion.kin in _HUNTERS and companion.grown == "eats" and _lives(animal)
    } | {_SIGNS[c.kin] for animal, c in known if c.kin in _SIGNS and _lives(animal)}
    for name in sorted(present - said):
        yield _told(name, "present")
    there = [animal for animal in others if animal.count != 0 and _beside_them(animal)]
    there = [animal for animal in there if _state_of_most(animal) not in _DIED_WITH_THEM]
    if there:
        risk = worst(risk_of(animal, table) for animal in there)
        kinds = ", ".join(animal.kind for animal in there if risk_of(animal, table) == risk)
        because = f"told of the other animals: {kinds}"
        yield Observation("company_risk", risk, "told", because, statement=STATEMENT)
    mine = _singulars(" ".join((case.stock.species or "", *case.stock.also_species)))
    if any(
        companion.kin == "shrimp" and _lives(animal) and not _singulars(animal.kind) <= mine
        for animal, companion in known
    ):
        yield _told("two_kinds", "present")


def _told(name: str, word: str) -> Observation:
    return Observation(name, word, "told", "told of the other animals", statement=STATEMENT)


def _lives(animal: OtherAnimals) -> bool:
    return animal.count != 0 and animal.gone is not True


def _came_after(animal: OtherAnimals) -> bool:
    """Whether they were put in when the losses were under way or over."""
    at = animal.put_in
    return at is not None and at.kind in ("beside_deaths", "from_first_death") and at.hours > 0.0


def _beside_them(animal: OtherAnimals) -> bool:
    """Whether they lived among the shrimp before anything happened."""
    return animal.apart is not True and not _came_after(animal)


def _state_of_most(animal: OtherAnimals) -> str | None:
    """The state of most of them: a few dead of many do not make them dead."""
    if animal.state is None and animal.gone:
        return "gone"
    if not animal.dead or animal.count is None:
        return animal.state
    if 2 * animal.dead >= animal.count:
        return "dead"
    return None if animal.state == "dead" else animal.state


def _eats(companion: Companion) -> bool:
    """Fish, and whatever else is large enough to take shrimp."""
    if companion.kin == "fish":
        return True
    return companion.kin in _HUNTERS and companion.young == "eats" and companion.kin != "insect"


def _singulars(words: str) -> frozenset[str]:
    return frozenset(_singular(word) for word in folded(words).split())


def _singular(word: str) -> str:
    if word.endswith("ies") and len(word) > 4:
        return f"{word[:-3]}y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
