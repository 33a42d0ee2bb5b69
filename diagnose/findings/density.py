"""How many shrimp share the water, what they weigh and what they are fed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

from diagnose.findings.observation import Observation, observed
from diagnose.findings.portions import portion
from diagnose.findings.timeline import (
    FORTNIGHT_H,
    HOURS_PER_DAY,
    Timeline,
    distinct_events,
)
from diagnose.intake.rough import image, sum_of_counts

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Stock

MG_PER_G = 1000.0
DAYS_PER_WEEK = 7.0
#: Feeds needed in the log, and days between the first and the last, before they show a habit.
FEEDS_NEEDED, FEEDING_DAYS_NEEDED = 3, 3.0


class SpeciesProfile(Protocol):
    """What is needed of a species: its comfortable ranges (low, high) and the mass of its stages
    in mg.
    """

    @property
    def group(self) -> str: ...
    @property
    def kinds(self) -> tuple[str, ...]: ...
    @property
    def comfortable(self) -> Mapping[str, tuple[float, float]]: ...
    @property
    def adult_mass_mg(self) -> float: ...
    @property
    def juvenile_mass_mg(self) -> float: ...
    @property
    def hatchling_mass_mg(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Colony:
    """Mass of all shrimp in g. least_g: if counted without sizes, were they all half-grown.
    rough_g: the mass with the interval of a count that was told no closer.
    """

    mass_g: float
    least_g: float
    because: str
    rough_g: float | None = None

    @property
    def counted(self) -> bool:
        """Whether the stages were told, so that the mass is no estimate."""
        return self.mass_g == self.least_g


def adults_told(case: Case) -> int | None:
    """Grown shrimp before the losses began; None if nobody counted them."""
    stock = case.stock
    if stock.adults is not None:
        return stock.adults
    if stock.females is None and stock.males is None:
        return None
    return sum_of_counts(stock.females, stock.males)


def animals_told(case: Case) -> int | None:
    """All shrimp before the losses began; None if nobody counted the grown ones."""
    if case.deaths is not None and case.deaths.of is not None:
        return case.deaths.of
    adults = adults_told(case)
    if adults is None:
        return None
    return sum_of_counts(adults, case.stock.juveniles, case.stock.hatchlings)


def too_little_to_model(case: Case) -> str | None:
    """Why the container model cannot run on a case at all; None where it can be tried."""
    if not case.container.volume_l:
        return "The container model needs the volume of the water: `volume: 6 L`."
    if animals_told(case) is None:
        return "The container model needs the number of shrimp: `stock: {adults: 9}`."
    return None


def colony(case: Case, species: SpeciesProfile) -> Colony | None:
    """The mass of the shrimp before the losses began, by stage.

    If only a number of animals is told, they are taken as grown, at least as half-grown.
    """
    adults, stock = adults_told(case), case.stock
    if adults is not None:

        def together(grown: float, young: float, hatched: float) -> float:
            return (
                grown * species.adult_mass_mg
                + young * species.juvenile_mass_mg
                + hatched * species.hatchling_mass_mg
            ) / MG_PER_G

        counts = adults, stock.juveniles or 0, stock.hatchlings or 0
        grams, told = together(*map(int, counts)), image(together, *counts)
        return Colony(grams, grams, "shrimp counted before the losses", told)
    animals = animals_told(case)
    if animals is None:
        return _half_grown_alone(stock, species)
    least = animals * min(species.juvenile_mass_mg, species.adult_mass_mg) / MG_PER_G
    grams = animals * species.adult_mass_mg / MG_PER_G
    told = image(lambda number: number * species.adult_mass_mg / MG_PER_G, animals)
    return Colony(grams, least, f"{animals} shrimp, taken as grown", told)


def _half_grown_alone(stock: Stock, species: SpeciesProfile) -> Colony | None:
    """Half-grown ones that were counted without a word of any that bred them: so they are sold, and
    so they are told. They are taken for all there are.
    """
    if not stock.juveniles or stock.berried is not None or stock.hatchlings is not None:
        return None
    grams = int(stock.juveniles) * species.juvenile_mass_mg / MG_PER_G
    told = image(lambda number: number * species.juvenile_mass_mg / MG_PER_G, stock.juveniles)
    return Colony(grams, grams, "half-grown shrimp counted, no grown ones told", told)


def stocking_observations(
    case: Case, timeline: Timeline, species: SpeciesProfile
) -> list[Observation]:
    """Shrimp per litre (young ones count by their mass), grams per litre, feeds and ration."""
    found: list[Observation] = []
    if case.stock.species is not None:
        because, statement = "told of the stock", "stock.species"
        found.append(
            Observation("species_group", species.group, "told", because, statement=statement)
        )
    if len(species.kinds) > 1:
        because, statement = "told of the stock", "stock.species"
        found.append(Observation("two_kinds", "present", "told", because, statement=statement))
    herd = colony(case, species)
    if herd is not None:
        found += [replace(item, statement="stock") for item in _density(case, herd, species)]
    feeding = [*_feeds(case, timeline)]
    if herd is not None and herd.mass_g > 0.0:
        feeding += _ration(case, timeline, herd)
    told = "stock.feeding" if case.stock.feeding is not None else "events"
    return found + [replace(item, statement=told) for item in feeding]


def _density(case: Case, herd: Colony, species: SpeciesProfile) -> Iterator[Observation]:
    litres = case.container.volume_l
    if not litres:
        return
    because = f"{herd.because}, in {litres:.3g} L"
    per_gram = MG_PER_G / species.adult_mass_mg
    for name, each in (("shrimp_per_l", per_gram), ("biomass_g_per_l", 1.0)):
        factor = each / litres
        value = herd.mass_g * factor
        if herd.counted:
            told = _a_litre(herd.mass_g if herd.rough_g is None else herd.rough_g, litres, each)
            yield observed(name, told, "derived", because)
        else:
            band = (herd.least_g * factor, value, value)
            yield Observation(name, value, "estimated", because, band)


def _a_litre(grams: float, litres: float, each: float) -> float:
    """So many a litre, with the intervals of both."""
    return image(lambda mass, volume: mass * each / volume, grams, litres)


def _feeds(case: Case, timeline: Timeline) -> Iterator[Observation]:
    feeding = case.stock.feeding
    if feeding is not None and feeding.times_per_week is not None:
        because = "told of the feeding"
        yield observed("feeds_per_week", feeding.times_per_week, "told", because)
        return
    logged = _logged_feeds(case, timeline)
    if logged is not None:
        times, days, _ = logged
        per_week = times * DAYS_PER_WEEK / days
        yield Observation("feeds_per_week", per_week, "derived", f"log: {times + 1} feeds")


def _logged_feeds(
    case: Case, timeline: Timeline
) -> tuple[int, float, tuple[float, float, float, bool] | None] | None:
    """Feeds after the first one in the log of the last weeks, the days they cover, and what they
    weigh together (least, usual, most, weighed) if all of them were told.
    """
    since = FORTNIGHT_H
    if timeline.first_death is not None:
        since += max(0.0, timeline.hours_ago(timeline.first_death) or 0.0)
    feeds = sorted(
        (
            (hours, event.amount)
            for event in distinct_events(case)
            if event.what == "feed"
            and event.at is not None
            and (hours := timeline.hours_ago(event.at)) is not None
            and hours <= since
        ),
        key=lambda feed: (feed[0], repr(feed[1])),
    )
    if len(feeds) < FEEDS_NEEDED:
        return None
    days = (feeds[-1][0] - feeds[0][0]) / HOURS_PER_DAY
    if days < FEEDING_DAYS_NEEDED:
        return None
    # The oldest feed opens the span and is eaten in it; the newest one is yet to be.
    portions = [portion(amount) for _, amount in feeds[1:]]
    told = [p for p in portions if p is not None]
    if len(told) < len(portions):
        return len(portions), days, None
    low, mid, high = (sum(getattr(p, name) for p in told) for name in ("low_mg", "mg", "high_mg"))
    return len(portions), days, (low, mid, high, all(p.weighed for p in told))


def _ration(case: Case, timeline: Timeline, herd: Colony) -> Iterator[Observation]:
    feeding = case.stock.feeding
    name = "ration_mg_per_g_day"
    if feeding is not None and feeding.times_per_week == 0.0:
        yield Observation(name, 0.0, "derived", "nothing is fed")
        return
    each = portion(feeding.per_feed) if feeding is not None else None
    if feeding is not None and each is not None and feeding.times_per_week is not None:
        a_day = feeding.times_per_week / DAYS_PER_WEEK
        low, mid, high = (mg * a_day for mg in (each.low_mg, each.mg, each.high_mg))
        weighed = each.weighed
        because = f"{feeding.per_feed.text if feeding.per_feed else ''}, {a_day:.3g} times a day"
    else:
        logged = _logged_feeds(case, timeline)
        if logged is None or logged[2] is None:
            return
        days, (low, mid, high, weighed) = logged[1], logged[2]
        low, mid, high = low / days, mid / days, high / days
        because = "log: what was fed"
    because = f"{because}; {herd.mass_g:.2g} g of shrimp"
    value = mid / herd.mass_g
    if weighed and herd.counted:
        yield Observation(name, value, "derived", because)
    else:
        band = (low / herd.mass_g, value, high / herd.least_g)
        yield Observation(name, value, "estimated", because, band)
