"""The arithmetic of waters, as pages."""

from __future__ import annotations

from diagnose.mix.recipes import Blend, ChangeSize, FreeAmmonia, Minerals, Thinning
from diagnose.report.pages import Page, Section, section
from diagnose.report.wording import Preference, number, quantity, temperature_step
from diagnose.rulebook.rates import Rates

SAFE = (
    "Dissolve salts in a cup first and wear gloves with acids, lyes and dusty salts; keep them "
    "from children.",
)


def slowly(pace: Rates) -> str:
    """How fast minerals may move where animals live, by the one table of rates."""
    return (
        f"Where animals live, move hardness by no more than {pace.gh_dgh_a_day:g} dGH, and "
        f"dissolved solids by no more than {pace.solids_percent_a_day:g} %, a day."
    )


def _litres(litres: float, prefer: Preference) -> str:
    return quantity(litres, "L", prefer) if prefer == "us" else f"{litres:.2f} L"


def _of(value: float, unit: str, prefer: Preference) -> str:
    """A value in the unit that its kind is read in; degrees of warmth as the keeper prefers."""
    return quantity(value, {"C": "degC"}.get(unit, unit), prefer)


def blend_page(
    found: Blend, first: float, second: float, unit: str, pace: Rates, prefer: Preference
) -> Page:
    """Two waters poured together."""
    return Page(
        title="Two waters",
        first=(
            f"{_litres(found.first_l, prefer)} of the first ({_of(first, unit, prefer)}) and "
            f"{_litres(found.second_l, prefer)} of the second ({_of(second, unit, prefer)}) give "
            f"{_of(found.value, unit, prefer)}.",
        ),
        sections=(section("Take care", (slowly(pace),)),),
    )


def change_page(
    found: ChangeSize, target: float, unit: str, pace: Rates, prefer: Preference
) -> Page:
    """The size of a change, or how many."""
    litres = f" ({_litres(found.litres, prefer)})" if found.litres is not None else ""
    once = "One change" if found.changes == 1 else f"{found.changes} changes"
    each = "" if found.changes == 1 else " each"
    return Page(
        title="Water change",
        first=(
            f"{once} of {100 * found.share:.0f} %{litres}{each}: "
            f"{_of(found.value, unit, prefer)} (wanted: {_of(target, unit, prefer)}).",
        ),
        sections=(
            section(
                "Take care",
                (
                    slowly(pace),
                    f"Match the temperature within "
                    f"{temperature_step(pace.new_water_within_c, prefer)} and treat tap water.",
                ),
            ),
        ),
    )


def spill_page(found: Thinning) -> Page:
    """What a spill leaves."""
    share = f"{100 * found.share:.0f} %"
    after = (
        "It is below the limit already."
        if found.changes == 0
        else f"{found.changes} changes of {share} leave {number(found.left_mg_l)} mg/L."
    )
    return Page(
        title="After a spill",
        first=(f"It makes {number(found.spilt_mg_l)} mg/L. {after}",),
        sections=(
            section(
                "Take care",
                (
                    "What gravel, plants and animals took up comes back out: test again a day "
                    "later.",
                    "Move the animals to clean matched water first if the stuff is poisonous.",
                    "Water with chemicals in it goes where local rules say, never outdoors.",
                ),
            ),
        ),
    )


def minerals_page(found: Minerals, volume_l: float, pace: Rates, prefer: Preference) -> Page:
    """Salts for a step of hardness."""
    lines = [
        f"Mixed, three parts calcium to one of magnesium: {found.mixed_gypsum_g:.2f} g of gypsum "
        f"and {found.mixed_epsom_salt_g:.2f} g of Epsom salt.",
        f"Gypsum alone: {found.gypsum_g:.2f} g. Calcium chloride dihydrate alone: "
        f"{found.calcium_chloride_g:.2f} g. Epsom salt alone: {found.epsom_salt_g:.2f} g.",
        "They bring no carbonate: pH and alkalinity stay as they are.",
    ]
    first = f"{number(found.rise_dgh)} dGH more in {quantity(volume_l, 'L', prefer)}."
    if found.by_label_g is not None:
        first += f" By the label: {found.by_label_g:.2f} g."
    return Page(
        title="Minerals",
        first=(first,),
        sections=(
            section("By stoichiometry", tuple(lines)),
            section("Take care", (slowly(pace), *SAFE)),
        ),
    )


def ammonia_page(total_mg_l: float, found: tuple[FreeAmmonia, ...], prefer: Preference) -> Page:
    """Free ammonia at one pH or two."""
    lines = tuple(
        f"At pH {item.ph:g} and {quantity(item.temperature_c, 'degC', prefer)} "
        f"{100 * item.free_share:.2g} % of it is free: {item.free_nh3_mg_l:.2g} mg/L as NH3 "
        f"({item.free_n_mg_l:.2g} as N)."
        for item in found
    )
    notes = ["The standard for holding test animals is at most 0.020 mg/L free."]
    if len(found) > 1 and found[0].free_n_mg_l > 0.0:
        times = found[1].free_n_mg_l / found[0].free_n_mg_l
        notes.append(f"The second is {times:.2g} times the first.")
    return Page(
        title="Free ammonia",
        first=(f"Total ammonia {number(total_mg_l)} mg/L as N.",),
        sections=(
            Section("Free part", section("", lines).lines),
            section("Take care", (*notes, "Never raise the pH of water that holds ammonia.")),
        ),
    )
