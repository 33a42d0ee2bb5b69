"""From a case to the container that the model runs: the one adapter between the two.

What nobody told is assumed, each assumption a sentence; what matters much and is not known is
drawn more widely instead of being set. Where too little is known there is a reason and no model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from diagnose.bowl.colony import LifeHistory
from diagnose.bowl.description import (
    Bowl,
    BowlError,
    Container,
    Event,
    EventKind,
    Habits,
    Quantity,
    Reading,
    Room,
    Stage,
    Stock,
    TapWater,
    Window,
    cylinder,
)
from diagnose.bowl.parameters import Array, Range, draw_members
from diagnose.findings.portions import portion
from diagnose.findings.readings import Sample, latest, samples
from diagnose.findings.stocking import adults_told, animals_told
from diagnose.findings.timeline import Timeline, distinct_counts, distinct_events, timeline_of
from diagnose.water.nitrogen import NO3_PER_N

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.case import Event as LoggedEvent
    from diagnose.rulebook.terms import Species

HOURS_PER_DAY: Final = 24
DAYS_PER_WEEK: Final = 7.0
PERCENT: Final = 100.0
CM2_PER_M2: Final = 1e4
FEMALE_SHARE_UNTOLD: Final = 0.5
#: Share of the surface and of the opening by the words of a case (common practice, no source).
FLOATING_SHARE: Final = {"none": 0.0, "part": 0.5, "full": 0.95}
LID_SHARE: Final = {"open": 0.0, "low_water": 0.0, "covered": 0.8, "sealed": 1.0}
#: Hours of sun meant by the words of a case: less than an hour, an hour or more.
SUN_HOURS: Final = {"none": 0.0, "short": 0.5, "long": 3.0}
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
#: What an unusually large feed weighs, as a share of the animals' mass: ten times the usual ration
#: of 1.5 % a day (from memory).
HEAVY_FEED_SHARE: Final = 0.15
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
#: A body is found within half a day; one that was said to lie unnoticed, after two days.
BODY_FOUND_H, BODY_UNNOTICED_H = 12, 48
#: Of the nitrifying film, what is lost by scrubbing everything or when a filter stands still (from
#: memory).
FILM_LOST: Final = {"scrubbed": 0.8, "filter-stopped": 0.5, "medicine": 0.3}
#: What a hot spell or a cold night does to a room, if nobody read a thermometer (from memory).
ROOM_SHIFTS: Final = {"heat-wave": (5.0, 72.0), "cold-spell": (-6.0, 12.0)}
#: Water lost by evaporation from an open container a day, of its water: 1 to 3 mm (from memory).
EVAPORATED_MM_DAY: Final = (0.5, 1.2, 2.5)
#: Errors of readings beyond those of the kit: of a thermometer told from memory, and of a reading
#: on a day without an hour, which the day's swing blurs (from memory).
TOLD_SD_C: Final = 1.5
UNCLOCKED_SD: Final[dict[Quantity, float]] = {"temperature_c": 1.5, "oxygen_mg_l": 2.5}
#: Feeds needed in the log before it speaks for all feeding.
FEEDS_NEEDED: Final = 3
READ: Final[dict[str, tuple[Quantity, float]]] = {
    "temperature": ("temperature_c", 1.0),
    "oxygen": ("oxygen_mg_l", 1.0),
    "ammonia": ("tan_mg_l", 1.0),
    "nitrite": ("nitrite_mg_l", 1.0),
    "nitrate": ("nitrate_n_mg_l", 1.0 / NO3_PER_N),
    "solids": ("solids_mg_l", 1.0),
    "gh": ("gh_dgh", 1.0),
}
#: Widest ranges of parameters for what is not known: (low, mid, high).
Widened = dict[str, tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class TooLittle:
    """No model can be made; why, and what would be needed, in a sentence."""

    reason: str


@dataclass(frozen=True, slots=True)
class ModelledCase:
    """A case as the model takes it. Hours are relative to the time of asking.

    bowl: as it stood at `first_hour`, the stock included. events: from the log. silent: the kinds
    of which the log speaks from `log_from_hour` until the asking, so that no routine is added
    there. widened: parameters drawn more widely than the rulebook's. untold: what is not known,
    by short names (`planting`, `age`, `sun`, `room`, `feeding`, `changes`, `top-up`, `surface`).
    forced: kinds of events whose size nobody told. assumed: sentences for the answer.
    """

    bowl: Bowl
    life: LifeHistory
    first_hour: int
    events: tuple[Event, ...]
    readings: tuple[Reading, ...]
    silent: tuple[EventKind, ...]
    log_from_hour: int
    first_death_hour: int | None
    widened: Mapping[str, tuple[float, float, float]]
    untold: frozenset[str]
    forced: frozenset[str]
    assumed: tuple[str, ...]

    def members(self, ranges: Mapping[str, Range], seed: int, count: int) -> dict[str, Array]:
        """Members drawn from the rulebook's ranges, wider where this case leaves much open."""
        changed = {
            name: replace(ranges[name], low=low, mid=mid, high=high)
            for name, (low, mid, high) in self.widened.items()
        }
        return draw_members({**ranges, **changed}, seed, count)


