"""What the keeper said in so many words: answers, things seen and not seen, the container, the
animals beside the shrimp.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, observed
from diagnose.intake.rough import ends, scaled

if TYPE_CHECKING:
    from diagnose.intake.case import Case, OtherAnimals

#: Fields of the container that are an observation under another name.
_CONTAINER_WORDS = {
    "water_source": "water_source",
    "topup": "topup_water",
    "filter": "filter_state",
    "heater": "heater_state",
    "planting": "planting",
    "floating_cover": "floating_cover",
    "substrate": "substrate",
    "sun": "sun",
    "lid": "lid",
    "co2": "co2_feed",
}
_CONTAINER_NUMBERS = {
    "volume_l": "volume_l",
    "age_days": "container_age_days",
    "substrate_age_days": "substrate_age_days",
    "light_hours": "light_hours",
    "change_interval_days": "change_interval_days",
}
#: From this many hours a day the sun counts as long in the vocabulary.
LONG_SUN_H = 1.0
#: Food still there after this many hours is left over, in the vocabulary's words.
LEFT_OVER_AFTER_H = 3.0
#: Mean length of a month: 365.25 days over 12.
DAYS_PER_MONTH = 30.4375
#: How keepers name the animals they keep beside the shrimp.
_SNAILS = ("snail", "nerite", "ramshorn", "limpet")
_FISH = ("fish", "guppy", "guppies", "betta", "tetra", "rasbora", "medaka", "goby", "gobies")
_LARGE_CRUSTACEANS = ("crayfish", "crawfish", "prawn")
_SMALL_CRUSTACEANS = ("flea", "daphnia", "copepod", "cyclops", "ostracod", "seed shrimp")
#: What the states mean in the vocabulary, best first: of several entries the worst one counts.
_SNAIL_STATES = {"fine": "fine", "climbing_out": "climbing_out", "dying": "dead", "dead": "dead"}
_FISH_STATES = {"fine": "fine", "gasping": "gasping", "dying": "dead", "dead": "dead"}
_SMALL_STATES = {
    "swarming": "swarming",
    "fine": "swarming",
    "dying": "gone",
    "dead": "gone",
    "gone": "gone",
}


def answered(case: Case) -> list[Observation]:
    """Questions of the vocabulary that the case answers by their own name."""
    found = [
        observed(name, _in_words(value), "told", "answered by the keeper")
        for name, value in case.told.items()
    ]
    found += [Observation(name, "present", "told", "seen") for name in case.seen]
    found += [
        Observation(name, "absent", "told", "looked for and not there") for name in case.not_seen
    ]
    return found


def _in_words(value: str | float | bool) -> str | float:
    if isinstance(value, bool):
        return "present" if value else "absent"
    return value if isinstance(value, str | float) else float(value)


def described(case: Case) -> list[Observation]:
    """What the description of the container and of the stock says outright."""
    return [*_container(case), *_feeding(case), *_others(case)]


def _container(case: Case) -> Iterator[Observation]:
    box = case.container
    for field, name in _CONTAINER_WORDS.items():
        word = getattr(box, field)
        if word is not None:
            yield Observation(name, word, "told", "told of the container")
    for field, name in _CONTAINER_NUMBERS.items():
        number = getattr(box, field)
        if number is not None:
            yield observed(name, number, "told", "told of the container")
    if box.sun is None and box.sun_hours is not None:
        short = "short" if box.sun_hours > 0 else "none"
        sun = "long" if box.sun_hours >= LONG_SUN_H else short
        yield Observation("sun", sun, "told", f"{box.sun_hours:g} h of sun a day")
    if box.surface_moved is not None:
        moved = "present" if box.surface_moved else "absent"
        yield Observation("surface_moved", moved, "told", "told of the container")
    elif box.filter == "none":
        yield Observation(
            "surface_moved", "absent", "derived", "there is neither a filter nor an air stone"
        )
    if case.stock.kept_for_days is not None:
        months = scaled(case.stock.kept_for_days, 1.0 / DAYS_PER_MONTH)
        yield observed("months_kept", months, "told", "told of the stock")


def _feeding(case: Case) -> Iterator[Observation]:
    feeding = case.stock.feeding
    if feeding is None or feeding.eaten_within_hours is None:
        return
    hours = feeding.eaten_within_hours
    low, high = ends(hours)
    if low < LEFT_OVER_AFTER_H < high:
        return
    left = "present" if hours > LEFT_OVER_AFTER_H else "absent"
    yield Observation("food_left_over", left, "derived", f"food is eaten within {hours:g} h")


def _others(case: Case) -> Iterator[Observation]:
    others = case.stock.others
    snails = [animals for animals in others if _named(animals, _SNAILS)]
    small = [animals for animals in others if _named(animals, _SMALL_CRUSTACEANS)]
    large = [animals for animals in others if _named(animals, _LARGE_CRUSTACEANS)]
    fish = [animals for animals in others if _named(animals, _FISH) and animals not in large]
    for name, animals, states in (
        ("snails_state", snails, _SNAIL_STATES),
        ("fish_state", fish, _FISH_STATES),
        ("microcrustaceans_state", small, _SMALL_STATES),
    ):
        words = list(states)
        seen = [item.state for item in animals if item.state in states and item.count != 0]
        if seen:
            worst = max(seen, key=lambda state: words.index(str(state)))
            yield Observation(name, states[str(worst)], "told", "told of the other animals")
    if fish or large:
        kept = any(item.count != 0 for item in (*fish, *large))
        word = "present" if kept else "absent"
        yield Observation("fish_kept", word, "told", "told of the other animals")
    said = {*case.seen, *case.not_seen}
    if any(item.count != 0 for item in large) and "predator_seen" not in said:
        yield Observation("predator_seen", "present", "told", "told of the other animals")


def _named(animals: OtherAnimals, words: tuple[str, ...]) -> bool:
    kind = animals.kind.lower()
    return any(word in kind for word in words)
