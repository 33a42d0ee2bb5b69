"""Sums about hardness, alkalinity, pH and metals."""

from __future__ import annotations

from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import Bar, Worked, figure, litres, near, percent_of
from diagnose.water import carbonate, copper, hardness, mixing

#: Lost to the air in a week, over the water in the container (common practice, no source).
EVAPORATED_A_WEEK = 0.08
WEEKS = (0, 4, 8, 12, 24)
SHARES = (0.1, 0.25, 0.5, 0.8)
#: Tap or rain water much softer than the container, as a share of its hardness (for the example).
SOFTER_SHARE = 0.25
#: A step of dissolved minerals that animals bear in a day (common practice, no source).
SAFE_STEP_SHARE = 0.1
GH_STEPS = (1.0, 3.0, 6.0, 10.0, 16.0)
#: Of the hardness, the part that is calcium; the rest is magnesium (from memory: three parts of
#: four in most tap water).
CALCIUM_SHARE = 0.75
KH_STEPS = (0.5, 1.0, 2.0, 4.0, 8.0)
MG_CACO3_STEPS = (25.0, 50.0, 100.0, 200.0, 300.0)
#: Free carbon dioxide against that of water at rest with the air: at the end of a night, and at the
#: end of a bright day among many plants (from memory).
AFTER_NIGHT, AFTER_LIGHT = 8.0, 0.15
HOURS_SHOWN = (("dawn", AFTER_NIGHT), ("noon", 1.0), ("evening", AFTER_LIGHT))


def top_ups(at: Setting) -> Worked:
    """Hardness after weeks of topping up with water as hard as the container's."""
    levels = {w: mixing.after_top_ups(at.gh_dgh, at.gh_dgh, EVAPORATED_A_WEEK, w) for w in WEEKS}
    last = WEEKS[-1]
    pure = mixing.after_top_ups(at.gh_dgh, 0.0, EVAPORATED_A_WEEK, last)
    routine = mixing.settled_by_routine(at.gh_dgh, at.change_share, at.gh_dgh, EVAPORATED_A_WEEK)
    return Worked(
        "top-ups",
        "Minerals stay when water leaves",
        (
            f"If {percent_of(EVAPORATED_A_WEEK)} dries up a week and tap water of "
            f"{figure(at.gh_dgh)} degrees replaces it, {figure(last)} weeks make it "
            f"{figure(levels[last])}. With distilled water it stays at {figure(pure)}.",
            f"With {percent_of(at.change_share)} changed each week as well it settles at "
            f"{figure(routine)}. Top-ups alone never stop climbing.",
        ),
        tuple(Bar(f"week {figure(w)}", v, f"{figure(v)} dGH") for w, v in levels.items()),
        "mass balance; drying by the week: common practice, no source",
    )


def change_steps(at: Setting) -> Worked:
    """How large a step of minerals a change to softer water is."""
    softer = at.gh_dgh * SOFTER_SHARE
    steps = {
        share: 1 - mixing.after_change(at.gh_dgh, softer, share) / at.gh_dgh
        for share in near(SHARES, at.change_share)
    }
    safe = mixing.share_for_target(at.gh_dgh, softer, at.gh_dgh * (1 - SAFE_STEP_SHARE))
    return Worked(
        "change-steps",
        "How large a step is",
        (
            f"The container stands at {figure(at.gh_dgh)} degrees of hardness, the new water at "
            f"{figure(softer)}. With {percent_of(at.change_share)} changed at once the animals "
            "lose "
            f"{percent_of(steps[at.change_share])} of the minerals around them.",
            f"A step of {percent_of(SAFE_STEP_SHARE)} a day is borne well. Here that is a change "
            "of "
            f"{percent_of(safe)}, or {litres(safe * at.volume_l, at.prefer)} a day.",
        ),
        tuple(
            Bar(
                f"{percent_of(share)} changed",
                value,
                f"{percent_of(value)} fewer",
                share == at.change_share,
            )
            for share, value in steps.items()
        ),
        "mass balance; the step that is safe: common practice, no source",
    )


