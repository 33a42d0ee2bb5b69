"""The week for one container: what to feed, change, top up, look at, measure and give away."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from diagnose.acclimation.plan import Water
from diagnose.advice.forbidden import Values, Withheld, called_for, withheld_among
from diagnose.advice.triage_first import StateReason
from diagnose.care.feeding import Ration, in_pellets, ration
from diagnose.care.water_change import Change, Evaporation, change, evaporation
from diagnose.findings.density import MG_PER_G, colony
from diagnose.findings.observation import Observation
from diagnose.findings.readings import samples
from diagnose.findings.timeline import HOURS_PER_DAY, timeline_of
from diagnose.intake.case import Case
from diagnose.mix.recipes import SALT_MG_PER_DGH_L, minerals
from diagnose.rulebook.terms import Number, Rulebook, Species
from diagnose.stocking.outlook import Outlook
from diagnose.water.chlorine import chloramine_ammonia_mg_l, thiosulfate_crystals_mg

#: A number and its unit (`L`, `mL`, `degC`, `degC_step` for a difference) as the keeper reads them.
Say = Callable[[float, str], str]
Rhythm = Literal["every feed", "daily", "weekly", "monthly", "at each change", "when due", "once"]
#: Water depth per diameter of an ordinary round bowl, for the surface nobody measured.
DEPTH_PER_DIAMETER = 0.8
CM3_PER_L = 1000.0
#: From this age a container counts as settled (three months).
SETTLED_DAYS = 84.0
#: The warmth at which the ration is told.
RATION_TOLD_AT_C = 24.0
#: Which readings come due, the number that says how often, and what the reading is called.
DUE = (
    ("temperature", "temperature_every_days", "Temperature"),
    ("ammonia", "ammonia_every_days", "Ammonia and nitrite"),
    ("nitrate", "nitrate_every_days", "Nitrate"),
    ("gh", "hardness_every_days", "Hardness of the container and of the new water"),
    ("solids", "solids_every_days", "Dissolved solids, if you have a meter"),
    ("ph", "ph_every_days", "pH"),
)


@dataclass(frozen=True, slots=True)
class Task:
    """One line of the plan. every_days: how often it comes round, None for what has no day of its
    own; first: its next day. steps: the steps of the rulebook that it comes to; what forbids one of
    them forbids the task. named: what a calendar calls it, by default its topic.
    """

    topic: str
    rhythm: Rhythm
    what: str
    why: str
    every_days: float | None = None
    first: date | None = None
    steps: tuple[str, ...] = ()
    named: str = ""


@dataclass(frozen=True, slots=True)
class Week:
    """The plan, with the figures it was made from. `assumed` says what was not known.
    triage_first: what is wrong, where no normal week may be lived; the tasks then say only that.
    withheld: steps that tasks came to and that the case forbids; those tasks are left out.
    """

    asked_on: date
    tasks: tuple[Task, ...]
    ration: Ration
    change: Change
    evaporation: Evaporation
    outlook: Outlook | None
    cautions: tuple[str, ...]
    assumed: tuple[str, ...]
    triage_first: tuple[StateReason, ...] = ()
    withheld: tuple[Withheld, ...] = ()


@dataclass(frozen=True, slots=True)
class Waters:
    """The container's water, what goes in at a change, and what tap water carries (mg/L as Cl2)."""

    container: Water
    new: Water
    nitrate_new_mg_l: float
    chlorine_mg_l: float | None


#: What a change of water comes to, as steps of the rulebook.
CHANGING = ("weekly-matched-change", "part-change-matched")
CAUTIONS = (
    "electricity-near-water",
    "wash-hands-and-cover-wounds",
    "no-mouth-siphoning",
    "never-release",
    "chemicals-apart",
    "minerals-slowly",
)


