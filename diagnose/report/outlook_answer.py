"""The outlook of a container as plain data: the one thing that every format renders.

Numbers in fields are in the program's own units: degC, mg/L, ammonia and nitrite as N, nitrate as
NO3; sentences are in the keeper's.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from diagnose.advice.forbidden import CalledFor, Withheld
from diagnose.bowl.account import Moved
from diagnose.bowl.against import Laid, Verdict, verdicts
from diagnose.bowl.bands import Band
from diagnose.bowl.capacity import (
    LEAST_OXYGEN_MG_L,
    MOST_NH3_N_MG_L,
    MOST_NITRATE_RISE_N_MG_L,
    MOST_NITRITE_N_MG_L,
)
from diagnose.bowl.description import Event
from diagnose.bowl.description import Quantity as Measured
from diagnose.bowl.forecast import QUANTITIES, Forecast, Quantity
from diagnose.bowl.measured_by import NARROWED_BY
from diagnose.bowl.modelled import ModelledCase
from diagnose.report import wording
from diagnose.report.answer import CautionLine, HeldBack, caution_lines, held_back
from diagnose.report.keepers_units import said_in
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.account import Account
from diagnose.water.nitrogen import NO3_PER_N

FORMAT: Final = "bowlside-outlook/1"
HOURS_PER_DAY: Final = 24
DAYS_PER_WEEK: Final = 7
#: Readings met no better than this, in their errors, say that the model misses something.
WORST_MISFIT: Final = 3.0
#: Who acts on an outlook puts hands and gear into the water, and has animals to give away.
CAUTIONS: Final = ("electricity-near-water", "wash-hands-and-cover-wounds", "never-release")
#: Fewer young than this a week are not worth a net.
LEAST_YOUNG: Final = 0.5
TITLES: Final[dict[Quantity, tuple[str, str]]] = {
    "temperature_c": ("Temperature, coldest to warmest hour", "degC"),
    "oxygen_dawn_mg_l": ("Oxygen, lowest hour of the day", "mg/L"),
    "tan_mg_l": ("Total ammonia as N, highest hour", "mg/L"),
    "nh3_mg_l": ("Un-ionised ammonia as N, highest hour", "mg/L"),
    "nitrite_mg_l": ("Nitrite as N, highest hour", "mg/L"),
    "nitrate_mg_l": ("Nitrate as NO3", "mg/L"),
    "animals": ("Animals of all ages, eggs left out", ""),
    "grown_by_mass": ("Animals by weight, as so many grown ones", ""),
}


#: Title, unit and factor to it of what may be measured and held against the model.
AGAINST_TITLES: Final[dict[Measured, tuple[str, str, float]]] = {
    "temperature_c": ("Temperature", "degC", 1.0),
    "oxygen_mg_l": ("Oxygen", "mg/L", 1.0),
    "tan_mg_l": ("Total ammonia as N", "mg/L", 1.0),
    "nitrite_mg_l": ("Nitrite as N", "mg/L", 1.0),
    "nitrate_n_mg_l": ("Nitrate as NO3", "mg/L", NO3_PER_N),
    "solids_mg_l": ("Dissolved solids", "mg/L", 1.0),
    "gh_dgh": ("Hardness", "dGH", 1.0),
    "ph": ("pH", "", 1.0),
}

#: What passes a limit, where the title says it otherwise.
SUBJECTS: Final = {"grown_by_mass": "The weight of the animals", "nitrate_mg_l": "Nitrate"}


@dataclass(frozen=True, slots=True)
class Edge:
    """A limit: its value, which side of it is safe (`above`, `below`), and what it stands for."""

    value: float
    safe: str
    text: str


@dataclass(frozen=True, slots=True)
class Day:
    """One day: what lies at 10, 50 and 90 % of the members; the same under the what-if."""

    day: int
    low: float
    middle: float
    high: float
    changed_low: float | None
    changed_middle: float | None
    changed_high: float | None


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity day by day, day 0 being the day of asking."""

    name: str
    title: str
    unit: str
    limits: tuple[Edge, ...]
    days: tuple[Day, ...]