def lime_for_a_shell(at: Setting) -> Worked:
    """Calcium in the water by hardness: what a new shell is hardened with."""
    lime = {gh: hardness.calcium_mg_l(gh, CALCIUM_SHARE) for gh in near(GH_STEPS, at.gh_dgh)}
    low, high = at.species.comfortable["gh_dgh"]
    least = hardness.calcium_mg_l(low, CALCIUM_SHARE)
    return Worked(
        "lime-for-a-shell",
        "Lime for a new shell",
        (
            f"A new shell hardens with calcium from the water. {figure(at.gh_dgh)} degrees of "
            f"hardness are about {figure(lime[at.gh_dgh])} mg/L of calcium, if "
            f"{percent_of(CALCIUM_SHARE)} of the hardness is calcium.",
            f"This kind does well from {figure(low)} to {figure(high)} degrees, so from about "
            f"{figure(least)} mg/L. In softened water there is next to none, whatever a meter for "
            "dissolved solids shows.",
        ),
        tuple(
            Bar(f"{figure(gh)} dGH", value, f"{figure(value)} mg/L", gh == at.gh_dgh)
            for gh, value in lime.items()
        ),
        "by atomic weights; range of the species: see its profile in the rulebook",
    )


def ph_day(at: Setting) -> Worked:
    """The pH of one day among many plants, and what more alkalinity changes."""
    rest = carbonate.co2_air_equilibrium_mg_l(at.temperature_c)
    by_hour = {
        name: carbonate.ph_at_co2(at.kh_dkh, rest * times, at.temperature_c)
        for name, times in HOURS_SHOWN
    }
    swing = by_hour["evening"] - by_hour["dawn"]
    return Worked(
        "ph-day",
        "One day of pH among many plants",
        (
            f"At night all that lives breathes out carbon dioxide: {figure(AFTER_NIGHT)} times "
            "what "
            f"air alone leaves. With {figure(at.kh_dkh)} degrees of alkalinity pH is then "
            f"{figure(by_hour['dawn'])}.",
            f"By evening plants have used nearly all of it, and pH stands at "
            f"{figure(by_hour['evening'])}. That is a swing of {figure(swing)} in half a day.",
        ),
        tuple(Bar(name, value, f"pH {figure(value)}") for name, value in by_hour.items()),
        "Plummer and Busenberg 1982 (as found in public codes); how the gas swings: from memory",
    )


def buffer_spent(at: Setting) -> Worked:
    """What pH is left as the alkalinity is used up, at the gas of a night."""
    gas = carbonate.co2_air_equilibrium_mg_l(at.temperature_c) * AFTER_NIGHT
    by_kh = {kh: carbonate.ph_at_co2(kh, gas, at.temperature_c) for kh in near(KH_STEPS, at.kh_dkh)}
    lost = by_kh[at.kh_dkh] - by_kh[min(by_kh)]
    return Worked(
        "buffer-spent",
        "The buffer runs out",
        (
            f"At {figure(at.kh_dkh)} degrees of alkalinity a night's carbon dioxide gives pH "
            f"{figure(by_kh[at.kh_dkh])}. Each halving of what is left costs the same step, so the "
            "fall seems slow at first.",
            f"At {figure(min(by_kh))} degrees pH is {figure(lost)} lower. Below that nothing holds "
            "it any more, and the next week of waste brings it down.",
        ),
        tuple(
            Bar(f"{figure(kh)} dKH", value, f"pH {figure(value)}", kh == at.kh_dkh)
            for kh, value in by_kh.items()
        ),
        "Plummer and Busenberg 1982 (as found in public codes); night's gas: from memory",
    )


def copper_and_hardness(at: Setting) -> Worked:
    """How much copper water life bears, by hardness, against what people may drink."""
    mine = hardness.convert(at.gh_dgh, "dGH", "mg/L CaCO3")
    mine = min(copper.HIGHEST_HARDNESS_MG_L, max(copper.LOWEST_HARDNESS_MG_L, mine))
    limits = {h: copper.epa_acute_ug_l(h) for h in near(MG_CACO3_STEPS, mine)}
    times = copper.WHO_TAP_UG_L / limits[mine]
    return Worked(
        "copper-and-hardness",
        "Fit to drink is not fit to live in",
        (
            f"At {figure(at.gh_dgh)} degrees of hardness a short stay in more than "
            f"{figure(limits[mine])} millionths of a gram of copper a litre harms water life. "
            "Shrimp are among the first.",
            f"Drinking water may hold {figure(times)} times as much. The softer the water, the "
            "less "
            "copper it takes, and most kits cannot see so little.",
        ),
        tuple(
            Bar(
                f"{figure(hardness.convert(h, 'mg/L CaCO3', 'dGH'))} dGH",
                value,
                f"{figure(value)} ug/L",
                h == mine,
            )
            for h, value in limits.items()
        ),
        "US EPA, acute criterion by hardness; WHO, drinking water; both published",
    )
