"""What a case is: one container, its stock, its recent log and what was seen, at one time of
asking.

Every quantity here is in the program's own unit, and its name says which. In a file the same field
is written without the unit (`volume: 6 L` becomes `volume_l`); `quantities`, `amounts`,
`written_readings` and `moments` read what people wrote. Built in Python, a bare number is taken as
it stands. Nothing in this module knows the rulebook: names of signs and events are checked by
`names`.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationInfo,
    WrapValidator,
    model_validator,
)
from pydantic_core import core_schema

from diagnose.intake import quantities as q
from diagnose.intake.aftermath import (
    FOLLOWED_WORDS,
    SEASON_WORDS,
    STATE_WORDS,
    WHOM_WORDS,
    read_followed,
    read_season,
    read_state,
    read_whom,
)
from diagnose.intake.amounts import (
    AMOUNT_SCHEMA,
    OFTEN_SCHEMA,
    Amount,
    read_amount,
    read_every,
    read_often,
)
from diagnose.intake.doses import DOSE_SCHEMA, DoseWord, read_dose
from diagnose.intake.meaning import folded
from diagnose.intake.moments import Moment, read_moment
from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import Either, one_of
from diagnose.intake.rough_deaths import spread_rough_deaths
from diagnose.intake.written_readings import canonical_reading
from diagnose.intake.written_text import (
    in_part,
    read_asked_at,
    read_death_counts,
    read_line,
    read_name,
    read_names,
    read_story,
    read_told,
    read_yes_or_no,
)

Units = Literal["metric", "us"]
Told = str | float | bool
#: What keepers write for `deaths` when nobody has died.
NOBODY_DIED = frozenset({"none", "no", "nobody", "nobody died", "no deaths", "zero", "0"})


class Record(BaseModel):
    """What all parts of a case share: they cannot be changed, and take no unknown field.

    Files use the short names only; Python may use either (`Container(volume_l=6)`).
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        defer_build=True,
        validate_by_name=True,
        validate_by_alias=True,
    )


class ReadBy:
    """Tells pydantic to read a field with a function of (what was written, units) and nothing else.

    Leaner than pydantic's own annotations for this, which build a second schema for every field.
    """

    def __init__(self, read: Callable[[Any, str], Any], schema: dict[str, Any]) -> None:
        self._read, self._schema = read, schema

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        read = self._read

        def validate(written: Any, info: core_schema.ValidationInfo) -> Any:
            return read(written, info.context or q.OWN_UNITS)

        return core_schema.with_info_plain_validator_function(validate)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return dict(self._schema)


def _quantity(measure: q.Measure) -> ReadBy:
    return ReadBy(
        lambda written, units: q.read_quantity(written, measure, units), q.measure_schema(measure)
    )


def _words(read: Callable[[Any], Any], schema: dict[str, Any]) -> ReadBy:
    return ReadBy(lambda written, units: read(written), schema)


_TEXT: dict[str, Any] = {"type": "string"}
_NUMBER: dict[str, Any] = {"type": "number"}
_NAMES: dict[str, Any] = {"anyOf": [_TEXT, {"type": "array", "items": _TEXT}]}
_COUNT: dict[str, Any] = {
    "anyOf": [{"type": "integer", "minimum": 0}, _TEXT],
    "description": "How many, or roughly: `about 12`, `10-14`, `several`, `dozens`.",
}
_YES_NO: dict[str, Any] = {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}
_TIME: dict[str, Any] = {
    "type": "string",
    "description": "A date, a date with time, or how long ago: `2 days ago`.",
    "examples": ["2026-03-14 21:30", "2 days ago", "36 h before the first death"],
}
_DEATH_COUNTS: dict[str, Any] = {
    "type": "array",
    "items": {
        "type": "object",
        "properties": {"at": _TIME, "dead": _COUNT},
        "required": ["at", "dead"],
        "additionalProperties": False,
    },
}
_ANSWERS: dict[str, Any] = {
    "type": "object",
    "additionalProperties": {"type": ["string", "number", "boolean"]},
}