@dataclass
class _Notes:
    """What was assumed and left open while a case is read."""

    assumed: list[str] = field(default_factory=list)
    untold: set[str] = field(default_factory=set)
    forced: set[str] = field(default_factory=set)
    widened: Widened = field(default_factory=dict)

    def assume(self, name: str, sentence: str) -> None:
        self.untold.add(name)
        self.assumed.append(sentence)


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
    litres = case.container.volume_l
    if not litres:
        return TooLittle("The container model needs the volume of the water: `volume: 6 L`.")
    if animals_told(case) is None:
        return TooLittle("The container model needs the number of shrimp: `stock: {adults: 9}`.")
    timeline = timeline_of(case, now)
    notes = _Notes()
    age = case.container.age_days
    days = min(float(days_back), age) if age is not None and age >= 1.0 else float(days_back)
    first_hour = -round(days * HOURS_PER_DAY)
    try:
        container = _container(case, notes, days)
        masses = _masses(species)
        stock, living = _stock(case, timeline, notes, masses, first_hour)
        habits = _habits(case, notes, mass_mg(stock))
        events, silent, log_from = _log(case, timeline, notes, stock, first_hour, habits)
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
        readings = _readings(case, timeline)
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
        first_death_hour=_first_death(timeline),
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


def _container(case: Case, notes: _Notes, days: float) -> Container:
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


def _stock(
    case: Case,
    timeline: Timeline,
    notes: _Notes,
    masses: tuple[float, float, float, float],
    first_hour: int,
) -> tuple[Stock, list[Event]]:
    """The animals at the first hour, and the events that move them since.

    A case counts the animals before the losses began; what was added in the run up to then was
    not there at its first hour.
    """
    told = case.stock
    adults = float(adults_told(case) or 0)
    if adults_told(case) is None:
        adults = float(animals_told(case) or 0)
    females = float(told.females) if told.females is not None else None
    if females is None:
        males = float(told.males) if told.males is not None else None
        females = adults - males if males is not None else adults * FEMALE_SHARE_UNTOLD
    # A count that names one sex and the adults leaves the rest to the other.
    females = min(max(females, 0.0), adults)
    counts: dict[Stage, float] = {
        "hatchlings": float(told.hatchlings or 0),
        "juveniles": float(told.juveniles or 0),
        "females": females,
        "males": adults - females,
    }
    events: list[Event] = []
    death_at = _first_death(timeline)
    for event in distinct_events(case):
        hour = _hour(timeline, event)
        if event.what != "new-animals" or not event.count or hour is None or hour < first_hour:
            continue
        for stage in ("females", "males"):
            half = 0.5 * event.count
            if death_at is None or hour <= death_at:
                half = min(half, counts[stage])
                counts[stage] -= half
            events.append(Event(hour, "animals_added", stage=stage, count=half))
    events += _deaths(case, timeline, counts, first_hour, notes)
    stock = Stock(
        **counts,
        berried=min(float(told.berried or 0), counts["females"]),
        masses_mg=masses,
    )
    return stock, events


