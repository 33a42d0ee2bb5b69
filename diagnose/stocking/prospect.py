"""What adding animals would make of a container, in the rulebook's vocabulary."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.findings.density import MG_PER_G, animals_told, colony
from diagnose.findings.observation import Observation
from diagnose.intake.case import Case
from diagnose.rulebook.terms import Rulebook, Species
from diagnose.stocking.account import Account
from diagnose.stocking.ahead import ahead
from diagnose.stocking.company import company, residents, shrimp_company
from diagnose.stocking.room import carries_g_per_l, share_at_age

Known = Mapping[str, Observation]
#: Shares beyond these say no more than "far too many".
HIGHEST_PERCENT = 1e6


@dataclass(frozen=True, slots=True)
class Newcomers:
    """The animals to come. `named`: the kind as it was told; None where nobody said."""

    species: Species
    named: str | None
    adults: int
    juveniles: int = 0

    @property
    def mass_g(self) -> float:
        """Their fresh mass, g."""
        grown = self.adults * self.species.adult_mass_mg
        return (grown + self.juveniles * self.species.juvenile_mass_mg) / MG_PER_G


@dataclass(frozen=True, slots=True)
class Site:
    """A container before anybody is added: what is known, what lives there, what it carries.

    stock_g is None where nobody counted; carries_g (once mature) where the volume is unknown.
    carries_now_g: today, by the account of the container; None: by the age of its film alone.
    """

    known: Known
    stock_g: float | None
    carries_g: float | None
    carries_now_g: float | None = None


def site(
    case: Case,
    observations: Known,
    rulebook: Rulebook,
    newcomers: Newcomers,
    account: Account | None = None,
    *,
    now: datetime,
) -> Site:
    """What does not change with the number added: ranges, company, age, capacity, what is ahead.

    account: of the container; None takes the trade's measure alone. now: the time of asking where
    the case tells none.
    """
    there = residents(case, rulebook)
    kind = there[0][1] if there else newcomers.species
    # Before the losses there were more: that is the number the water had to carry.
    herd = colony(case, kind)
    stock_g = herd.mass_g if herd is not None else None
    known = dict(observations)
    found = [
        *_company(case, rulebook, newcomers),
        *_age(case, observations, rulebook),
        *_distances(observations, newcomers.species),
        *ahead(case, observations, rulebook, newcomers.species, now),
    ]
    dawn = observations.get("oxygen_dawn_mg_l")
    measured = "present" if dawn is not None and dawn.origin != "estimated" else "absent"
    found.append(Observation("dawn_oxygen_measured", measured, "derived", "the readings"))
    if animals_told(case) == 0:
        found.append(Observation("no_residents", "present", "told", "no shrimp live there"))
    if case.container.volume_l:
        least = rulebook.numbers[f"smallest_volume_l_{newcomers.species.group}"].value
        percent = min(HIGHEST_PERCENT, 100.0 * case.container.volume_l / least)
        because = f"{case.container.volume_l:g} L; {least:g} L is the least for this kind"
        found.append(Observation("volume_of_least_percent", percent, "derived", because))
    known.update({item.name: item for item in found})
    if account is None:
        return Site(known, stock_g, carries_g(case, rulebook))
    each_g = newcomers.species.adult_mass_mg / MG_PER_G
    return Site(known, stock_g, account.mature * each_g, account.middle * each_g)


def with_newcomers(place: Site, newcomers: Newcomers, rulebook: Rulebook) -> dict[str, Observation]:
    """All observations there would be with these animals added."""
    known = dict(place.known)
    if place.stock_g is None or not place.carries_g:
        return known
    mass_g = place.stock_g + newcomers.mass_g
    litres = known.get("volume_l")
    if litres is not None and isinstance(litres.value, float) and litres.value > 0.0:
        per_l = mass_g * MG_PER_G / newcomers.species.adult_mass_mg / litres.value
        because = f"{mass_g:.2g} g of shrimp afterwards, in {litres.value:.3g} L"
        found = Observation("adults_per_l_after", min(per_l, 1000.0), "derived", because)
        known["adults_per_l_after"] = found
    percent = 100.0 * mass_g / place.carries_g
    because = f"{mass_g:.2g} g of shrimp afterwards; {place.carries_g:.2g} g is what it carries"
    known["stock_of_capacity_percent"] = _percent("stock_of_capacity_percent", percent, because)
    age = known.get("film_age_days")
    if age is not None and isinstance(age.value, float):
        share = share_at_age(age.value, rulebook.numbers)
        now = percent / share if share > 0.0 else (HIGHEST_PERCENT if mass_g > 0.0 else 0.0)
        if place.carries_now_g is not None:
            now = max(now, 100.0 * mass_g / max(place.carries_now_g, 1e-9))
        because = f"{because} once mature, {100 * share:.0f} % of it at this age"
        name = "stock_of_present_capacity_percent"
        known[name] = _percent(name, now, because)
    return known


def _percent(name: str, value: float, because: str) -> Observation:
    return Observation(name, min(value, HIGHEST_PERCENT), "derived", because)


def carries_g(case: Case, rulebook: Rulebook) -> float | None:
    """Grams of shrimp the container carries once mature; None where its volume is unknown."""
    box = case.container
    if not box.volume_l:
        return None
    moved = box.filter == "running" or box.surface_moved is True
    return box.volume_l * carries_g_per_l(box.planting, moved_water=moved, numbers=rulebook.numbers)


def _company(case: Case, rulebook: Rulebook, newcomers: Newcomers) -> Iterator[Observation]:
    others = company(case, rulebook)
    if others is not None:
        yield Observation("company", others, "derived", "from the animals told of")
    there = residents(case, rulebook)
    if there or animals_told(case) == 0:
        fit = shrimp_company(there, newcomers.named, newcomers.species)
        because = ", ".join(called or kind.title for called, kind in there) or "no shrimp there"
        yield Observation("shrimp_company", fit, "derived", because)


def _age(case: Case, known: Known, rulebook: Rulebook) -> Iterator[Observation]:
    if case.container.age_days is None:
        return
    days, because = case.container.age_days, f"set up {case.container.age_days:g} days ago"
    settled = known.get("settled_material")
    if settled is not None and settled.value == "present":
        gained = rulebook.numbers["settled_material_days"].value
        days, because = days + gained, f"{because}, with material worth {gained:g} days"
    yield Observation("film_age_days", days, "derived", because)


#: (reading, name when below the range, name when above it)
_RANGES = (
    ("gh_dgh", "newcomer_too_soft_dgh", "newcomer_too_hard_dgh"),
    ("kh_dkh", None, "newcomer_too_alkaline_dkh"),
    ("ph", "newcomer_ph_below", "newcomer_ph_above"),
)


def _distances(known: Known, species: Species) -> Iterator[Observation]:
    """How far the water lies outside what the newcomers are comfortable in; 0 inside."""
    for reading, below, above in _RANGES:
        found = known.get(reading)
        if found is None or not isinstance(found.value, float):
            continue
        low, high = species.comfortable[reading]
        because = f"{found.because}; they are comfortable from {low:g} to {high:g}"
        if below is not None:
            yield Observation(below, max(0.0, low - found.value), found.origin, because)
        yield Observation(above, max(0.0, found.value - high), found.origin, because)
    yield from _solids(known, species)
    yield from _warmth(known, species)


def _solids(known: Known, species: Species) -> Iterator[Observation]:
    found = known.get("solids_mg_l")
    if found is None or not isinstance(found.value, float):
        return
    low, high = species.comfortable["solids_mg_l"]
    because = f"{found.because}; they are comfortable from {low:g} to {high:g} mg/L"
    short = 100.0 * max(0.0, 1.0 - found.value / low)
    over = 100.0 * max(0.0, found.value / high - 1.0)
    yield Observation("newcomer_solids_below_percent", short, found.origin, because)
    yield Observation("newcomer_solids_above_percent", over, found.origin, because)


def _warmth(known: Known, species: Species) -> Iterator[Observation]:
    low, high = species.comfortable["temperature_c"]
    read = {
        name: item
        for name in ("temperature_c", "temperature_max_c", "temperature_min_c")
        if (item := known.get(name)) is not None and isinstance(item.value, float)
    }
    if not read:
        return
    warmest = max(read.values(), key=lambda item: (item.value, item.name))
    coldest = min(read.values(), key=lambda item: (item.value, item.name))
    range_ = f"they are comfortable from {low:g} to {high:g} C"
    for name, item, by in (
        ("newcomer_heat_c", warmest, float(warmest.value) - high),
        ("newcomer_cold_c", coldest, low - float(coldest.value)),
    ):
        yield Observation(name, max(0.0, by), item.origin, f"{item.because}; {range_}")