Volume = Annotated[float, _quantity(q.VOLUME)]
Length = Annotated[float, _quantity(q.LENGTH)]
Area = Annotated[float, _quantity(q.AREA)]
Altitude = Annotated[float, _quantity(q.ALTITUDE)]
Days = Annotated[float, _quantity(q.DAYS)]
Hours = Annotated[float, _quantity(q.HOURS)]
HoursOfDay = Annotated[float, _quantity(q.HOURS_OF_DAY)]
Warmth = Annotated[float, _quantity(q.TEMPERATURE)]
RoomWarmth = Annotated[float, _quantity(q.ROOM_TEMPERATURE)]
Share = Annotated[float, _quantity(q.SHARE)]
Solids = Annotated[float, _quantity(q.SOLIDS)]
Hardness = Annotated[float, _quantity(q.GENERAL_HARDNESS)]
Measured = Annotated[float, ReadBy(lambda written, units: q.read_number(written), _NUMBER)]
Count = Annotated[int, _words(q.read_count, _COUNT)]
Time = Annotated[Moment, _words(read_moment, _TIME)]
AskedAt = Annotated[datetime, _words(read_asked_at, _TIME)]
Portion = Annotated[Amount, _words(read_amount, AMOUNT_SCHEMA)]
Often = Annotated[float, _words(read_often, OFTEN_SCHEMA)]
Every = Annotated[float, ReadBy(read_every, q.measure_schema(q.INTERVAL))]
Dose = Annotated[DoseWord, _words(read_dose, DOSE_SCHEMA)]
Name = Annotated[str, _words(read_name, _TEXT)]
Names = Annotated[tuple[str, ...], _words(read_names, _NAMES)]
Line = Annotated[str, _words(read_line, _TEXT)]
Story = Annotated[str, _words(read_story, _TEXT)]
Whom = Annotated[
    Literal["young", "grown", "one_kind"],
    _words(read_whom, {"enum": list(WHOM_WORDS)}),
]
Followed = Annotated[
    Literal["helped", "nothing", "worse", "for a while"],
    _words(read_followed, {"enum": list(FOLLOWED_WORDS)}),
]
Season = Annotated[
    Literal["spring", "summer", "autumn", "winter"],
    _words(read_season, {"enum": list(SEASON_WORDS)}),
]
AnimalState = Annotated[
    Literal[
        "fine",
        "breeding",
        "climbing_out",
        "overturned",
        "gasping",
        "ill",
        "dying",
        "dead",
        "gone",
        "swarming",
    ],
    _words(read_state, {"enum": list(STATE_WORDS)}),
]
YesNo = Annotated[bool, _words(read_yes_or_no, _YES_NO)]
DeathCounts = Annotated[tuple[tuple[Moment, int], ...], _words(read_death_counts, _DEATH_COUNTS)]
Answers = Annotated[dict[str, Told], _words(read_told, _ANSWERS)]


#: A repeated event whose harm came back with it.
EACH_TIME = ("each time", "every time", "after each", "after every")


def _roughly(written: Any, read: Callable[[Any], Any]) -> Any:
    """One word of a choice; or several of them, where it was told no closer than one of these."""
    if isinstance(written, Either):
        written = list(written.words)
    if not isinstance(written, list | tuple):
        return read(written)
    if not written:
        raise Unreadable("this list is empty.", "Write one word, or leave the field out.")
    return one_of(tuple(in_part(index, read, word) for index, word in enumerate(written)))


RoughWord = WrapValidator(_roughly)
FilterState = Annotated[Literal["none", "running", "stopped"], RoughWord]
Planting = Annotated[Literal["none", "sparse", "moderate", "dense"], RoughWord]
Cover = Annotated[Literal["none", "part", "full"], RoughWord]
Bottom = Annotated[Literal["none", "inert", "soil", "limestone"], RoughWord]