def _first_death(timeline: Timeline) -> int | None:
    if timeline.first_death is None:
        return None
    ago = timeline.hours_ago(timeline.first_death)
    return None if ago is None else -round(max(ago, 0.0))


def _deaths(
    case: Case,
    timeline: Timeline,
    counts: Mapping[Stage, float],
    first_hour: int,
    notes: _Notes,
) -> list[Event]:
    dead: list[tuple[int, float]] = []
    counted = distinct_counts(case)
    first = _first_death(timeline)
    if counted:
        for moment, number in counted:
            ago = timeline.hours_ago(moment)
            if ago is not None:
                dead.append((-round(max(ago, 0.0)), float(number)))
    elif case.deaths is not None and case.deaths.dead and first is not None:
        dead.append((first, float(case.deaths.dead)))
    else:
        dead += [
            (hour, float(event.count or 1))
            for event in distinct_events(case)
            if event.what == "death" and (hour := _hour(timeline, event)) is not None
        ]
    left_lying = "body_left_inside" in case.seen
    found: list[Event] = []
    for at, many in dead:
        if at < first_hour:
            continue
        found += _by_sex(at, many, counts)
        if not left_lying:
            found.append(Event(at + BODY_FOUND_H, "bodies_removed", share=1.0))
    for event in distinct_events(case):
        hour_of = _hour(timeline, event)
        if event.what == "death-unnoticed" and hour_of is not None and hour_of >= first_hour:
            found += _by_sex(hour_of, float(event.count or 1), counts)
            found.append(Event(hour_of + BODY_UNNOTICED_H, "bodies_removed", share=1.0))
    if dead and not left_lying:
        notes.assumed.append("Bodies are taken to have been lifted out within half a day.")
    return found


def _by_sex(hour: int, number: float, counts: Mapping[Stage, float]) -> list[Event]:
    adults = counts["females"] + counts["males"]
    share = counts["females"] / adults if adults else FEMALE_SHARE_UNTOLD
    return [
        Event(hour, "deaths", stage="females", count=number * share),
        Event(hour, "deaths", stage="males", count=number * (1.0 - share)),
    ]


def _hour(timeline: Timeline, event: LoggedEvent) -> int | None:
    if event.at is None:
        return None
    ago = timeline.hours_ago(event.at)
    return None if ago is None or ago < 0.0 else -round(ago)


def _habits(case: Case, notes: _Notes, mass_mg: float) -> Habits:
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


def _log(
    case: Case,
    timeline: Timeline,
    notes: _Notes,
    stock: Stock,
    first_hour: int,
    habits: Habits,
) -> tuple[list[Event], tuple[EventKind, ...], int]:
    """Events of the log that the water feels, and from which hour on the log speaks for which."""
    found: list[Event] = []
    box = case.container
    for event in distinct_events(case):
        hour = _hour(timeline, event)
        if event.what in ROOM_SHIFTS:
            notes.forced.add(event.what)
        if hour is None or hour < first_hour:
            continue
        made = _as_event(event, hour, stock, habits, box.volume_l or 1.0)
        if made is not None:
            found.append(made)
    days_since = case.told.get("days_since_change")
    changed: list[float] = [event.hour for event in found if event.kind == "water_change"]
    if not changed and isinstance(days_since, int | float):
        anchor = _first_death(timeline) or 0
        at = anchor - round(float(days_since) * HOURS_PER_DAY)
        changed.append(float(at))
        if at >= first_hour:
            found.append(Event(at, "water_change", share=habits.change_share))
    silent: list[EventKind] = []
    starts: list[float] = []
    if changed:
        silent.append("water_change")
        starts.append(min(changed))
    fed = [event.hour for event in found if event.kind == "feeding"]
    if len(fed) >= FEEDS_NEEDED:
        silent.append("feeding")
        starts.append(min(fed))
    filled = [event.hour for event in found if event.kind == "top_up"]
    if filled:
        silent.append("top_up")
        starts.append(min(filled))
    return found, tuple(silent), round(max(min(starts, default=0.0), first_hour))