def week(
    case: Case,
    known: Mapping[str, Observation],
    rulebook: Rulebook,
    species: Species,
    waters: Waters,
    outlook: Outlook | None,
    *,
    carries: float | None,
    triage: tuple[StateReason, ...],
    values: Values,
    say: Say,
    now: datetime,
) -> Week:
    """The care of this container from the day of asking on.

    carries: grown animals, by the account of the container. triage: what comes before any routine,
    if anything does. values: what is known of the animals, and may forbid a task.
    Raises ValueError where the volume is not known: nothing can be reckoned without it.
    """
    volume = case.container.volume_l
    if not volume:
        raise ValueError(
            "container, volume: missing. Care is reckoned per litre; write `volume: 6 L`."
        )
    numbers = rulebook.numbers
    herd = colony(case, species)
    mass_g = herd.mass_g if herd is not None else 0.0
    carries_g = None if carries is None else carries * species.adult_mass_mg / MG_PER_G
    fed_g = mass_g if carries_g is None else min(mass_g, carries_g)
    food = ration(fed_g, waters.container.temperature_c, numbers)
    routine = _routine(case, waters, species, food, volume, numbers)
    lost = _lost(case, prepared(waters, species), routine, volume, numbers)
    today = now.date()
    tasks = (
        *_too_many(mass_g, carries_g, species),
        *_feeding(food, known, numbers, say),
        *_changing(case, waters, known, routine, species, numbers, today, say),
        *_topping_up(lost, numbers, today, say),
        *_light(case, known, numbers),
        *_young(outlook, species, today),
        *_looking(today),
        *measuring(case, numbers, now),
    )
    if triage:
        tasks = (_TRIAGE,)
    withheld = withheld_among(rulebook, (name for task in tasks for name in task.steps), values)
    barred = {item.step.id for item in withheld}
    tasks = tuple(task for task in tasks if barred.isdisjoint(task.steps))
    named = [name for task in tasks for name in task.steps]
    tasks = (
        *(
            Task("before that", "once", f"{first.step.title}. {first.step.do}", first.because)
            for first in called_for(rulebook, named, values)
        ),
        *tasks,
    )
    assumed = []
    if herd is None:
        assumed.append("Nobody counted the shrimp, so the ration is left open.")
    if waters.container.temperature_c is None:
        assumed.append(
            f"No temperature was told; the ration is that for {say(RATION_TOLD_AT_C, 'degC')}."
        )
    if lost.estimated:
        assumed.append("The water's surface was not measured; a usual bowl is assumed.")
    if waters.new == Water():
        assumed.append("The new water was not measured; it is taken to match.")
    return Week(
        today, tasks, food, routine, lost, outlook, CAUTIONS, tuple(assumed), triage, withheld
    )


_TRIAGE = Task(
    "triage first",
    "once",
    "Run `bowlside triage` on this case and do what it says, at the size it says. Change and feed "
    "nothing beyond that until it is over; then ask for the week again.",
    "A plan for a normal week is for animals that are well.",
)


def _too_many(mass_g: float, carries_g: float | None, species: Species) -> list[Task]:
    if carries_g is None or mass_g <= carries_g:
        return []
    grown, carries = (MG_PER_G * grams / species.adult_mass_mg for grams in (mass_g, carries_g))
    return [
        Task(
            "more than it carries",
            "once",
            f"As much as {grown:.0f} grown ones live there, and it carries about {carries:.0f}. "
            "Run `bowlside triage` on this case today: it says what to do tonight. Give away or "
            "rehouse the rest first, the larger young before the old.",
            "No change of water makes up for it: the night's oxygen sets the number. The ration "
            "below is for what it carries; what more is fed rots.",
            steps=("give-some-away",),
        ),
        Task(
            "more than it carries",
            "daily",
            "Move the surface with air through the night until fewer live there.",
            f"As much as {grown:.0f} grown ones breathe where about {carries:.0f} can.",
            steps=("air-each-night",),
        ),
    ]


def _routine(
    case: Case,
    waters: Waters,
    species: Species,
    food: Ration,
    volume: float,
    numbers: Mapping[str, Number],
) -> Change:
    here, new = waters.container, prepared(waters, species)
    still = not (case.container.filter == "running" or case.container.surface_moved is True)
    return change(
        volume_l=volume,
        still=still or volume < numbers["small_container_l"].value,
        food_mg_a_day=food.mg_a_day,
        nitrate_in_new_water_mg_l=waters.nitrate_new_mg_l,
        solids_gap_mg_l=_gap(here.solids_mg_l, new.solids_mg_l),
        solids_mg_l=here.solids_mg_l,
        gh_gap_dgh=_gap(here.gh_dgh, new.gh_dgh),
        numbers=numbers,
    )