class Container(Record):
    """The container, where it stands and how it is kept. None means: not told."""

    kind: Literal["bowl", "jar", "vase", "tank", "other"] | None = None
    volume_l: Volume | None = Field(default=None, validation_alias="volume")
    water_depth_cm: Length | None = Field(default=None, validation_alias="water_depth")
    opening_diameter_cm: Length | None = Field(default=None, validation_alias="opening_diameter")
    opening_area_cm2: Area | None = Field(default=None, validation_alias="opening_area")
    age_days: Days | None = Field(default=None, validation_alias="age")
    filter: FilterState | None = None
    air: YesNo | None = None
    heater: Literal["none", "working", "faulty"] | None = None
    heater_setpoint_c: Warmth | None = Field(default=None, validation_alias="heater_setpoint")
    planting: Planting | None = None
    floating_cover: Cover | None = None
    substrate: Bottom | None = None
    substrate_age_days: Days | None = Field(default=None, validation_alias="substrate_age")
    light_hours: HoursOfDay | None = Field(default=None, validation_alias="light")
    sun: Literal["none", "short", "long"] | None = None
    sun_hours: HoursOfDay | None = None
    window: Literal["north", "east", "south", "west"] | None = None
    placement: Line | None = None
    lid: Literal["open", "low_water", "covered", "sealed"] | None = None
    co2: Literal["none", "on"] | None = None
    water_source: (
        Literal["tap", "well", "rain", "mineral_free", "remineralised", "bottled", "softened"]
        | None
    ) = None
    conditioner: Literal["always", "missed", "never", "not_needed"] | None = None
    topup: Literal["tap", "mineral_free", "nothing"] | None = None
    water: Literal["fresh", "brackish", "sea"] | None = None
    water_level: Literal["full", "lowered"] | None = None
    surface_moved: YesNo | None = None
    room_temperature_c: RoomWarmth | None = Field(default=None, validation_alias="room_temperature")
    room_min_c: RoomWarmth | None = Field(default=None, validation_alias="room_min")
    room_max_c: RoomWarmth | None = Field(default=None, validation_alias="room_max")
    change_share_percent: Share | None = Field(default=None, validation_alias="change_share")
    change_volume_l: Volume | None = Field(default=None, validation_alias="change_volume")
    change_interval_days: Every | None = Field(default=None, validation_alias="change_every")
    altitude_m: Altitude | None = Field(default=None, validation_alias="altitude")
    season: Season | None = None
    outdoor: YesNo | None = None

    @model_validator(mode="before")
    @classmethod
    def _spread_change(cls, written: Any) -> Any:
        """People write two habits as one thing: `change: {share: 50 %, every: 7 days}`."""
        if not isinstance(written, dict) or "change" not in written:
            return written
        change = written["change"]
        if change is not None and not isinstance(change, dict):
            raise Unreadable(
                f"`{change}` does not say how much and how often.",
                "Write `change: {share: 50 %, every: 7 days}`.",
                "change",
            )
        rest = {key: value for key, value in written.items() if key != "change"}
        habits = {f"change_{key}": value for key, value in (change or {}).items()}
        return rest | _litres_apart(habits, "change_share", "change_volume")


def _litres_apart(written: dict[str, Any], share: str, volume: str) -> dict[str, Any]:
    """A share told in litres (`share: 10 L`) is a volume; the container says what share that is."""
    said = written.get(share)
    if not isinstance(said, str) or volume in written or not q.is_of_measure(said, q.VOLUME):
        return written
    return {key: value for key, value in written.items() if key != share} | {volume: said}


def _with_nobody_died(written: dict[str, Any]) -> dict[str, Any]:
    """`deaths: none` and `nobody died: yes` as the number 0 of deaths."""
    kept = {key: value for key, value in written.items() if folded(key) != "nobody died"}
    deaths = kept.get("deaths")
    if isinstance(deaths, str | int) and not isinstance(deaths, bool):
        if folded(str(deaths)) not in NOBODY_DIED:
            raise Unreadable(
                f"`{deaths}` does not say who died.",
                "Write `deaths: none`, or `deaths: {first: 2 days ago, dead: 3}`.",
                "deaths",
            )
        kept["deaths"] = {"dead": 0}
    for key in written.keys() - kept.keys():
        nobody = in_part(key, read_yes_or_no, written[key])
        if nobody and kept.get("deaths") not in (None, {"dead": 0}):
            raise Unreadable("`deaths` tells of some who died.", "Keep the true one.", key)
        if nobody:
            kept["deaths"] = {"dead": 0}
        elif not kept.get("deaths"):
            raise Unreadable(
                "it says that some died, and nothing tells of them.",
                "Write `deaths: {first: 2 days ago, dead: 3}` with what you know.",
                key,
            )
    return kept


class OtherAnimals(Record):
    """Animals other than the shrimp this case is about.

    `state` is that of most of them, `dead` how many died. `apart`: they have a part of their own,
    behind a net or in a box, and share the water only.
    """

    kind: Name
    count: Count | None = None
    state: AnimalState | None = None
    dead: Count | None = None
    apart: YesNo | None = None
    size_cm: Length | None = Field(default=None, validation_alias="size")
    put_in: Time | None = None
    gone: YesNo | None = None


