"""How many and how heavy the animals are for this container, how long they were kept, and what
they are fed.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.findings.observation import Observation, Profile
from diagnose.intake.amounts import Amount
from diagnose.intake.case import Case, Stock

MG_PER_G = 1000.0
DAYS_A_WEEK = 7.0
DAYS_A_MONTH = 30.4
#: How many grown animals' worth of room a young one takes (common practice, no source).
GROWN_PER_JUVENILE, GROWN_PER_HATCHLING = 0.25, 0.02
#: What pieces of food weigh, mg (common practice, no source: weighed by keepers by the hundred).
PIECE_MG = {
    "pellet": 20.0,
    "granule": 2.0,
    "flake": 5.0,
    "pinch": 50.0,
    "wafer": 400.0,
    "tablet": 250.0,
    "stick": 100.0,
    "crumb": 5.0,
    "spoon": 1500.0,
    "teaspoon": 1500.0,
    "leaf": 0.0,
}
SIZES = {"tiny": 0.25, "small": 0.5, "large": 2.0, "big": 2.0, "heaped": 1.5, "level": 1.0}


def grown(stock: Stock) -> int | None:
    """Grown animals: as counted, or females and males together; None when nobody counted."""
    if stock.adults is not None:
        return stock.adults
    parts = [n for n in (stock.females, stock.males) if n is not None]
    return sum(parts) if parts else None


def biomass_g(stock: Stock, species: Profile) -> float | None:
    """Fresh mass of all shrimp counted, g."""
    adults = grown(stock)
    if adults is None:
        return None
    young = (stock.juveniles or 0) * species.juvenile_mass_mg
    young += (stock.hatchlings or 0) * species.hatchling_mass_mg
    return (adults * species.adult_mass_mg + young) / MG_PER_G


def crowd(case: Case, species: Profile) -> Iterator[Observation]:
    """Animals and grams per litre."""
    stock, volume = case.stock, case.container.volume_l
    adults, mass = grown(stock), biomass_g(stock, species)
    if adults is None or mass is None or not volume:
        return
    worth = adults + GROWN_PER_JUVENILE * (stock.juveniles or 0)
    worth += GROWN_PER_HATCHLING * (stock.hatchlings or 0)
    because = f"{adults} grown and {stock.juveniles or 0} young in {volume:g} L"
    yield Observation("shrimp_per_l", worth / volume, "derived", because)
    yield Observation("biomass_g_per_l", mass / volume, "derived", because)


def piece_mg(amount: Amount) -> float | None:
    """The mass of an amount of food, mg; None for a piece nobody has weighed."""
    if amount.mass_mg is not None:
        return amount.mass_mg
    if amount.of is None:
        return None
    word = amount.of.strip().rsplit(" ", 1)[-1]
    for name in (word, word.removesuffix("s"), word.removesuffix("es")):
        if name in PIECE_MG:
            return PIECE_MG[name] * SIZES.get(amount.size or "", 1.0) * (amount.number or 1.0)
    return None


def ration(case: Case, species: Profile) -> Iterator[Observation]:
    """Food per gram of shrimp and day, how often, and whether it is gone in three hours."""
    feeding = case.stock.feeding
    if feeding is None:
        return
    often = feeding.times_per_week
    if often is not None:
        yield Observation("feeds_per_week", often, "told", "stock, feeding")
    mass = biomass_g(case.stock, species)
    portion = piece_mg(feeding.per_feed) if feeding.per_feed is not None else None
    if often is not None and portion is not None and mass:
        value = portion * often / DAYS_A_WEEK / mass
        because = f"{portion:.0f} mg, {often:g} times a week, for {mass:.2f} g of shrimp"
        yield Observation("ration_mg_per_g_day", value, "derived", because)
    hours = feeding.eaten_within_hours
    if hours is not None:
        word = "absent" if hours <= 3.0 else "present"
        yield Observation("food_left_over", word, "told", f"eaten within {hours:g} h")


#: Kinds of other animals, as people call them, and the observation that tells their state.
OTHERS = {
    "snail": "snails_state",
    "fish": "fish_state",
    "microcrustacean": "microcrustaceans_state",
    "copepod": "microcrustaceans_state",
    "ostracod": "microcrustaceans_state",
    "daphnia": "microcrustaceans_state",
    "water flea": "microcrustaceans_state",
    "seed shrimp": "microcrustaceans_state",
}
STATES = {
    "snails_state": {
        "fine": "fine",
        "climbing_out": "climbing_out",
        "dying": "dead",
        "dead": "dead",
    },
    "fish_state": {"fine": "fine", "gasping": "gasping", "dying": "dead", "dead": "dead"},
    "microcrustaceans_state": {
        "fine": "swarming",
        "swarming": "swarming",
        "gone": "gone",
        "dead": "gone",
    },
}


def company(case: Case) -> Iterator[Observation]:
    """The other animals and how they are, and the species' group and time with the keeper."""
    for animal in case.stock.others:
        kind = animal.kind.lower()
        name = next((name for word, name in OTHERS.items() if word in kind), None)
        if name == "fish_state":
            yield Observation("fish_kept", "present", "told", f"stock: {animal.kind}")
        if name is not None and animal.state is not None and animal.state in STATES[name]:
            word = STATES[name][animal.state]
            yield Observation(name, word, "told", f"stock: {animal.kind} {animal.state}")
    if case.stock.kept_for_days is not None:
        months = case.stock.kept_for_days / DAYS_A_MONTH
        yield Observation("months_kept", months, "told", "stock, kept")


def species_known(case: Case, species: Profile) -> Iterator[Observation]:
    """The group of the species, where the keeper named it."""
    if case.stock.species is not None:
        yield Observation("species_group", species.group, "told", f"stock: {case.stock.species}")