def hardness_wanted(here: float | None, new: float, suits: tuple[float, float]) -> float:
    """The hardness to prepare new water to: the container's own where it suits the animals, since
    steady counts; else the new water's, brought into what suits.
    """
    low, high = suits
    if here is not None and low <= here <= high:
        return here
    return min(max(new, low), high)


def prepared(waters: Waters, species: Species) -> Water:
    """The new water as the plan has it made: thinned with mineral-free water, or with salts.

    Dissolved solids follow: in proportion when thinned, by the mass of the salts when raised.
    """
    new = waters.new
    if new.gh_dgh is None:
        return new
    wanted = hardness_wanted(waters.container.gh_dgh, new.gh_dgh, species.comfortable["gh_dgh"])
    solids = new.solids_mg_l
    if solids is not None:
        rise = wanted - new.gh_dgh
        solids = solids + rise * SALT_MG_PER_DGH_L if rise > 0 else solids * wanted / new.gh_dgh
    return replace(new, gh_dgh=wanted, solids_mg_l=solids)


def _days(days: float) -> str:
    return "day" if days == 1.0 else f"{days:g} days"


def _gap(here: float | None, new: float | None) -> float | None:
    return None if here is None or new is None else new - here


def _lost(
    case: Case,
    new: Water,
    routine: Change,
    volume: float,
    numbers: Mapping[str, Number],
) -> Evaporation:
    box = case.container
    told = box.opening_area_cm2
    if told is None and box.opening_diameter_cm is not None:
        told = math.pi * box.opening_diameter_cm**2 / 4.0
    usual = math.pi / 4.0 * (4.0 * volume * CM3_PER_L / (math.pi * DEPTH_PER_DIAMETER)) ** (2 / 3)
    weekly = 1.0 - (1.0 - routine.share) ** (numbers["change_days"].value / routine.every_days)
    return evaporation(
        surface_cm2=told if told is not None else usual,
        surface_told=told is not None,
        covered=box.lid == "covered",
        sealed=box.lid == "sealed",
        volume_l=volume,
        new_solids_mg_l=new.solids_mg_l,
        weekly_share=weekly,
        numbers=numbers,
    )


def _feeding(
    food: Ration, known: Mapping[str, Observation], numbers: Mapping[str, Number], say: Say
) -> list[Task]:
    out_h = numbers["leftovers_out_h"]
    low, high = out_h.between or (out_h.value, out_h.value)
    left = known.get("food_left_over")
    half = left is not None and left.value == "present"
    share = 0.5 if half else 1.0
    tasks = []
    if food.mg_a_day > 0.0:
        what = (
            f"{in_pellets(food.pellets_a_feed * share)} ({food.mg_a_feed * share:.1f} mg) each of "
            f"{food.feeds_a_day} times a day: {food.mg_a_day * share:.0f} mg a day, about "
            f"{in_pellets(food.pellets_a_day * share)}. One day a week without."
        )
        why = (
            f"That is {numbers['ration_percent_a_day'].value:g} % of their mass at "
            f"{say(RATION_TOLD_AT_C, 'degC')}, less when cooler; "
            f"keepers give {food.low_mg_a_day:.0f} to {food.high_mg_a_day:.0f} mg. Small "
            "feeds leave nothing to rot."
        )
        if half:
            why = f"Food was left over lately, so this is half of the usual ration. {why}"
        tasks.append(Task("feeding", "every feed", what, why, steps=("feed-little",)))
    tasks.append(
        Task(
            "leftovers",
            "every feed",
            f"Take out what is left after {low:g} to {high:g} hours, and give less next time.",
            "What is not eaten by then rots: it makes ammonia and uses oxygen.",
        )
    )
    return tasks


