"""What the model needs to know about a container, its keeper's habits and what happened to it.

Plain frozen dataclasses without numpy. `None` means: not known, draw it from the parameter ranges.
Times are hours from the time of asking: negative is past, positive is to come.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, get_args

Planting = Literal["none", "sparse", "moderate", "dense"]
Window = Literal["none", "north", "east", "south", "west"]
Substrate = Literal["none", "inert", "soil", "limestone"]
TopUp = Literal["tap", "mineral_free", "nothing"]
Stage = Literal["hatchlings", "juveniles", "females", "males"]
EventKind = Literal[
    "water_change",
    "top_up",
    "feeding",
    "animals_added",
    "animals_removed",
    "deaths",
    "bodies_removed",
    "biofilm_lost",
    "room_shift",
    "shaded",
    "stirred",
    "lamp_set",
    "dosed",
    "read",
]
Quantity = Literal[
    "temperature_c",
    "oxygen_mg_l",
    "tan_mg_l",
    "nitrite_mg_l",
    "nitrate_n_mg_l",
    "solids_mg_l",
    "gh_dgh",
    "ph",
]

STAGES: tuple[Stage, ...] = ("hatchlings", "juveniles", "females", "males")

#: A bowl's usual form: water about eight tenths as deep as it is wide (a 5 L cylinder 20 cm wide
#: holds 16 cm of water, the worked bowl of the heat-loss check).
DEPTH_PER_DIAMETER = 0.8


class BowlError(ValueError):
    """A description the model cannot run on; the message is a sentence for its writer."""


def _between(name: str, value: float | None, low: float, high: float, unit: str = "") -> None:
    if value is None:
        return
    if not (math.isfinite(value) and low <= value <= high):
        raise BowlError(
            f"The {name} is {value:g}{unit and ' ' + unit}; "
            f"the model takes {low:g} to {high:g}{unit and ' ' + unit}."
        )


def _one_of(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise BowlError(f"The {name} is `{value}`; it can be {', '.join(allowed)}.")


@dataclass(frozen=True)
class Container:
    """The vessel and what stands in it.

    volume_l: water when full. surface_m2: open water surface. glass_m2: glass below the waterline,
    floor left out (it rests on something). planting, floating_cover (share of the surface, 0 to
    1), light_hours of lamp a day from lights_on_hour. filter_running and surface_moved say whether
    the water turns over. sealed: no air passes the lid. lid_share: share of the opening covered.
    biofilm_age_days: since the container, or the filter, last began from nothing.
    heater_setpoint_c: None without a heater. altitude_m for air pressure.
    """

    volume_l: float
    surface_m2: float
    glass_m2: float
    planting: Planting = "moderate"
    floating_cover: float = 0.0
    light_hours: float = 8.0
    lights_on_hour: float = 9.0
    filter_running: bool = False
    surface_moved: bool = False
    sealed: bool = False
    lid_share: float = 0.0
    substrate: Substrate = "inert"
    biofilm_age_days: float = 120.0
    heater_setpoint_c: float | None = None
    altitude_m: float = 0.0

    def __post_init__(self) -> None:
        _between("volume", self.volume_l, 0.2, 2000.0, "L")
        _between("water surface", self.surface_m2, 1e-4, 10.0, "m2")
        _between("glass below the waterline", self.glass_m2, 1e-3, 20.0, "m2")
        _one_of("planting", self.planting, ("none", "sparse", "moderate", "dense"))
        _between("floating cover", self.floating_cover, 0.0, 1.0)
        _between("light", self.light_hours, 0.0, 24.0, "hours a day")
        _between("hour the lamp comes on", self.lights_on_hour, 0.0, 24.0)
        _between("share of the opening covered", self.lid_share, 0.0, 1.0)
        _one_of("substrate", self.substrate, ("none", "inert", "soil", "limestone"))
        _between("age of the biofilm", self.biofilm_age_days, 0.0, 20_000.0, "days")
        _between("heater's setting", self.heater_setpoint_c, 5.0, 40.0, "degC")
        _between("altitude", self.altitude_m, -430.0, 4000.0, "m")


def cylinder(
    volume_l: float, depth_cm: float | None = None, opening_m2: float | None = None
) -> tuple[float, float]:
    """Surface and glass area [m2] of an upright cylinder holding `volume_l` of water.

    Without a depth or an opening the usual form of a bowl is taken (`DEPTH_PER_DIAMETER`); a
    narrow neck is respected by giving `opening_m2`, the water surface.

    >>> surface, glass = cylinder(5.0)
    >>> round(surface, 4), round(glass, 3)
    (0.0313, 0.1)
    """
    _between("volume", volume_l, 0.2, 2000.0, "L")
    _between("water depth", depth_cm, 1.0, 200.0, "cm")
    _between("opening", opening_m2, 1e-4, 10.0, "m2")
    volume_m3 = volume_l / 1000.0
    if depth_cm is not None:
        depth_m = depth_cm / 100.0
        body_m2 = volume_m3 / depth_m
        diameter_m = math.sqrt(4.0 * body_m2 / math.pi)
    else:
        diameter_m = (4.0 * volume_m3 / (math.pi * DEPTH_PER_DIAMETER)) ** (1.0 / 3.0)
        depth_m = DEPTH_PER_DIAMETER * diameter_m
        body_m2 = math.pi * diameter_m**2 / 4.0
    return opening_m2 if opening_m2 is not None else body_m2, math.pi * diameter_m * depth_m


@dataclass(frozen=True)
class Room:
    """Where it stands. Room temperatures [degC] are the day's lowest and highest; None: not known.

    sun_hours: hours a day in which the sun reaches the container through `window`. measured: air
    temperatures read beside the container, (hour, degC); between them the room goes straight, and
    beyond them it stays.
    """

    min_c: float | None = None
    max_c: float | None = None
    sun_hours: float = 0.0
    window: Window = "none"
    measured: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        _between("room's lowest temperature", self.min_c, -5.0, 45.0, "degC")
        _between("room's highest temperature", self.max_c, -5.0, 50.0, "degC")
        if self.min_c is not None and self.max_c is not None and self.min_c > self.max_c:
            raise BowlError(
                f"The room's lowest temperature ({self.min_c:g} degC) is above its highest "
                f"({self.max_c:g} degC)."
            )
        _between("sun", self.sun_hours, 0.0, 16.0, "hours a day")
        _one_of("window", self.window, ("none", "north", "east", "south", "west"))
        for _, air_c in self.measured:
            _between("room's measured temperature", air_c, -20.0, 60.0, "degC")


@dataclass(frozen=True)
class Start:
    """What was measured at the first hour of a run; None: as the container's usual care leaves it.
    Nitrogen as N.
    """

    temperature_c: float | None = None
    oxygen_mg_l: float | None = None
    tan_mg_l: float | None = None
    nitrite_mg_l: float | None = None
    nitrate_n_mg_l: float | None = None

    def __post_init__(self) -> None:
        _between("water temperature at the start", self.temperature_c, 0.0, 45.0, "degC")
        _between("oxygen at the start", self.oxygen_mg_l, 0.0, 30.0, "mg/L")
        for name in ("tan_mg_l", "nitrite_mg_l", "nitrate_n_mg_l"):
            _between(f"{name} at the start", getattr(self, name), 0.0, 1000.0, "mg/L")


@dataclass(frozen=True)
class Stock:
    """The shrimp at the first hour of the run: numbers by stage; `berried` of the females.

    masses_mg: wet mass of one animal [mg] by stage, in the order of `STAGES`. The default is the
    cherry type: adult means of 30.5 and 44.0 mg, smaller ones by a length-mass relation.
    """

    hatchlings: float = 0.0
    juveniles: float = 0.0
    females: float = 0.0
    males: float = 0.0
    berried: float = 0.0
    masses_mg: tuple[float, float, float, float] = (0.3, 13.0, 44.0, 30.5)

    def __post_init__(self) -> None:
        for stage in (*STAGES, "berried"):
            _between(f"number of {stage}", getattr(self, stage), 0.0, 1e5)
        for mass in self.masses_mg:
            _between("mass of one shrimp", mass, 1e-3, 1e4, "mg")
        if self.berried > self.females:
            raise BowlError("There are more females with eggs than females.")

    @property
    def count(self) -> float:
        """Animals of all stages."""
        return self.hatchlings + self.juveniles + self.females + self.males


@dataclass(frozen=True)
class Habits:
    """What the keeper does week by week; None in `feed_mg_per_day`: not known, by body mass.

    feeds_per_week, feed_protein_share (0 to 1), change_share (0 to 1) every change_interval_days
    (0: never), topup. `routine.with_habits` writes them out as events.
    """

    feed_mg_per_day: float | None = None
    feeds_per_week: float = 3.0
    feed_protein_share: float = 0.40
    change_share: float = 0.3
    change_interval_days: float = 7.0
    topup: TopUp = "tap"

    def __post_init__(self) -> None:
        _between("food a day", self.feed_mg_per_day, 0.0, 1e5, "mg")
        _between("number of feeds a week", self.feeds_per_week, 0.0, 70.0)
        _between("share of protein in the food", self.feed_protein_share, 0.0, 1.0)
        _between("share changed", self.change_share, 0.0, 1.0)
        _between("days between changes", self.change_interval_days, 0.0, 3650.0)
        _one_of("top-up", self.topup, ("tap", "mineral_free", "nothing"))


@dataclass(frozen=True)
class TapWater:
    """The water that goes in. All N in mg/L as N; temperature None: that of the room."""

    tan_mg_l: float = 0.0
    nitrite_mg_l: float = 0.0
    nitrate_n_mg_l: float = 2.0
    solids_mg_l: float = 180.0
    gh_dgh: float = 7.0
    temperature_c: float | None = None

    def __post_init__(self) -> None:
        _between("tap water's ammonia", self.tan_mg_l, 0.0, 100.0, "mg/L")
        _between("tap water's nitrite", self.nitrite_mg_l, 0.0, 100.0, "mg/L")
        _between("tap water's nitrate", self.nitrate_n_mg_l, 0.0, 1000.0, "mg/L as N")
        _between("tap water's dissolved solids", self.solids_mg_l, 0.0, 40_000.0, "mg/L")
        _between("tap water's hardness", self.gh_dgh, 0.0, 150.0, "dGH")
        _between("tap water's temperature", self.temperature_c, 0.0, 60.0, "degC")


@dataclass(frozen=True)
class Event:
    """Something done or that happened at an hour (whole hours; a fraction is rounded).

    share: of the water (water_change), of the nitrifiers (biofilm_lost), of the bodies
    (bodies_removed), of the sun kept off from then on (shaded), of a usual feeding (feeding without
    an amount; 0 counts as a whole one). mg and protein_share: a feeding. count and stage: animals
    added, removed or dead. temperature_c, solids_mg_l, gh_dgh: of the new water, where it was not
    the tap's.
    pure: a top_up of water without minerals.
    shift_c for hours: how much warmer than usual the room was (room_shift). hours: of lamp a day
    from then on (lamp_set). dosed: mg of ammonia nitrogen poured in. read: `quantity` was read as
    `value` with the error `sd`, and the members are drawn towards it. stirred: from then on the
    surface is kept moving. guessed: nobody told
    the size of that shift, or of the film lost (what a filter that stands still loses), so that it
    is drawn.
    """

    hour: float
    kind: EventKind
    share: float = 0.0
    mg: float = 0.0
    protein_share: float = 0.40
    stage: Stage = "females"
    count: float = 0.0
    temperature_c: float | None = None
    solids_mg_l: float | None = None
    gh_dgh: float | None = None
    shift_c: float = 0.0
    hours: float = 0.0
    guessed: bool = False
    pure: bool = False
    quantity: Quantity | None = None
    value: float = 0.0
    sd: float = 1.0

    def __post_init__(self) -> None:
        _between("hour of an event", self.hour, -1e5, 1e5)
        _one_of("kind of event", self.kind, EVENT_KINDS)
        _one_of("stage", self.stage, STAGES)
        _between("share of an event", self.share, 0.0, 1.0)
        _between("food given", self.mg, 0.0, 1e6, "mg")
        _between("share of protein in the food", self.protein_share, 0.0, 1.0)
        _between("number of animals", self.count, 0.0, 1e5)
        _between("new water's temperature", self.temperature_c, 0.0, 60.0, "degC")
        _between("new water's dissolved solids", self.solids_mg_l, 0.0, 40_000.0, "mg/L")
        _between("new water's hardness", self.gh_dgh, 0.0, 150.0, "dGH")
        _between("shift of the room's temperature", self.shift_c, -40.0, 40.0, "degC")
        _between("hours the shift lasted", self.hours, 0.0, 1e5)


EVENT_KINDS: tuple[EventKind, ...] = get_args(EventKind)
QUANTITIES: tuple[Quantity, ...] = get_args(Quantity)


@dataclass(frozen=True)
class Reading:
    """A number someone measured in the container at an hour; sd None: the usual error of a kit."""

    hour: float
    quantity: Quantity
    value: float
    sd: float | None = None

    def __post_init__(self) -> None:
        _between("hour of a reading", self.hour, -1e5, 1e5)
        _one_of("quantity of a reading", self.quantity, QUANTITIES)
        _between(f"reading of {self.quantity}", self.value, -50.0, 50_000.0)
        _between("error of a reading", self.sd, 1e-6, 1e5)


@dataclass(frozen=True)
class Bowl:
    """Everything known about one container. ph, kh_dkh None: not known. hour_of_day: of hour 0
    (asking).
    """

    container: Container
    room: Room = field(default_factory=Room)
    stock: Stock = field(default_factory=Stock)
    habits: Habits = field(default_factory=Habits)
    tap: TapWater = field(default_factory=TapWater)
    start: Start = field(default_factory=Start)
    ph: float | None = None
    kh_dkh: float | None = None
    hour_of_day: float = 20.0

    def __post_init__(self) -> None:
        _between("pH", self.ph, 3.0, 11.0)
        _between("carbonate hardness", self.kh_dkh, 0.0, 60.0, "dKH")
        _between("hour of the day", self.hour_of_day, 0.0, 24.0)