@dataclass(frozen=True, slots=True)
class Happened:
    """An event of the log, or of the what-if (`supposed`): its day, a letter for the drawing, in
    words.
    """

    day: int
    mark: str
    text: str
    supposed: bool


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A change to the container and the adults it would then carry (middle)."""

    change: str
    adults: float


@dataclass(frozen=True, slots=True)
class CarriesLine:
    """Grown animals the container carries: in nine of ten members, the middle, in one of ten; what
    sets the limit, and what would move it. mature: once the film has grown in; trade: what keepers
    have in such a container. measure and instrument: what would narrow the number most; None where
    it is narrow enough. changed: the three numbers after the what-if.
    """

    low: float
    middle: float
    high: float
    limiting: str
    by_limit: dict[str, float]
    moves: tuple[MoveLine, ...]
    mature: float
    trade: float
    measure: str | None
    instrument: str | None
    changed: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class AgainstLine:
    """A measured quantity over the bands: its points, how many lie inside, the mean difference of
    the middle (model less measured), the root mean square of it, and the score of the runs, in the
    quantity's own unit.
    """

    name: str
    title: str
    unit: str
    points: int
    inside: int
    bias: float
    error: float
    score: float


@dataclass(frozen=True, slots=True)
class MeasuredPoint:
    """A measured value of a quantity, its day (with its hour as a part), and the band there."""

    name: str
    day: float
    value: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class YoungLine:
    """Young to take out at the change of a week, to hold the number chosen."""

    week: int
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class OutlookAnswer:
    """The whole outlook. withheld: steps that the what-if comes to and that the case forbids."""

    format: str
    case: str
    asked_at: str
    what_if: tuple[str, ...]
    withheld: tuple[HeldBack, ...]
    first: tuple[str, ...]
    series: tuple[Series, ...]
    events: tuple[Happened, ...]
    carries: CarriesLine
    hold_at: float
    young_out: tuple[YoungLine, ...]
    full_in_weeks: float | None
    young_out_changed: tuple[YoungLine, ...]
    against: tuple[AgainstLine, ...]
    measured: tuple[MeasuredPoint, ...]
    read: tuple[MeasuredPoint, ...]
    cautions: tuple[CautionLine, ...]
    assumptions: tuple[str, ...]


def outlook_answer(
    rulebook: Rulebook,
    result: Forecast,
    found: ModelledCase,
    account: Account,
    after: Account | None,
    moves: tuple[Moved, ...],
    *,
    case: str,
    asked_at: datetime,
    said: tuple[str, ...],
    withheld: tuple[Withheld, ...],
    before_it: tuple[CalledFor, ...],
    comfortable_c: tuple[float, float] | None,
    assumptions: tuple[str, ...],
    prefer: wording.Preference,
) -> OutlookAnswer:
    """The outlook as data. account: of the container as it is; after: with the what-if. before_it:
    what must be seen to before the what-if.
    comfortable_c: the species' range.
    """
    series = tuple(
        _series(name, result, _limits(name, found, account, comfortable_c)) for name in QUANTITIES
    )
    measure, instrument = NARROWED_BY.get(account.narrows or "", (None, None))
    answer = OutlookAnswer(
        format=FORMAT,
        case=wording.plain(case),
        asked_at=f"{asked_at:%Y-%m-%d %H:%M}",
        what_if=tuple(wording.plain(text) for text in said),
        withheld=tuple(held_back(rulebook, item) for item in withheld),
        first=(
            *(f"Before it: {item.step.title}. {item.because}" for item in before_it),
            *_first(series, result, prefer, changed=bool(said)),
        ),
        series=series,
        events=(
            *_happened(result.events, supposed=False),
            *_happened(result.future, supposed=True),
        ),
        carries=CarriesLine(
            account.safe,
            account.middle,
            account.best,
            limiting=account.limiting,
            by_limit=dict(account.by_limit),
            moves=tuple(MoveLine(m.change, m.factor * account.middle) for m in moves),
            mature=account.mature,
            trade=account.trade,
            measure=measure,
            instrument=instrument,
            changed=None if after is None else (after.safe, after.middle, after.best),
        ),
        hold_at=account.hold_at,
        young_out=_young_lines(account),
        full_in_weeks=_full_in_weeks(result, account),
        young_out_changed=() if after is None else _young_lines(after),
        against=tuple(_against(one) for one in verdicts(result.laid)),
        measured=tuple(_measured(one) for one in result.laid),
        read=tuple(_measured(one) for one in result.read),
        cautions=caution_lines(rulebook, CAUTIONS),
        assumptions=(*assumptions, *_trust(result)),
    )
    return said_in(answer, prefer)


def _young_lines(account: Account) -> tuple[YoungLine, ...]:
    return tuple(YoungLine(week, *young) for week, young in enumerate(account.young_out, start=1))


def _against(one: Verdict) -> AgainstLine:
    title, unit, factor = AGAINST_TITLES[one.quantity]
    return AgainstLine(
        name=one.quantity,
        title=title,
        unit=unit,
        points=one.points,
        inside=round(one.inside * one.points),
        bias=factor * one.bias,
        error=factor * one.error,
        score=factor * one.score,
    )


def _measured(one: Laid) -> MeasuredPoint:
    factor = AGAINST_TITLES[one.point.quantity][2]
    return MeasuredPoint(
        one.point.quantity,
        one.point.hour / HOURS_PER_DAY,
        factor * one.point.value,
        factor * one.low,
        factor * one.middle,
        factor * one.high,
    )


def _full_in_weeks(result: Forecast, account: Account) -> float | None:
    """Weeks until the animals weigh what the container carries, in the middle of the runs."""
    carries = account.middle
    for day, found in zip(result.days, result.present["grown_by_mass"], strict=True):
        if day >= 0 and found[1] > carries:
            return day / DAYS_PER_WEEK
    return None


def _limits(
    name: Quantity,
    found: ModelledCase,
    account: Account,
    comfortable_c: tuple[float, float] | None,
) -> tuple[Edge, ...]:
    if name == "temperature_c" and comfortable_c is not None:
        low, high = comfortable_c
        return (
            Edge(low, "above", "comfortable from here"),
            Edge(high, "below", "comfortable up to here"),
        )
    if name == "oxygen_dawn_mg_l":
        return (Edge(LEAST_OXYGEN_MG_L, "above", "harm begins below"),)
    if name == "nh3_mg_l":
        return (Edge(MOST_NH3_N_MG_L, "below", "the most that test chambers allow"),)
    if name == "nitrite_mg_l":
        return (Edge(MOST_NITRITE_N_MG_L, "below", "the most the trade allows"),)
    if name == "nitrate_mg_l":
        most = (found.bowl.tap.nitrate_n_mg_l + MOST_NITRATE_RISE_N_MG_L) * NO3_PER_N
        return (Edge(most, "below", "the trade's limit: 50 mg/L above the tap"),)
    if name == "grown_by_mass":
        return (Edge(account.middle, "below", "what this container carries"),)
    return ()


def _series(name: Quantity, result: Forecast, limits: tuple[Edge, ...]) -> Series:
    changed = result.changed[name] if result.changed is not None else None
    days = []
    for place, day in enumerate(result.days):
        other: Band | None = changed[place] if changed is not None and day >= 0 else None
        days.append(Day(day, *result.present[name][place], *(other or (None, None, None))))
    title, unit = TITLES[name]
    return Series(name, title, unit, limits, tuple(days))


def _first(
    series: tuple[Series, ...],
    result: Forecast,
    prefer: wording.Preference,
    *,
    changed: bool,
) -> Iterator[str]:
    """What matters most in a few sentences: which limits the coming weeks pass."""
    passed = False
    for one in series:
        coming = [day for day in one.days if day.day >= 0]
        for edge in one.limits:
            over = [day for day in coming if _beyond(edge, day.low, day.middle, day.high)]
            if over:
                passed = True
                yield _passing(one, edge, over[0].day, sure=_surely(edge, over), prefer=prefer)
            if changed and any(_beyond(edge, *_of_change(day)) for day in coming) != bool(over):
                yield _after_change(one, keeps=bool(over))
    if not passed:
        yield "No limit is passed in the coming weeks, in nine of ten runs of the model."


def _of_change(day: Day) -> tuple[float, float, float]:
    assert day.changed_low is not None
    assert day.changed_middle is not None and day.changed_high is not None
    return day.changed_low, day.changed_middle, day.changed_high


def _beyond(edge: Edge, low: float, middle: float, high: float) -> bool:
    """Whether one of ten runs or more lie on the wrong side."""
    return low < edge.value if edge.safe == "above" else high > edge.value


def _surely(edge: Edge, days: list[Day]) -> bool:
    return any(
        day.middle < edge.value if edge.safe == "above" else day.middle > edge.value for day in days
    )


def _passing(one: Series, edge: Edge, day: int, *, sure: bool, prefer: wording.Preference) -> str:
    way = "falls below" if edge.safe == "above" else "passes"
    often = "in most runs of the model" if sure else "in some runs of the model"
    when = "already now" if day == 0 else f"from day {day}"
    unit = wording.quantity(wording.rounded(edge.value, 2), one.unit, prefer)
    if not one.unit:
        unit = f"that of {unit} grown ones"
    return f"{_subject(one)} {way} {unit} {when}, {often} ({edge.text})."


def _after_change(one: Series, *, keeps: bool) -> str:
    name = _subject(one)
    name = name[0].lower() + name[1:]
    if keeps:
        return f"With the change, {name} keeps to its limit."
    return f"With the change, {name} passes its limit."


def _subject(one: Series) -> str:
    return SUBJECTS.get(one.name, one.title.partition(",")[0])


def _trust(result: Forecast) -> Iterator[str]:
    if result.misfit > WORST_MISFIT:
        yield (
            "The model does not meet what was measured: something is at work that it does not "
            "know. Trust the readings, not the drawing."
        )
    yield (
        "Bands hold eight of ten runs of the model; its rates are published where they could be, "
        "else from memory, and what nobody logged it cannot know."
    )


def _worth_a_mark(event: Event) -> bool:
    return event.kind != "bodies_removed" and not (event.kind == "feeding" and event.mg == 0.0)


_MARKS: Final = {
    "water_change": "W",
    "top_up": "T",
    "feeding": "F",
    "animals_added": "A",
    "animals_removed": "R",
    "deaths": "D",
    "biofilm_lost": "B",
    "room_shift": "H",
    "shaded": "S",
    "stirred": "M",
    "lamp_set": "L",
}


def _happened(events: Iterable[Event], *, supposed: bool) -> Iterator[Happened]:
    """The events worth a mark; what moved both sexes in one hour is one event of grown ones."""
    grown: dict[tuple[float, str], float] = {}
    for event in events:
        if event.stage in ("females", "males"):
            key = (event.hour, event.kind)
            grown[key] = grown.get(key, 0.0) + event.count
    for event in events:
        if not _worth_a_mark(event):
            continue
        count, who = event.count, str(event.stage)
        if event.count > 0.0 and event.stage in ("females", "males"):
            if (event.hour, event.kind) not in grown:
                continue
            count, who = grown.pop((event.hour, event.kind)), "grown ones"
            who = "grown one" if round(count, 2) == 1.0 else who
        day = int(event.hour // HOURS_PER_DAY)
        yield Happened(day, _MARKS[event.kind], _in_words(event, count, who), supposed)


def _in_words(event: Event, count: float, who: str) -> str:
    number = wording.number(wording.rounded(count, 3))
    words = {
        "water_change": f"water change, {event.share:.0%}".replace("%", " %"),
        "top_up": "top-up",
        "feeding": f"food, {wording.number(event.mg)} mg",
        "animals_added": f"{number} {who} added",
        "animals_removed": f"{number} {who} taken out",
        "deaths": f"{number} {who} dead",
        "biofilm_lost": "film of bacteria lost",
        "room_shift": "room warmer" if event.shift_c > 0.0 else "room colder",
        "shaded": "out of the sun",
        "stirred": "surface kept moving",
        "lamp_set": f"lamp {wording.number(event.hours)} h a day",
    }
    return words[event.kind]


def outlook_csv(answer: OutlookAnswer) -> str:
    """All series as one table: quantity, unit, day, low, middle, high, and under the what-if."""
    sheet = io.StringIO()
    rows = csv.writer(sheet, lineterminator="\n")
    head = ["quantity", "unit", "day", "low", "middle", "high"]
    rows.writerow([*head, "changed_low", "changed_middle", "changed_high"])
    for one in answer.series:
        for day in one.days:
            numbers = [day.low, day.middle, day.high]
            changed = [day.changed_low, day.changed_middle, day.changed_high]
            rows.writerow(
                [one.name, one.unit, day.day]
                + [f"{value:.6g}" for value in numbers]
                + ["" if value is None else f"{value:.6g}" for value in changed]
            )
    return sheet.getvalue()