class Feeding(Record):
    """What is fed, how often, and how soon it is gone."""

    per_feed: Portion | None = None
    times_per_week: Often | None = Field(default=None, validation_alias="times")
    eaten_within_hours: Hours | None = Field(default=None, validation_alias="eaten_within")


class Stock(Record):
    """The shrimp: which kind and how many before the losses began, by stage.

    `also_species` are the further kinds where several live together; in a file `species` may be a
    list of them all. None means: not told.
    """

    species: Name | None = None
    also_species: Names = ()
    adults: Count | None = None
    females: Count | None = None
    males: Count | None = None
    berried: Count | None = None
    juveniles: Count | None = None
    hatchlings: Count | None = None
    kept_for_days: Days | None = Field(default=None, validation_alias="kept")
    others: tuple[OtherAnimals, ...] = ()
    feeding: Feeding | None = None

    @model_validator(mode="before")
    @classmethod
    def _spread_species(cls, written: Any) -> Any:
        """People name several kinds in one list: `species: [cherry shrimp, Amano shrimp]`."""
        kinds = written.get("species") if isinstance(written, dict) else None
        if not isinstance(kinds, list):
            return written
        rest = {key: value for key, value in written.items() if key != "species"}
        more = [*kinds[1:], *read_names(rest.get("also_species"))]
        first = {"species": kinds[0]} if kinds else {}
        return rest | first | ({"also_species": more} if more else {})


class Reading(Record):
    """A number someone measured.

    `value` is in degC, mg/L, dGH, dKH, uS/cm at 25 degC, percent or pH. Ammonia (`ammonia` is
    total, `unionised_ammonia` the free part) and nitrite are mg/L as N, nitrate is mg/L as NO3. In
    a file the kit's own way of counting is converted; `as_written` keeps what was written there,
    `logged` the line of the log it came from. `word` is one of TOLD_WORDS until `check_names` has
    put the interval in its place that the vocabulary gives to it; `value` says nothing till then.
    `values` are all that were tested, none of them named: 1 where they were said to be in order, 0
    where one was said not to be.
    """

    what: Literal[
        "temperature",
        "ph",
        "ammonia",
        "unionised_ammonia",
        "nitrite",
        "nitrate",
        "gh",
        "kh",
        "solids",
        "conductivity",
        "oxygen",
        "oxygen_percent",
        "co2",
        "chlorine",
        "copper",
        "phosphate",
        "values",
    ]
    value: Measured
    at: Time | None = None
    where: Literal["container", "tap", "new_water", "bag", "other_container"] = "container"
    note: Line | None = None
    word: str | None = Field(default=None, exclude=True)
    as_written: str = Field(default="", exclude=True)
    logged: str = Field(default="", exclude=True)

    @model_validator(mode="before")
    @classmethod
    def _convert(cls, written: Any, info: ValidationInfo) -> Any:
        """In a file (a context is given) values are as written; in Python already canonical."""
        if info.context is None or not isinstance(written, dict):
            return written
        return canonical_reading(written, info.context)


class Event(Record):
    """Something done or that happened.

    `temperature_c`, `solids_mg_l` and `gh_dgh` are of the new water; `dose` is how much it was
    against the label; `logged` names the line of the log. `followed`: what was seen after it, of
    something tried against the losses. `times`: how often it was done; `harm_each_time`: whether
    animals fell ill or died after every one.
    """

    what: Name
    at: Time | None = None
    share_percent: Share | None = Field(default=None, validation_alias="share")
    volume_l: Volume | None = Field(default=None, validation_alias="volume")
    temperature_c: Warmth | None = Field(default=None, validation_alias="temperature")
    conditioner: Literal["full", "part", "none"] | None = None
    solids_mg_l: Solids | None = Field(default=None, validation_alias="solids")
    gh_dgh: Hardness | None = Field(default=None, validation_alias="gh")
    amount: Portion | None = None
    dose: Dose | None = None
    product: Line | None = None
    count: Count | None = None
    followed: Followed | None = None
    ill_within_hours: Hours | None = Field(default=None, validation_alias="ill_within")
    times: Count | None = None
    harm_each_time: YesNo | None = None
    note: Line | None = None
    logged: str = Field(default="", exclude=True)

    @model_validator(mode="before")
    @classmethod
    def _spread(cls, written: Any, info: ValidationInfo) -> Any:
        """`at: each time` says that harm came after every one of them, at no one time."""
        if not isinstance(written, dict):
            return written
        at = written.get("at")
        if isinstance(at, str) and " ".join(at.lower().split()) in EACH_TIME:
            rest = {key: value for key, value in written.items() if key != "at"}
            written = {"harm_each_time": True} | rest
        return written if info.context is None else _litres_apart(written, "share", "volume")