def _changing(
    case: Case,
    waters: Waters,
    known: Mapping[str, Observation],
    routine: Change,
    species: Species,
    numbers: Mapping[str, Number],
    today: date,
    say: Say,
) -> list[Task]:
    every = in_words(routine, numbers)
    why = "Small still containers keep well on a weekly half change."
    if routine.nitrate_share >= routine.share - 1e-9:
        why = "Nitrate asks for that much."
    if routine.falls_short:
        why = (
            f"Even so nitrate would settle near {routine.nitrate_settles_at_mg_l:.0f} mg/L: feed "
            "less or keep fewer animals. Never make a larger change a routine."
        )
    elif routine.share < numbers["change_percent_still"].value / 100.0 and not routine.gentle:
        why = "A filter or moved water and room to spare let a smaller share do."
    if routine.gentle:
        why = (
            "The new water differs from the old; a smaller share oftener moves hardness by no "
            f"more than {numbers['rate_gh_dgh_a_day'].value:g} dGH, and dissolved solids by no "
            f"more than {numbers['rate_solids_percent_a_day'].value:g} %, a day."
        )
    tasks = [
        Task(
            "water change",
            "weekly",
            f"Change {100 * routine.share:.0f} % ({say(round(routine.litres, 1), 'L')}) {every}, "
            "poured slowly along the glass.",
            f"{why} It takes away what no kit shows, too.",
            routine.every_days,
            today + timedelta(days=1),
            CHANGING,
        ),
        Task(
            "its temperature",
            "at each change",
            f"New water: {_warmth(waters, known, numbers, say)}, by a thermometer in both.",
            f"Standards allow {say(numbers['rate_temperature_c_in_12_h'].value, 'degC_step')} in "
            "twelve hours; "
            "at a change it comes in minutes.",
            steps=CHANGING,
        ),
    ]
    tasks += _hardness(waters, species, routine.litres, say)
    tap_part = 1.0
    made, told = prepared(waters, species).gh_dgh, waters.new.gh_dgh
    if made is not None and told:
        tap_part = min(1.0, made / told)
    tasks += _conditioner(case, waters, tap_part * routine.litres, say)
    return tasks


def in_words(routine: Change, numbers: Mapping[str, Number]) -> str:
    """How often the change comes."""
    if routine.every_days == numbers["change_days"].value:
        return "once a week"
    if routine.every_days < 1.5:
        return "every day"
    if routine.every_days == numbers["change_days_least"].value:
        return "twice a week"
    return f"every {routine.every_days:.0f} days"


def _warmth(
    waters: Waters, known: Mapping[str, Observation], numbers: Mapping[str, Number], say: Say
) -> str:
    """The warmth of new water: around the middle of the day's range, else of the last reading."""
    step = numbers["new_water_within_c"].value
    ends = [
        item.value
        for name in ("temperature_min_c", "temperature_max_c")
        if (item := known.get(name)) is not None and isinstance(item.value, float)
    ]
    if len(ends) == 2:
        middle = sum(ends) / 2.0
        text = f"{_between(middle - step, middle + step, say)}, around the middle of its day"
        if max(ends) - min(ends) <= 2.0 * step:
            return text
        low, high = (say(round(end, 1), "degC") for end in ends)
        return f"{text} ({low} to {high}), at the hour when it is near that itself"
    here = waters.container.temperature_c
    if here is None:
        return f"within {say(step, 'degC_step')} of the old"
    text = _between(here - step, here + step, say)
    sun = known.get("sun")
    if sun is not None and sun.value in ("short", "long"):
        return f"{text} at the hour of the last reading; sun moves it, so read it first"
    return text


def _between(low_c: float, high_c: float, say: Say) -> str:
    low = say(round(low_c), "degC").partition(" ")[0]
    return f"{low} to {say(round(high_c), 'degC')}"


