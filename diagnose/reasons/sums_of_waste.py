"""Sums about food, waste, ammonia, nitrite and nitrate."""

from __future__ import annotations

from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import Bar, Worked, count, figure, litres, near, percent_of, warmth
from diagnose.water import ammonia, mixing, nitrogen

#: One small sinking pellet or a pinch of flake, mg, and its protein (common practice, no source).
PELLET_MG, PROTEIN_SHARE = 50.0, 0.40
#: A pond snail's soft body, mg, and the protein in it (from memory).
SNAIL_MG, SNAIL_PROTEIN_SHARE = 800.0, 0.12
#: What is fed a day, as a share of the body mass: one to three hundredths are plenty (common
#: practice, no source).
RATION_SHARE = 0.02
#: Un-ionised ammonia, mg/L as N, above which shrimp are harmed in the long run (common practice,
#: no source; the rulebook's evidence on ammonia gives the published figures behind it).
HARM_NH3_MG_L = 0.05
#: Steps of pH nearer than this to one's own are left out of a drawing.
PH_APART = 0.25
PH_STEPS = (6.5, 7.0, 7.5, 8.0, 8.5, 9.0)
#: Two sizes of container to set beside one's own, and one that most shops would sell.
SMALL_L, LARGE_L, TANK_L = 2.0, 8.0, 54.0
#: Nitrate that a week of ordinary feeding adds in the sum on half changes comes from this many
#: pellets a week (common practice, no source).
PELLETS_A_WEEK = 6.0
WEEKS = 8
SHARES = (0.0, 0.1, 0.25, 0.5)
CHLORIDE_STEPS_MG_L = (1.0, 3.0, 5.0, 7.0, 9.0, 20.0)


def ammonia_and_ph(at: Setting) -> Worked:
    """How the harmful share of one and the same ammonia grows with pH."""
    values = {
        ph: ammonia.unionised_ammonia_mg_l(at.tan_mg_l, ph, at.temperature_c)
        for ph in near(PH_STEPS, at.ph, PH_APART)
    }
    base = ammonia.unionised_fraction(at.ph, at.temperature_c)
    higher = ammonia.unionised_fraction(at.ph + 1.0, at.temperature_c)
    return Worked(
        "ammonia-and-ph",
        "The same ammonia, more or less harmful",
        (
            f"A test shows all ammonia together, here {figure(at.tan_mg_l)} mg/L as nitrogen. At "
            f"{warmth(at.temperature_c, at.prefer)} and pH {figure(at.ph)} just "
            f"{percent_of(base)} of it is in the form that harms.",
            f"One step of pH up makes that {figure(higher / base)} times as much. Harm starts near "
            f"{figure(HARM_NH3_MG_L)} mg/L.",
        ),
        tuple(
            Bar(f"pH {figure(ph)}", value, f"{figure(value)} mg/L", ph == at.ph)
            for ph, value in values.items()
        ),
        "Emerson and others 1975, published",
    )


def forgotten_feed(at: Setting) -> Worked:
    """What one pellet that nobody eats adds, by the litres it rots in."""
    nitrogen_mg = nitrogen.feed_nitrogen_mg(PELLET_MG, PROTEIN_SHARE)
    rise = {
        volume: mixing.mix((mixing.Portion(volume, nitrogen_mg / volume),))
        for volume in near((SMALL_L, LARGE_L, TANK_L), at.volume_l)
    }
    mine = rise[at.volume_l]
    harmful = ammonia.unionised_ammonia_mg_l(mine, at.ph, at.temperature_c)
    harmful_later = ammonia.unionised_ammonia_mg_l(mine, at.ph + 1.0, at.temperature_c)
    return Worked(
        "forgotten-feed",
        "One pellet left to rot",
        (
            f"A pellet of {figure(PELLET_MG)} mg holds {figure(nitrogen_mg)} mg of nitrogen. Left "
            f"to rot in {litres(at.volume_l, at.prefer)} it can add {figure(mine)} mg/L of "
            "ammonia.",
            f"At pH {figure(at.ph)} that is {figure(harmful)} mg/L in the form that harms, and "
            f"{figure(harmful_later)} mg/L if the light drives pH one step up.",
        ),
        tuple(
            Bar(litres(volume, at.prefer), value, f"{figure(value)} mg/L", volume == at.volume_l)
            for volume, value in rise.items()
        ),
        "protein is one sixth nitrogen (textbook, read at second hand); pellet: common practice",
    )