def _as_event(
    event: LoggedEvent, hour: int, stock: Stock, habits: Habits, volume_l: float
) -> Event | None:
    if event.what == "water-change":
        share = habits.change_share
        if event.share_percent is not None:
            share = event.share_percent / PERCENT
        elif event.volume_l is not None:
            share = event.volume_l / volume_l
        return Event(
            hour,
            "water_change",
            share=min(share, 1.0),
            temperature_c=event.temperature_c,
            solids_mg_l=event.solids_mg_l,
            gh_dgh=event.gh_dgh,
        )
    if event.what == "top-up":
        return Event(hour, "top_up")
    if event.what in ("feed", "heavy-feed"):
        weight = portion(event.amount)
        if weight is not None:
            return Event(hour, "feeding", mg=weight.mg)
        heavy = HEAVY_FEED_SHARE * mass_mg(stock) if event.what == "heavy-feed" else 0.0
        return Event(hour, "feeding", mg=heavy)
    if event.what in FILM_LOST:
        return Event(hour, "biofilm_lost", share=FILM_LOST[event.what])
    if event.what in ROOM_SHIFTS:
        shift, lasts = ROOM_SHIFTS[event.what]
        return Event(hour, "room_shift", shift_c=shift, hours=lasts)
    return None


def mass_mg(stock: Stock) -> float:
    """Wet mass of all the animals [mg]."""
    numbers = (stock.hatchlings, stock.juveniles, stock.females, stock.males)
    return sum(n * mass for n, mass in zip(numbers, stock.masses_mg, strict=True))


def _room(case: Case, timeline: Timeline, notes: _Notes) -> Room:
    box = case.container
    hours = box.sun_hours
    if hours is None:
        word = box.sun or case.told.get("sun")
        hours = SUN_HOURS.get(str(word)) if word is not None else None
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


def _leave_open(notes: _Notes) -> None:
    """Draws more widely what matters much and was not told."""
    if "planting" in notes.untold:
        notes.widened["plants_wet_g_l_moderate"] = ANY_PLANTING_G_L
    if "age" in notes.untold:
        notes.widened["film_ageing_d"] = ANY_AGE_FILM_D
    if "surface" in notes.untold:
        notes.widened["still_exchange"] = ANY_SURFACE


def _minerals_so_far(container: Container, habits: Habits, notes: _Notes) -> None:
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


def _readings(case: Case, timeline: Timeline) -> tuple[Reading, ...]:
    found: list[Reading] = []
    for what, (quantity, factor) in READ.items():
        found += [_as_reading(sample, quantity, factor) for sample in samples(case, timeline, what)]
    told = case.told.get("temperature_c")
    if isinstance(told, int | float) and not any(r.quantity == "temperature_c" for r in found):
        found.append(Reading(0, "temperature_c", float(told), TOLD_SD_C))
    return tuple(sorted(found, key=lambda r: (r.hour, r.quantity, r.value)))


def _as_reading(sample: Sample, quantity: Quantity, factor: float) -> Reading:
    sd = None
    if not (sample.timed and sample.clock_told):
        sd = UNCLOCKED_SD.get(quantity)
    return Reading(-round(max(sample.hours_ago, 0.0)), quantity, sample.value * factor, sd)
