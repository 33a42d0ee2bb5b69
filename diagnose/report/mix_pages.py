"""The arithmetic of waters, as pages."""

from __future__ import annotations

from diagnose.mix.recipes import Blend, ChangeSize, FreeAmmonia, Minerals, Thinning
from diagnose.report.pages import Page, Section, section
from diagnose.report.wording import number
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


def blend_page(found: Blend, first: float, second: float, unit: str, pace: Rates) -> Page:
    """Two waters poured together."""
    return Page(
        title="Two waters",
        first=(
            f"{found.first_l:.2f} L of the first ({number(first)} {unit}) and "
            f"{found.second_l:.2f} L of the second ({number(second)} {unit}) give "
            f"{number(found.value)} {unit}.",
        ),
        sections=(section("Take care", (slowly(pace),)),),
    )


def change_page(found: ChangeSize, target: float, unit: str, pace: Rates) -> Page:
    """The size of a change, or how many."""
    litres = f" ({found.litres:.2f} L)" if found.litres is not None else ""
    once = "One change" if found.changes == 1 else f"{found.changes} changes"
    each = "" if found.changes == 1 else " each"
    return Page(
        title="Water change",
        first=(
            f"{once} of {100 * found.share:.0f} %{litres}{each}: "
            f"{number(found.value)} {unit} (wanted: {number(target)} {unit}).",
        ),
        sections=(
            section(
                "Take care",
                (
                    slowly(pace),
                    f"Match the temperature within {pace.new_water_within_c:g} C and treat tap "
                    "water.",
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


def minerals_page(found: Minerals, volume_l: float, pace: Rates) -> Page:
    """Salts for a step of hardness."""
    lines = [
        f"Mixed, three parts calcium to one of magnesium: {found.mixed_gypsum_g:.2f} g of gypsum "
        f"and {found.mixed_epsom_salt_g:.2f} g of Epsom salt.",
        f"Gypsum alone: {found.gypsum_g:.2f} g. Calcium chloride dihydrate alone: "
        f"{found.calcium_chloride_g:.2f} g. Epsom salt alone: {found.epsom_salt_g:.2f} g.",
        "They bring no carbonate: pH and alkalinity stay as they are.",
    ]
    first = f"{number(found.rise_dgh)} dGH more in {number(volume_l)} L."
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


def ammonia_page(total_mg_l: float, found: tuple[FreeAmmonia, ...]) -> Page:
    """Free ammonia at one pH or two."""
    lines = tuple(
        f"At pH {item.ph:g} and {item.temperature_c:g} C {100 * item.free_share:.2g} % of it is "
        f"free: {item.free_nh3_mg_l:.2g} mg/L as NH3 ({item.free_n_mg_l:.2g} as N)."
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