def body_left(at: Setting) -> Worked:
    """What a dead snail adds, beside pellets and a shrimp."""
    snail = nitrogen.feed_nitrogen_mg(SNAIL_MG, SNAIL_PROTEIN_SHARE)
    shrimp = nitrogen.feed_nitrogen_mg(at.species.adult_mass_mg, SNAIL_PROTEIN_SHARE)
    pellet = nitrogen.feed_nitrogen_mg(PELLET_MG, PROTEIN_SHARE)
    rise = snail / at.volume_l
    return Worked(
        "body-left",
        "A body left in the water",
        (
            f"A dead snail of {figure(SNAIL_MG)} mg gives off {figure(snail)} mg of nitrogen as it "
            f"rots, as much as {figure(snail / pellet)} pellets that nobody eats.",
            f"In {litres(at.volume_l, at.prefer)} that is up to {figure(rise)} mg/L of ammonia. A "
            f"shrimp gives {figure(shrimp / at.volume_l)} mg/L.",
        ),
        tuple(
            Bar(name, mg / at.volume_l, f"{figure(mg / at.volume_l)} mg/L")
            for name, mg in (("a shrimp", shrimp), ("a pellet", pellet), ("a snail", snail))
        ),
        "protein is one sixth nitrogen (textbook, read at second hand); snail from memory",
    )


def half_changes(at: Setting) -> Worked:
    """Nitrate after some weeks, by the share changed each week."""
    weekly_mg = PELLETS_A_WEEK * nitrogen.feed_tan_mg(
        PELLET_MG, PROTEIN_SHARE, nitrogen.AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE
    )
    weekly_mg_l = nitrogen.nitrate_from_n_mg_l(weekly_mg) / at.volume_l
    ends = {}
    for share in near(SHARES, at.change_share):
        level = at.nitrate_mg_l
        for _ in range(WEEKS):
            level = mixing.after_change(level + weekly_mg_l, 0.0, share)
        ends[share] = level
    kept = ends[at.change_share]
    return Worked(
        "half-changes",
        f"Nitrate after {figure(WEEKS)} weeks",
        (
            f"{figure(PELLETS_A_WEEK)} pellets a week end as about {figure(weekly_mg_l)} mg/L of "
            f"nitrate a week in {litres(at.volume_l, at.prefer)}. It starts here at "
            f"{figure(at.nitrate_mg_l)} mg/L.",
            f"With no change at all it climbs to {figure(ends[0.0])} mg/L. If "
            f"{percent_of(at.change_share)} is changed each week it comes to {figure(kept)} mg/L.",
        ),
        tuple(
            Bar(
                f"{percent_of(share)} a week",
                value,
                f"{figure(value)} mg/L",
                share == at.change_share,
            )
            for share, value in ends.items()
        ),
        "mass balance; food to ammonia: recirculating systems (textbook, read at second hand)",
    )


def crowd_waste(at: Setting) -> Worked:
    """Ammonia made in a day by so many animals, if nothing took it up."""
    counts = near((5.0, 20.0, 60.0), at.adults)

    def a_day(adults: float) -> float:
        food_mg = adults * at.species.adult_mass_mg * RATION_SHARE
        made = nitrogen.feed_tan_mg(
            food_mg, PROTEIN_SHARE, nitrogen.AMMONIA_N_PER_PROTEIN_ZERO_EXCHANGE
        )
        return made / at.volume_l

    mine = a_day(at.adults)
    harmful_share = ammonia.unionised_fraction(at.ph, at.temperature_c)
    days = HARM_NH3_MG_L / harmful_share / mine
    return Worked(
        "crowd-waste",
        "Waste in a day, with nobody to clear it",
        (
            f"{count(at.adults, 'grown shrimp', 'grown shrimp')} in "
            f"{litres(at.volume_l, at.prefer)}, fed {percent_of(RATION_SHARE)} of their mass, make "
            f"{figure(mine)} mg/L of ammonia a day.",
            f"Where plants and bacteria take up none of it, the harmful form reaches "
            f"{figure(HARM_NH3_MG_L)} mg/L in about {count(round(days, 1), 'day', 'days')}. Twice "
            "the animals, half the time.",
        ),
        tuple(
            Bar(f"{figure(n)} shrimp", a_day(n), f"{figure(a_day(n))} mg/L a day", n == at.adults)
            for n in counts
        ),
        "food to ammonia: recirculating systems (textbook, at second hand); Emerson 1975",
    )


def chloride_and_nitrite(at: Setting) -> Worked:
    """How much nitrite is allowed by how much chloride the water holds."""
    limits = {c: nitrogen.bc_nitrite_maximum_mg_l(c) for c in CHLORIDE_STEPS_MG_L}
    low, high = min(limits.values()), max(limits.values())
    return Worked(
        "chloride-and-nitrite",
        "How much nitrite is too much",
        (
            "Nitrite slips in at the gills where chloride should. The more chloride the water "
            f"holds, the less gets in: the limit rises from {figure(low)} to {figure(high)} mg/L "
            "as nitrogen.",
            "Soft water holds little chloride. Do not add salt to mend it: change water instead. "
            f"{percent_of(at.change_share)} changed takes nitrite of {figure(high)} mg/L to "
            f"{figure(mixing.after_change(high, 0.0, at.change_share))}.",
        ),
        tuple(Bar(f"chloride {figure(c)} mg/L", v, f"{figure(v)} mg/L") for c, v in limits.items()),
        "British Columbia, water quality guideline 2006, published; made for fish",
    )