class Deaths(Record):
    """Who died and when. `dead` of `of` animals, over `over_hours`, or day by day in `counts`.

    Where no number was told, `share_percent` is the part of all that died (`dead: most`), and
    `left` how many are left of them (`dead: all but one`). `whom`: it was only the young, the
    grown ones, or one of several kinds. `young_percent`: the share of the young that was lost.
    `ill_since`: when the first ones fell ill, which can be before anybody died; `ill_within_hours`:
    how soon that was after what was done last.
    """

    first: Time | None = None
    last: Time | None = None
    dead: Count | None = None
    of: Count | None = None
    share_percent: Share | None = Field(default=None, validation_alias="share")
    left: Count | None = None
    whom: Whom | None = None
    young_percent: Share | None = Field(default=None, validation_alias="young")
    over_hours: Hours | None = Field(default=None, validation_alias="over")
    ill_since: Time | None = None
    ill_within_hours: Hours | None = Field(default=None, validation_alias="ill_within")
    counts: DeathCounts = ()

    @model_validator(mode="before")
    @classmethod
    def _spread_rough(cls, written: Any, info: ValidationInfo) -> Any:
        if info.context is None or not isinstance(written, dict):
            return written
        return spread_rough_deaths(written)


class Adding(Record):
    """The animals that are to come, and the water they come in (readings with `where: bag`).

    `bag_volume_l` is the water in the bag, `travel_hours` how long it was closed.
    """

    species: Name | None = None
    adults: Count | None = None
    juveniles: Count | None = None
    bag_volume_l: Volume | None = Field(default=None, validation_alias="bag_volume")
    travel_hours: Hours | None = Field(default=None, validation_alias="travel")


class StockingExpectation(Record):
    """What the question about adding must come to. `limit` names every limit that may lead."""

    verdict: Literal["add now", "wait", "do not add"]
    limit: Names


def _split(written: object) -> str:
    """Cases were once kept apart as `test`; every one has been seen since."""
    return {"test": "seen"}.get(str(written), str(written))


class Expectation(Record):
    """What a worked case must come to: ids of causes. `first` names every cause that may lead,
    `mechanisms` what the first may harm by, of a source that names no cause.
    """

    first: Names = ()
    mechanisms: Names = ()
    first_three: Names = ()
    also: Names = ()
    never: Names = ()
    split: Annotated[Literal["seen", "tune"], _words(_split, {"enum": ["seen", "tune"]})] = "tune"
    thin: YesNo = False
    stocking: StockingExpectation | None = None


class Case(Record):
    """One container at one time of asking.

    `asked` names what was only told on being asked, by observation (`deaths` for all of them):
    everything else was volunteered.
    """

    case: Name
    title: Line | None = None
    story: Story | None = None
    asked_at: AskedAt | None = None
    units: Units = "metric"
    container: Container = Field(default_factory=lambda: Container())
    stock: Stock = Field(default_factory=lambda: Stock())
    adding: Adding | None = None
    readings: tuple[Reading, ...] = ()
    events: tuple[Event, ...] = ()
    not_done: Names = ()
    deaths: Deaths | None = None
    seen: Names = ()
    not_seen: Names = ()
    told: Answers = Field(default_factory=dict)
    asked: Names = ()
    log: Name | None = None
    expect: Expectation | None = None

    @model_validator(mode="before")
    @classmethod
    def _drop_empty_sections(cls, written: Any) -> Any:
        """A heading with nothing below it, as a half-filled form has, tells nothing; and that
        nobody died may be said in one line.
        """
        if not isinstance(written, dict):
            return written
        sections = ("container", "stock", "readings", "events", "told")
        kept = {k: v for k, v in written.items() if v is not None or k not in sections}
        return _with_nobody_died(kept)