def _hardness(waters: Waters, species: Species, litres: float, say: Say) -> list[Task]:
    low, high = species.comfortable["gh_dgh"]
    here, new = waters.container.gh_dgh, waters.new.gh_dgh
    if new is None:
        return [
            Task(
                "its hardness",
                "at each change",
                f"Measure the new water; {low:g} to {high:g} dGH suits these.",
                "A new skin hardens with calcium from the water.",
                steps=CHANGING,
            )
        ]
    wanted = hardness_wanted(here, new, (low, high))
    why = f"{low:g} to {high:g} dGH suits these, and steady counts more than exact."
    if abs(new - wanted) < 0.5:
        what = f"Use it as it is: {new:.1f} dGH fits the {wanted:.1f} dGH wanted."
    elif new > wanted:
        pure = litres * (1.0 - wanted / new)
        what = (
            f"Mix {say(round(litres - pure, 1), 'L')} of it with {say(round(pure, 1), 'L')} of "
            "mineral-free water: "
            f"{new:.1f} dGH becomes {wanted:.1f}."
        )
    else:
        dose = minerals(new, wanted, litres)
        what = (
            f"Raise its {new:.1f} dGH to {wanted:.1f} with a shrimp mineral salt by its label. "
            f"By arithmetic {say(round(litres, 1), 'L')} need "
            f"{1000 * dose.mixed_gypsum_g:.0f} mg of gypsum and "
            f"{1000 * dose.mixed_epsom_salt_g:.0f} mg of Epsom salt, dissolved beforehand."
        )
    return [Task("its hardness", "at each change", what, why, steps=CHANGING)]


def _conditioner(case: Case, waters: Waters, litres: float, say: Say) -> list[Task]:
    if case.container.water_source in ("rain", "mineral_free", "remineralised", "bottled"):
        return []
    covers = "It must cover chlorine and chloramine; ask the water supplier which and how much."
    if waters.chlorine_mg_l is not None and waters.chlorine_mg_l > 0.0:
        mg = waters.chlorine_mg_l * litres
        ammonia = chloramine_ammonia_mg_l(waters.chlorine_mg_l)
        crystals = thiosulfate_crystals_mg(waters.chlorine_mg_l, litres)
        covers = (
            f"It must cover {mg:.1f} mg of chlorine ({waters.chlorine_mg_l:g} mg/L); as "
            f"thiosulfate crystals that would be {crystals:.0f} mg. If it is chloramine, "
            f"{ammonia:.2f} mg/L of ammonia is set free, and the product must bind that as well."
        )
    return [
        Task(
            "conditioner",
            "at each change",
            f"Dose by its label for {say(round(litres, 1), 'L')} of tap water, in the bucket, "
            f"before it goes in. {covers}",
            "Tap water is kept safe for people with what burns gills. More than the label binds "
            "oxygen.",
            steps=CHANGING,
        )
    ]


def _topping_up(
    lost: Evaporation, numbers: Mapping[str, Number], today: date, say: Say
) -> list[Task]:
    if lost.litres_a_week <= 0.0:
        return []
    why = "Only pure water leaves; minerals stay behind and thicken."
    if lost.settles_with_tap_mg_l is not None and lost.settles_with_pure_mg_l is not None:
        why = (
            f"{why} With tap water dissolved solids would settle at "
            f"{lost.settles_with_tap_mg_l:.0f} mg/L, with mineral-free water at "
            f"{lost.settles_with_pure_mg_l:.0f}."
        )
    return [
        Task(
            "top-up",
            "weekly",
            f"About {say(round(1000 * lost.litres_a_week), 'mL')} a week of mineral-free water, "
            "to a mark on the glass, in two or three goes.",
            why,
            numbers["change_days"].value / 2.0,
            today + timedelta(days=3),
        )
    ]


def _light(
    case: Case, known: Mapping[str, Observation], numbers: Mapping[str, Number]
) -> list[Task]:
    hours = numbers["light_hours"]
    low, high = hours.between or (hours.value, hours.value)
    wanted = hours.value
    green = known.get("green_water")
    if green is not None and green.value == "present":
        wanted = low
    told = case.container.light_hours
    now = f" It is {told:g} now." if told is not None and abs(told - wanted) > 1.0 else ""
    return [
        Task(
            "light",
            "daily",
            f"{wanted:g} hours by a timer, no sun on the glass.{now}",
            f"Plants do well on {low:g} to {high:g} hours; more feeds algae, and algae use the "
            "night's oxygen.",
        )
    ]


