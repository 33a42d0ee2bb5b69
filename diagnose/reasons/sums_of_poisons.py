"""Sums about chlorine, remedies and traces of poison."""

from __future__ import annotations

from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import Bar, Worked, figure, hours, litres, near, percent_of
from diagnose.water import chlorine, mixing

#: Chlorine in ordinary tap water, mg/L (common practice, no source).
TAP_CHLORINE_MG_L = 0.5
SHARES = (0.1, 0.25, 0.5, 0.8)
EXPOSURE_MIN = 120.0
#: A level teaspoon of crystals, mg (from memory).
SPOON_MG = 5000.0
#: Fipronil that killed half of the brown shrimp in four days, ug/L (Al-Badran, Fujiwara and Mora
#: 2019, read as an abstract).
INSECT_POISON_UG_L = 0.12
TAP_STEPS_MG_L = (0.5, 1.0, 2.0, 4.0)
TIMES = (0, 1, 2, 3, 4)
HALF = 0.5
#: A drop from a pipette, mL, and the strength of a household product (for the example).
DROP_ML, STRENGTH_SHARE = 0.05, 0.01
TANK_L = 100.0
#: What an ordinary label counts with, L (common practice, no source).
LABEL_L = 100.0
UG_PER_ML = 1_000_000.0


def chlorine_left(at: Setting) -> Worked:
    """Chlorine right after an untreated change, against a limit for a short stay."""
    left = {
        share: chlorine.untreated_share_chlorine_mg_l(TAP_CHLORINE_MG_L, share)
        for share in near(SHARES, at.change_share)
    }
    limit = chlorine.bc_intermittent_limit_ug_l(EXPOSURE_MIN) / chlorine.UG_PER_MG
    mine = left[at.change_share]
    return Worked(
        "chlorine-left",
        "Tap water put in as it comes",
        (
            f"Tap water with {figure(TAP_CHLORINE_MG_L)} mg/L of chlorine, "
            f"{percent_of(at.change_share)} "
            f"of it put in as it comes, leaves {figure(mine)} mg/L in the container at first.",
            f"That is {figure(mine / limit)} times what water life should meet for "
            f"{hours(EXPOSURE_MIN / 60)} ({figure(limit)} mg/L). Conditioner takes it away at "
            "once.",
        ),
        tuple(
            Bar(
                f"{percent_of(share)} untreated",
                value,
                f"{figure(value)} mg/L",
                share == at.change_share,
            )
            for share, value in left.items()
        ),
        "British Columbia, guideline for short stays, published; tap water: common practice",
    )


def conditioner_need(at: Setting) -> Worked:
    """How little of the working salt a container needs."""
    need = {
        tap: chlorine.thiosulfate_crystals_mg(tap, at.volume_l * at.change_share)
        for tap in TAP_STEPS_MG_L
    }
    first = TAP_STEPS_MG_L[0]
    return Worked(
        "conditioner-need",
        "How little is enough",
        (
            f"To change {percent_of(at.change_share)} of {litres(at.volume_l, at.prefer)}, tap "
            "water "
            f"with {figure(first)} mg/L of chlorine needs {figure(need[first])} mg of the usual "
            "working salt: a few grains.",
            f"A teaspoon holds {figure(round(SPOON_MG / need[first]))} times that. What is over "
            "uses up "
            "oxygen, so measure it and follow the label.",
        ),
        tuple(
            Bar(f"chlorine {figure(tap)} mg/L", mg, f"{figure(mg)} mg") for tap, mg in need.items()
        ),
        "by atomic weights, for sodium thiosulfate crystals",
    )


def thin_a_poison(at: Setting) -> Worked:
    """What half changes leave of something dissolved."""
    left = {n: mixing.after_changes(1.0, 0.0, HALF, n) for n in TIMES}
    last = TIMES[-1]
    mine = mixing.changes_for_target(1.0, 0.0, at.change_share, left[last])
    return Worked(
        "thin-a-poison",
        "Thinned, not gone",
        (
            f"Each half change leaves half of what is dissolved. After {figure(last)} of them "
            f"{percent_of(left[last])} is still there.",
            f"With {percent_of(at.change_share)} a time it takes {figure(mine)} changes to get as "
            f"far, {litres(mine * at.change_share * at.volume_l, at.prefer)} of water in all. "
            "Moving "
            "the animals to clean, matched water ends it at once.",
        ),
        tuple(
            Bar("at the start" if n == 0 else f"change {figure(n)}", v, percent_of(v))
            for n, v in left.items()
        ),
        "mass balance",
    )


def one_drop(at: Setting) -> Worked:
    """What one drop of a weak product comes to, by the litres it falls into."""
    poison_ug = DROP_ML * STRENGTH_SHARE * UG_PER_ML
    strength = {
        volume: mixing.mix((mixing.Portion(volume, poison_ug / volume),))
        for volume in near((2.0, 20.0, TANK_L), at.volume_l)
    }
    mine = strength[at.volume_l]
    return Worked(
        "one-drop",
        "One drop in little water",
        (
            f"A drop of something that holds {percent_of(STRENGTH_SHARE)} poison puts "
            f"{figure(mine)} millionths of a gram into each litre of "
            f"{litres(at.volume_l, at.prefer)}. In "
            f"{litres(TANK_L, at.prefer)} it would be {figure(strength[TANK_L])}.",
            f"Poisons made against insects can kill shrimp at {figure(INSECT_POISON_UG_L)} "
            "millionths, "
            "so a mist that nobody sees is enough.",
        ),
        tuple(
            Bar(litres(volume, at.prefer), value, f"{figure(value)} ug/L", volume == at.volume_l)
            for volume, value in strength.items()
        ),
        "mass balance; fipronil: Al-Badran and others 2019 (read as abstract)",
    )


def label_dose(at: Setting) -> Worked:
    """A dose made for a large tank, put into a small container."""
    times = {volume: LABEL_L / volume for volume in near((10.0, 50.0, LABEL_L), at.volume_l)}
    mine = times[at.volume_l]
    return Worked(
        "label-dose",
        "A dose made for more water",
        (
            f"A capful meant for {litres(LABEL_L, at.prefer)} is {figure(mine)} times too strong "
            "in "
            f"{litres(at.volume_l, at.prefer)}.",
            f"The right part of it is {percent_of(1 / mine)}. Thin the capful in a jug first, and "
            "measure from that. Many remedies should not meet shrimp at any strength.",
        ),
        tuple(
            Bar(litres(volume, at.prefer), value, f"{figure(value)} times", volume == at.volume_l)
            for volume, value in times.items()
        ),
        "mass balance; what labels count with: common practice, no source",
    )
