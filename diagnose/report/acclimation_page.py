"""The way in, as sections of a page."""

from __future__ import annotations

from diagnose.acclimation.plan import AcclimationPlan, Stage
from diagnose.report.pages import PageLine, Section, section
from diagnose.report.wording import Preference, quantity, temperature_step

ML_PER_L = 1000.0
METHODS = {
    "drip": "Drip the container's water into theirs.",
    "drip over two days": "The two waters lie too far apart for one afternoon: take two days.",
    "out of the bag first": "The bag's water is stale: get them out of it first.",
}
NAMES = {
    "temperature_c": "temperature",
    "solids_mg_l": "dissolved solids",
    "gh_dgh": "hardness",
    "kh_dkh": "alkalinity",
    "ph": "pH",
    "tan_mg_l": "ammonia",
}


def acclimation_sections(plan: AcclimationPlan, prefer: Preference) -> tuple[Section, ...]:
    """How to bring them in."""
    return (
        Section(
            "How to bring them in", tuple(_lines(plan, prefer)), f"{_hours(plan.total_h)} in all"
        ),
        section("Stop and let them rest at", plan.stop_signs),
    )


def _lines(plan: AcclimationPlan, prefer: Preference) -> list[PageLine]:
    lines = [PageLine(METHODS[plan.method], below=(*plan.why, *_warmth(plan, prefer)))]
    step = 1

    def add(text: str) -> None:
        nonlocal step
        lines.append(PageLine(text, lead=f"{step}."))
        step += 1

    if plan.stale:
        add(
            "Match the temperature for 15 minutes with the bag shut. Then lift them by cup, "
            "without the bag's water, into an aerated jar of clean water mixed to the bag's "
            "hardness and dissolved solids, and go on from there."
        )
    elif plan.temperature_hours > plan.float_minutes / 60.0 + 1e-9:
        add(
            "Empty the bag into a clean jar with air, and let it come to the container's "
            f"temperature in the room over about {_hours(plan.temperature_hours)}: no more than "
            f"{temperature_step(plan.most_c_in_12_h, prefer)} in twelve hours."
        )
    else:
        add(
            f"Lamp off. Float the shut bag for {plan.float_minutes:.0f} minutes, then empty it "
            "into a clean jar that stands lower than the container."
        )
    for number, stage in enumerate(plan.stages, start=1):
        add(_stage(stage, number, len(plan.stages), prefer))
    add(
        "Lift them over in a cup or a soft net, without the jar's water. Leave the lamp off today "
        "and feed tomorrow."
    )
    add("The bag's water goes down the drain: never into the container, never outdoors.")
    if plan.not_measured:
        names = ", ".join(NAMES[name] for name in plan.not_measured)
        lines.append(PageLine(f"Not measured in the bag: {names}. Measure before you begin."))
    if plan.most_nh3_mg_l is not None:
        lines.append(
            PageLine(
                f"Free ammonia they would meet at the container's pH: up to "
                f"{plan.most_nh3_mg_l:.2g} mg/L."
            )
        )
    return lines


def _warmth(plan: AcclimationPlan, prefer: Preference) -> tuple[str, ...]:
    """The step of temperature, where both were measured."""
    step = dict(plan.gaps).get("temperature_c")
    if step is None:
        return ()
    way = "warmer" if step >= 0 else "colder"
    return (
        f"The container is {temperature_step(round(abs(step), 1), prefer)} {way} than the bag; "
        f"standards allow {temperature_step(plan.most_c_in_12_h, prefer)} in twelve hours.",
    )


def _stage(stage: Stage, number: int, of: int, prefer: Preference) -> str:
    water = stage.water
    then = [
        text
        for value, text in (
            (water.solids_mg_l, f"{water.solids_mg_l or 0:.0f} mg/L dissolved"),
            (water.gh_dgh, f"{water.gh_dgh or 0:.1f} dGH"),
            (water.ph, f"pH {water.ph or 0:.1f}"),
            (water.temperature_c, quantity(round(water.temperature_c or 0.0, 1), "degC", prefer)),
        )
        if value is not None
    ]
    after = f" The jar then holds {', '.join(then)}." if then else ""
    pour = f" Pour {_cups(stage.pour_off_l, prefer)} down the drain." if stage.pour_off_l else ""
    return (
        f"Stage {number} of {of}: drip {_cups(stage.drip_l, prefer)} of the container's water "
        f"into the {_cups(stage.start_l, prefer)}, about {stage.drops_per_second:.1f} drops a "
        f"second, over {_hours(stage.hours)}.{after}{pour}"
    )


def _cups(litres: float, prefer: Preference) -> str:
    return quantity(round(ML_PER_L * litres), "mL", prefer)


def _hours(hours: float) -> str:
    if hours < 1.0:
        return f"{60.0 * hours:.0f} minutes"
    return f"{hours:.1f} hours".replace(".0 ", " ")