def _young(outlook: Outlook | None, species: Species, today: date) -> list[Task]:
    if not species.breeds_in_fresh_water or outlook is None:
        return []
    low, middle, high = outlook.young_out
    start = outlook.full_in_weeks[1]
    if middle < 0.5:
        what = f"None need to go within {outlook.weeks} weeks; count them monthly."
        when = None
    else:
        first = next(
            (i for i, band in enumerate(outlook.young_out_a_week, start=1) if band[1] >= 0.5), 1
        )
        when = today + timedelta(weeks=first)
        what = (
            f"From week {first} on take out about {middle:.0f} young in all within "
            f"{outlook.weeks} weeks (between {low:.0f} and {high:.0f}; estimate), the larger "
            "first, to a friend, a club, a shop, or a second container of your own. Never outdoors."
        )
    full = f" Young counted, it passes that number in about {start:.0f} weeks." if start else ""
    return [
        Task(
            "young to give away",
            "monthly",
            what,
            f"The container carries about {outlook.carries:.0f} grown animals.{full}",
            None if when is None else 28.0,
            when,
            ("give-some-away",) if when is not None else (),
        )
    ]


def _looking(today: date) -> list[Task]:
    return [
        Task(
            "look",
            "daily",
            "Are they grazing? Does anyone twitch, race, lie on its side or hang at the surface? "
            "Is anything dead, left over or smelling? What does the thermometer say?",
            "Behaviour changes hours to days before a loss.",
            1.0,
            today + timedelta(days=1),
            named="look at the animals",
        ),
        Task(
            "look",
            "weekly",
            "Film on the surface, clouding, yellow leaves, the water line, snails and small "
            "crustaceans, females with eggs, young.",
            "The slow troubles show here first.",
            7.0,
            today + timedelta(days=1),
            named="look at film, plants, eggs and young",
        ),
        Task(
            "count",
            "monthly",
            "Count them, old and young, and write it down; prune plants; look at cables and lid.",
            "A number that falls without bodies is easily missed.",
            28.0,
            today + timedelta(days=7),
        ),
    ]


def readings_due(case: Case, numbers: Mapping[str, Number], now: datetime) -> tuple[str, ...]:
    """What should be measured again today, by name; dissolved solids only by who has a meter."""
    timeline = timeline_of(case, now)
    metered = samples(case, timeline, "solids") or samples(case, timeline, "conductivity")
    return tuple(
        _name(what, words)
        for (what, _, words), task in zip(DUE, measuring(case, numbers, now), strict=True)
        if task.first == now.date() and (what != "solids" or metered)
    )


def measuring(case: Case, numbers: Mapping[str, Number], now: datetime) -> list[Task]:
    """When each reading comes round again."""
    timeline = timeline_of(case, now)
    age = case.container.age_days
    tasks = []
    for what, number, words in DUE:
        name = number
        if what == "ammonia" and (age is None or age < SETTLED_DAYS):
            name = "ammonia_every_days_young"
        every = numbers[name].value
        taken = samples(case, timeline, what)
        if not taken and what == "solids":
            taken = samples(case, timeline, "conductivity")
        sample = taken[0] if taken else None
        gone = sample.hours_ago / HOURS_PER_DAY if sample is not None else math.inf
        due = 0.0 if gone >= every else every - gone
        when = now.date() + timedelta(days=math.ceil(due))
        state = "due now" if due == 0.0 else f"due on {when:%Y-%m-%d}"
        last = "never measured" if sample is None else f"last {gone:.0f} days ago"
        tasks.append(
            Task(
                "measure",
                "when due",
                f"{words}: {state} ({last}), then every {_days(every)}.",
                numbers[name].because,
                every,
                when,
                named=f"measure {_name(what, words)}",
            )
        )
    return tasks


def _name(what: str, words: str) -> str:
    """A reading's short name within a sentence."""
    return words if what == "ph" else words.partition(",")[0].lower()
