"""Sums about the colony: ordinary losses, broods, carriers and chance."""

from __future__ import annotations

from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import Bar, Worked, count, figure, near, percent_of

MONTHS = (1, 3, 6, 12)
#: Share of imported shrimp found with the worm Scutariella japonica: 7 of 120 (Maciaszek and others
#: 2021, read as an abstract).
CARRIERS_SHARE = 0.0583
NEWCOMERS = (1.0, 3.0, 6.0, 12.0, 24.0)
SMALL_GROUPS = (2.0, 4.0, 6.0, 10.0)


def months_and_chance(at: Setting) -> Worked:
    """How many deaths are ordinary in a colony of this size."""
    stay = at.species.numbers["adult_monthly_survival"]
    lost = {m: at.adults * (1.0 - stay**m) for m in MONTHS}
    any_dies = 1.0 - stay**at.adults
    return Worked(
        "months-and-chance",
        "How many losses are ordinary",
        (
            f"Of {count(at.adults, 'grown shrimp', 'grown shrimp')} in good water about "
            f"{figure(lost[1])} die in a month. The chance that one or more do is "
            f"{percent_of(any_dies)}.",
            "So one body now and then is no alarm. Several in a week, or one each week, is more "
            "than "
            "chance.",
        ),
        tuple(
            Bar(count(m, "month", "months"), value, f"{figure(value)} of {figure(at.adults)}")
            for m, value in lost.items()
        ),
        "monthly survival of the species: see its profile in the rulebook",
    )


def brood(at: Setting) -> Worked:
    """How many of one brood grow up."""
    few, many = at.species.ranges["brood_size"]
    survive = at.species.numbers["juvenile_survival"]
    middle = (few + many) / 2
    return Worked(
        "brood",
        "From eggs to grown shrimp",
        (
            f"One female carries {figure(few)} to {figure(many)} eggs at a time. In a jar with "
            f"plenty to graze about {percent_of(survive)} of the young grow up, some "
            f"{figure(middle * survive)} of a brood.",
            "Newly hatched young cannot walk far to food. Where glass and leaves are bare, that "
            "number goes to none, and nobody sees a body.",
        ),
        tuple(
            Bar(name, value, figure(value))
            for name, value in (
                ("eggs laid", middle),
                ("grown, well fed", middle * survive),
                ("half the film", middle * survive / 2),
            )
        ),
        "brood: Nur and Christianus 2013 for the cherry type; survival: common practice",
    )


def carriers(at: Setting) -> Worked:
    """The chance that newcomers bring a guest along."""
    chance = {n: 1.0 - (1.0 - CARRIERS_SHARE) ** n for n in near(NEWCOMERS, at.adults)}
    return Worked(
        "carriers",
        "The chance that one of them carries it",
        (
            f"In one study {percent_of(CARRIERS_SHARE)} of shrimp on sale carried a worm on the "
            "nose. "
            f"Among {count(at.adults, 'newcomer', 'newcomers')} the chance that one or more do is "
            f"{percent_of(chance[at.adults])}.",
            "Few look ill on the day they come. Some weeks in a jar of their own show most of it.",
        ),
        tuple(
            Bar(count(n, "newcomer", "newcomers"), value, percent_of(value), n == at.adults)
            for n, value in chance.items()
        ),
        "Maciaszek and others 2021 (read as abstract): 5.83 % of 120 shrimp",
    )


def one_sex(at: Setting) -> Worked:
    """The chance that a small group is all of one sex."""
    female = at.species.numbers["female_share"]

    def all_one(n: float) -> float:
        return float(female**n + (1.0 - female) ** n)

    groups = near(SMALL_GROUPS, at.adults)
    first = min(groups)
    return Worked(
        "one-sex",
        "The chance that all are of one sex",
        (
            f"If {percent_of(female)} are females, a group of {figure(first)} is all of one sex in "
            f"{percent_of(all_one(first))} of cases, your {figure(at.adults)} in "
            f"{percent_of(all_one(at.adults))}.",
            "Small groups also lose one sex by age: a batch bought together grows old together.",
        ),
        tuple(
            Bar(f"group of {figure(n)}", all_one(n), percent_of(all_one(n)), n == at.adults)
            for n in groups
        ),
        "chance alone; share of females: see the species' profile in the rulebook",
    )
