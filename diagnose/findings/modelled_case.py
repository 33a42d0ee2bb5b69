"""From a case to the container that the model runs: the one adapter between the two.

What nobody told is assumed, each assumption a sentence; what matters much and is not known is
drawn more widely instead of being set. Where too little is known there is a reason and no model.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Final

from diagnose.bowl.colony import LifeHistory
from diagnose.bowl.description import (
    Bowl,
    BowlError,
    Container,
    Habits,
    Room,
    TapWater,
    Window,
    cylinder,
)
from diagnose.bowl.modelled import ModelledCase, TooLittle
from diagnose.findings.density import too_little_to_model
from diagnose.findings.model_notes import Notes
from diagnose.findings.modelled_log import (
    first_death_hour,
    log_events,
    mass_mg,
    readings_of,
    stock_and_moves,
)
from diagnose.findings.portions import portion
from diagnose.findings.readings import latest, samples
from diagnose.findings.timeline import Timeline, timeline_of
from diagnose.water.nitrogen import NO3_PER_N

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.rulebook.terms import Species

HOURS_PER_DAY: Final = 24
DAYS_PER_WEEK: Final = 7.0
PERCENT: Final = 100.0
CM2_PER_M2: Final = 1e4
#: Share of the surface and of the opening by the words of a case (common practice, no source).
FLOATING_SHARE: Final = {"none": 0.0, "part": 0.5, "full": 0.95}
LID_SHARE: Final = {"open": 0.0, "low_water": 0.0, "covered": 0.8, "sealed": 1.0}
#: Hours of sun meant by the words of a case: less than an hour, an hour or more.
SUN_HOURS: Final = {"none": 0.0, "short": 0.5, "long": 3.0}
#: How far the sun so meant may lie from that: an hour or more is one to seven.
WORDED_SUN_DOSE: Final = (0.4, 1.0, 2.2)
USUAL_LIGHT_H: Final = 8.0
#: A room told by one temperature swings by this much in a day (common practice, no source).
USUAL_ROOM_SWING_C: Final = 2.0
#: By a window the air swings more than in the room, cold glass at night (from memory).
SILL_SWING_C: Final = (2.0, 5.0, 10.0)
USUAL_HEATER_C: Final = 24.0
USUAL_AGE_DAYS: Final = 120.0
USUAL_FEEDS_PER_WEEK: Final = 3.0
USUAL_CHANGE: Final = (0.3, 7.0)
USUAL_PLANTING: Final = "moderate"
#: Plants nobody told of, wet g/L: from the least of a few to the most of many.
ANY_PLANTING_G_L: Final = (0.5, 3.0, 9.0)
#: How fast the film has filled, 1/d, drawn so widely that at the usual age it is anything from just
#: begun to full; most containers are older than a few weeks (from memory).
ANY_AGE_FILM_D: Final = (0.03, 0.15, 0.25)
#: Exchange of gases against the still lake: from quite still to gently moved.
ANY_SURFACE: Final = (0.4, 0.8, 3.0)
#: Rain and water without minerals (common practice, no source).
SOFT_SOLIDS_MG_L, SOFT_GH_DGH = 10.0, 0.0
#: Rations, as a share of body mass a day, where food was seen lying: nobody eats more than about a
#: tenth (from memory). The usual range is in the rulebook.
LEFT_OVER_RATION: Final = (0.03, 0.08, 0.20)
#: Nobody eats more than this of the own mass a day (nursery ration of prawns, 5 to 10 %), so food
#: counted in pieces and gone within hours weighs no more; and how far off that may be (from
#: memory).
LARGEST_RATION: Final = 0.07
EATEN_SOON_H: Final = 3.0
LONG_H: Final = 1000.0
EATEN_ERROR: Final = (0.2, 0.6, 1.4)
#: Water lost by evaporation from an open container a day, of its water: 1 to 3 mm (from memory).
EVAPORATED_MM_DAY: Final = (0.5, 1.2, 2.5)


def from_case(
    case: Case,
    species: Species,
    *,
    now: datetime,
    days_back: int = 14,
) -> ModelledCase | TooLittle:
    """The case as the model takes it, from `days_back` days before the asking.

    now: the time of asking where the case tells none. A container younger than that begins with
    its first day. The order of readings and events never matters.
    """
    reason = too_little_to_model(case)
    if reason is not None:
        return TooLittle(reason)
    timeline = timeline_of(case, now)
    notes = Notes()
    age = case.container.age_days
    days = min(float(days_back), age) if age is not None and age >= 1.0 else float(days_back)
    first_hour = -round(days * HOURS_PER_DAY)
    try:
        container = _container(case, notes, days)
        masses = _masses(species)
        stock, living = stock_and_moves(case, timeline, notes, masses, first_hour)
        habits = _habits(case, notes, mass_mg(stock))
        events, silent, log_from = log_events(case, timeline, notes, stock, first_hour, habits)
        bowl = Bowl(
            container=container,
            room=_room(case, timeline, notes),
            stock=stock,
            habits=habits,
            tap=_tap(case, timeline),
            ph=_ph(case, timeline),
            hour_of_day=timeline.asked_at.hour + timeline.asked_at.minute / 60.0,
        )
        _leave_open(notes)
        _minerals_so_far(container, habits, notes)
        readings = readings_of(case, timeline)
    except BowlError as odd:
        return TooLittle(f"The container model cannot run on this: {odd}")
    return ModelledCase(
        bowl=bowl,
        life=life_of(species),
        first_hour=first_hour,
        events=tuple(sorted((*events, *living), key=lambda e: (e.hour, e.kind, e.stage, e.count))),
        readings=readings,
        silent=silent,
        log_from_hour=log_from,
        first_death_hour=first_death_hour(timeline),
        widened=notes.widened,
        untold=frozenset(notes.untold),
        forced=frozenset(notes.forced),
        assumed=tuple(notes.assumed),
    )


def life_of(species: Species) -> LifeHistory:
    """The numbers of a species that the colony needs."""
    return LifeHistory(
        **species.ranges,
        juvenile_survival=species.numbers["juvenile_survival"],
        adult_monthly_survival=species.numbers["adult_monthly_survival"],
        female_share=species.numbers["female_share"],
        breeds_in_fresh_water=species.breeds_in_fresh_water,
    )


def _masses(species: Species) -> tuple[float, float, float, float]:
    adult = species.adult_mass_mg
    return species.hatchling_mass_mg, species.juvenile_mass_mg, adult, adult


def _container(case: Case, notes: Notes, days: float) -> Container:
    box = case.container
    assert box.volume_l is not None
    opening = box.opening_area_cm2
    if opening is None and box.opening_diameter_cm is not None:
        opening = 3.14159265 * (box.opening_diameter_cm / 2.0) ** 2
    surface, glass = cylinder(
        box.volume_l, box.water_depth_cm, opening / CM2_PER_M2 if opening is not None else None
    )
    if box.water_depth_cm is None and opening is None:
        notes.assume("shape", "The water is taken to stand a little less deep than it is wide.")
    planting = box.planting
    told = case.told.get("planting")
    if planting is None and told in ("none", "sparse", "moderate", "dense"):
        planting = told  # type: ignore[assignment]
    if planting is None:
        notes.assume("planting", "Nobody told how many plants: few to many were tried.")
        planting = USUAL_PLANTING
    if box.age_days is None:
        notes.assume("age", "Nobody told the age of the container: young to old was tried.")
    if box.filter is None and box.surface_moved is None:
        notes.assume("surface", "Nobody told of moved water: still to stirred was tried.")
    heater = None
    if box.heater == "working":
        heater = box.heater_setpoint_c
        if heater is None:
            notes.assume("heater", f"The heater is taken to be set to {USUAL_HEATER_C:g} C.")
            heater = USUAL_HEATER_C
    elif box.heater == "faulty":
        notes.forced.add("faulty-heater")
    age = USUAL_AGE_DAYS if box.age_days is None else max(box.age_days - days, 0.0)
    return Container(
        volume_l=box.volume_l,
        surface_m2=surface,
        glass_m2=glass,
        planting=planting,
        floating_cover=FLOATING_SHARE[box.floating_cover or "none"],
        light_hours=box.light_hours if box.light_hours is not None else USUAL_LIGHT_H,
        filter_running=box.filter == "running",
        surface_moved=box.surface_moved is True,
        sealed=box.lid == "sealed",
        lid_share=LID_SHARE[box.lid or "open"],
        substrate=box.substrate or "inert",
        biofilm_age_days=age,
        heater_setpoint_c=heater,
        altitude_m=box.altitude_m or 0.0,
    )


def _habits(case: Case, notes: Notes, mass_mg: float) -> Habits:
    box, feeding = case.container, case.stock.feeding
    times = feeding.times_per_week if feeding is not None else None
    if times is None:
        told = case.told.get("feeds_per_week")
        times = float(told) if isinstance(told, int | float) else None
    mg_day = None
    each = portion(feeding.per_feed) if feeding is not None else None
    if times is not None and each is not None:
        mg_day = each.mg * times / DAYS_PER_WEEK
        eaten = feeding is not None and (feeding.eaten_within_hours or LONG_H) <= EATEN_SOON_H
        most = LARGEST_RATION * mass_mg
        if not each.weighed and mg_day > most and (eaten or "food_left_over" in case.not_seen):
            notes.assumed.append("Food that is soon gone is taken as no more than can be eaten.")
            mg_day = most
            notes.widened["feed_error"] = EATEN_ERROR
        elif not each.weighed:
            notes.widened["feed_error"] = (each.low_mg / each.mg, 1.0, each.high_mg / each.mg)
    elif times != 0.0:
        notes.assume("feeding", "Nobody told the amount of food: it is taken by body mass.")
        if "food_left_over" in case.seen:
            notes.assumed.append("Food was seen lying: more is taken to be given than is eaten.")
            notes.widened["feed_share_day"] = LEFT_OVER_RATION
    share, every = box.change_share_percent, box.change_interval_days
    if every is None:
        told = case.told.get("change_interval_days")
        every = float(told) if isinstance(told, int | float) else None
    if share is None and every is None:
        notes.assume(
            "changes",
            f"Nobody told the water changes: {USUAL_CHANGE[0] * PERCENT:g} % a week are taken.",
        )
    topup = box.topup
    if topup is None:
        notes.untold.add("top-up")
    return Habits(
        feed_mg_per_day=mg_day,
        feeds_per_week=min(times, 70.0) if times is not None else USUAL_FEEDS_PER_WEEK,
        change_share=USUAL_CHANGE[0] if share is None else min(share / PERCENT, 1.0),
        change_interval_days=USUAL_CHANGE[1] if every is None else min(every, 3650.0),
        topup=topup or "tap",
    )


def _room(case: Case, timeline: Timeline, notes: Notes) -> Room:
    box = case.container
    hours = box.sun_hours
    if hours is None:
        word = box.sun or case.told.get("sun")
        hours = SUN_HOURS.get(str(word)) if word is not None else None
        if hours:
            notes.widened["sun_dose"] = WORDED_SUN_DOSE
    if hours is None:
        notes.assume("sun", "Nobody told of sun on the glass: none is taken.")
        hours = 0.0
    window: Window = box.window or ("south" if hours > 0.0 else "none")
    if hours > 0.0 and box.window is None:
        notes.assumed.append("The sun is taken to come through a south window.")
    low, high = box.room_min_c, box.room_max_c
    if low is None and high is None:
        middle = box.room_temperature_c
        if middle is None:
            middle = _room_by_readings(case, timeline, hours > 0.0)
            if middle is None:
                notes.assume("room", "Nobody told how warm the room is: 18 to 25 C were tried.")
                if hours > 0.0:
                    notes.widened["room_swing_c"] = SILL_SWING_C
        if middle is not None:
            half = 0.5 * USUAL_ROOM_SWING_C
            low, high = middle - half, middle + half
    if low is not None and high is not None and low > high:
        low, high = high, low
    return Room(low, high, min(hours, 16.0), window)


def _room_by_readings(case: Case, timeline: Timeline, sunny: bool) -> float | None:
    """Where no one told the room, the water without a heater is about as warm: its mean, or in the
    sun its lowest reading.
    """
    if case.container.heater == "working":
        return None
    values = [sample.value for sample in samples(case, timeline, "temperature")]
    told = case.told.get("temperature_c")
    if isinstance(told, int | float):
        values.append(float(told))
    if not values:
        return None
    return min(values) if sunny else sum(values) / len(values)


def _tap(case: Case, timeline: Timeline) -> TapWater:
    def read(what: str) -> float | None:
        for where in ("new_water", "tap"):
            sample = latest(case, timeline, what, where)
            if sample is not None:
                return sample.value
        return None

    usual = TapWater()
    soft = case.container.water_source in ("rain", "mineral_free")
    solids, hardness = read("solids"), read("gh")
    if solids is None and (conductivity := read("conductivity")) is not None:
        from diagnose.findings.chemistry import conductivity_as_solids

        solids = conductivity_as_solids(conductivity)
    if solids is None:
        solids = SOFT_SOLIDS_MG_L if soft else usual.solids_mg_l
    if hardness is None:
        hardness = SOFT_GH_DGH if soft else usual.gh_dgh
    nitrate = read("nitrate")
    usual_nitrate = 0.0 if soft else usual.nitrate_n_mg_l
    return TapWater(
        tan_mg_l=read("ammonia") or 0.0,
        nitrite_mg_l=read("nitrite") or 0.0,
        nitrate_n_mg_l=usual_nitrate if nitrate is None else nitrate / NO3_PER_N,
        solids_mg_l=solids,
        gh_dgh=hardness,
        temperature_c=read("temperature"),
    )


def _ph(case: Case, timeline: Timeline) -> float | None:
    sample = latest(case, timeline, "ph")
    told = case.told.get("ph")
    if sample is not None:
        return sample.value
    return float(told) if isinstance(told, int | float) else None


def _leave_open(notes: Notes) -> None:
    """Draws more widely what matters much and was not told."""
    if "planting" in notes.untold:
        notes.widened["plants_wet_g_l_moderate"] = ANY_PLANTING_G_L
    if "age" in notes.untold:
        notes.widened["film_ageing_d"] = ANY_AGE_FILM_D
    if "surface" in notes.untold:
        notes.widened["still_exchange"] = ANY_SURFACE


def _minerals_so_far(container: Container, habits: Habits, notes: Notes) -> None:
    """How far minerals have risen by the first hour, from evaporation made good with tap water.

    Each change takes its share out, so with regular changes the rise settles at what one interval
    adds over the share changed; without, it grows with the age.
    """
    if "top-up" in notes.untold or "changes" in notes.untold:
        return
    if habits.topup == "mineral_free":
        notes.widened["start_solids_rise"] = (1.0, 1.02, 1.1)
        return
    age = container.biofilm_age_days if "age" not in notes.untold else None
    regular = habits.change_share > 0.0 and habits.change_interval_days > 0.0
    if not regular and age is None:
        return
    open_share = 0.0 if container.sealed else 1.0 - 0.9 * container.lid_share
    lost = [mm * container.surface_m2 * open_share / container.volume_l for mm in EVAPORATED_MM_DAY]
    since = habits.change_interval_days / habits.change_share if regular else age
    if age is not None and since is not None:
        since = min(since, age)
    low, mid, high = (1.0 + part * (since or 0.0) for part in lost)
    notes.widened["start_solids_rise"] = (low, mid, max(high, low + 0.02))
