"""When something happened, as people say it: a date, so long ago, or around the first death."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import COUNT_WORDS, PLURAL

MomentKind = Literal[
    "absolute",
    "before_asking",
    "day_before_asking",
    "from_first_death",
    "beside_deaths",
    "long_before",
    "month",
    "weekday",
]

#: The clock hour assumed for a day named without one, and for the parts of a day people speak of.
#: Convention of this program, no source.
NOON = 12.0
PARTS_OF_DAY = {
    "night": 2.0,
    "dawn": 6.0,
    "morning": 8.0,
    "noon": NOON,
    "midday": NOON,
    "afternoon": 15.0,
    "evening": 20.0,
    "midnight": 0.0,
}
HOURS_PER = {
    "min": 1.0 / 60.0,
    "minute": 1.0 / 60.0,
    "h": 1.0,
    "hr": 1.0,
    "hour": 1.0,
    "d": 24.0,
    "day": 24.0,
    "w": 168.0,
    "week": 168.0,
    "fortnight": 336.0,
    "month": 730.5,
    "year": 8766.0,
}
#: A hundred years: no log goes back further, and no calendar breaks before.
LONGEST_SPAN_H = 100 * HOURS_PER["year"]
SMALL_NUMBERS = {
    "a": 1.0,
    "an": 1.0,
    "one": 1.0,
    "two": 2.0,
    "three": 3.0,
    "four": 4.0,
    "five": 5.0,
    "six": 6.0,
    "seven": 7.0,
    "eight": 8.0,
    "nine": 9.0,
    "ten": 10.0,
    "half a": 0.5,
    "half an": 0.5,
    "a couple of": 2.0,
    "a few": 3.0,
}
WAYS_TO_SAY = (
    "Write a date (2026-03-14, or 2026-03-14 21:30), or `2 days ago`, `2 days ago 21:30`, "
    "`yesterday evening`, `36 h before the first death`, `at the first death`, or roughly: "
    "`recently`, `just before`, `in August`, `last winter`."
)

#: A span that was told no closer than a bound: how far the true one may lie from it, as factors.
#: Convention of this program, no source.
_BOUND = r"(?P<bound>at least|over|more than|well over|up to|at most|less than|under|within)"
_AT_LEAST, _AT_MOST = (1.0, 2.0), (0.0, 1.0)
_NO_LESS = ("at least", "over", "more than", "well over")
# Patterns are kept as text: `re` compiles one when it is first needed, and most never are.
_SPAN = (
    r"(?:about |around |ca\.? |~ ?)?"
    r"(?:(?P<number>\d+(?:[.,]\d+)?(?: ?(?:-|\u2013|to|or) ?\d+(?:[.,]\d+)?)?)\s*"
    r"|(?P<words>half an?|a couple(?: of)?|quite a few|a few|[a-z]+ (?:or|to) [a-z]+|[a-z]+)\s+)?"
    r"(?P<unit>[a-z]+?)s?"
)
_AGO = rf"(?:{_BOUND} )?" + _SPAN + r" (?:ago|before (?:asking|now))"
_DEATHS = (
    r"(?: (?:the |they |it |that |all )?(?:first )?(?:deaths?|died|body|bodies|dead|happened))?"
)
_LONELY = _SPAN + r" (?P<side>before|after|later)(?:wards)?" + _DEATHS
#: What people say without a number or a date: from what it counts, the hours, and how far off.
#: Convention of this program, no source.
_DEATH: MomentKind = "from_first_death"
_ASKING: MomentKind = "before_asking"
_LONG_BEFORE: MomentKind = "long_before"
_LATELY = r"(?:some ?time )?(?:in |within |over |during )?the (?:last|past) "
_BY_WORD: tuple[tuple[str, MomentKind, float, float], ...] = (
    (r"(?:just|shortly|right|immediately|directly|hours) before" + _DEATHS, _DEATH, -6.0, 6.0),
    (r"(?:on )?(?:the |that )?same day" + _DEATHS + r"|that day|on the day", _DEATH, 0.0, 12.0),
    (r"(?:on )?(?:the )?same day,? (?:just )?before" + _DEATHS, _DEATH, -6.0, 6.0),
    (r"(?:0|zero|no) days? before" + _DEATHS, _DEATH, -6.0, 6.0),
    (r"(?:on )?(?:the )?same day,? (?:just )?after" + _DEATHS, _DEATH, 6.0, 6.0),
    (r"(?:soon|shortly|right|just|immediately) after(?:wards)?" + _DEATHS, _DEATH, 12.0, 12.0),
    (r"(?:the )?(?:next day|day after)" + _DEATHS, _DEATH, 24.0, 12.0),
    (r"(?:the )?(?:day|evening|night) before" + _DEATHS, _DEATH, -24.0, 12.0),
    (r"(?:the )?week before" + _DEATHS, _DEATH, -96.0, 72.0),
    (r"recently|lately|of late|not long ago|the other day|these days", _ASKING, 168.0, 168.0),
    (r"(?:some ?time )?(?:this|(?:in|within|over) the last) week", _ASKING, 84.0, 84.0),
    (r"(?:some ?time )?last week", _ASKING, 240.0, 72.0),
    (r"(?:some ?time )?(?:this|(?:in|within) the last) month", _ASKING, 365.0, 365.0),
    (r"(?:some ?time )?last month", _ASKING, 1095.0, 365.0),
    (r"(?:some ?time )?last year", _ASKING, 8766.0, 4383.0),
    (_LATELY + r"half (?:a )?year", _ASKING, 2191.5, 2191.5),
    (_LATELY + r"year", _ASKING, 4383.0, 4383.0),
    (r"a while ago|some time ago|once", _ASKING, 2000.0, 1800.0),
    (r"long ago|a long time ago|long past|(?:many )?years ago", _ASKING, 26298.0, 17532.0),
    (r"earlier|long before" + _DEATHS, _LONG_BEFORE, -1.0, 0.0),
)  # fmt: skip
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
#: The middle month of each season, north of the equator.
SEASON_MONTHS = {"spring": 4, "summer": 7, "autumn": 10, "fall": 10, "winter": 1}
_CALENDAR = (
    r"(?:(?:in|during|since|this|last|over|on|the|of|end|beginning|start|middle|mid|early|late)"
    r"[ -])*"
    r"(?P<name>[a-z]+)"
)
_DAY_OF_WEEK = (
    r"(?:(?:on|last|this|since|by) )*"
    r"(?P<name>monday|tuesday|wednesday|thursday|friday|saturday|sunday) (?P<part>[a-z]+)"
)
#: The hour that the night of a named day of the week is taken for: that evening's night.
NIGHT_OF_A_DAY = 22.0
#: Days into a month that its parts are taken for; a month without a part is its middle.
_PARTS_OF_MONTH = {"early": 5, "beginning": 5, "start": 5, "late": 25, "end": 25}
MIDDLE_OF_MONTH = 15
HALF_A_MONTH_H, A_THIRD_OF_A_MONTH_H, HALF_A_SEASON_H = 15 * 24.0, 10 * 24.0, 46 * 24.0
_DAYS_AGO = (
    r"(?P<number>\d+|[a-z]+) days? ago(?:,? at|,? in the|,)?"
    r" (?:(?P<part>[a-z]+)|(?P<clock>\d{1,2}:\d{2}))"
)
_AROUND_DEATH = rf"(?:{_BOUND} )?{_SPAN} (?P<side>before|after) (?:the )?first (?:death|body|dead)"
#: Afterwards, of whatever was told before.
WITHOUT_DEATHS = r"(?:later|later on|afterwards|since|since then)"
_BESIDE_DEATHS = (
    r"(?:(?:at )?some ?time )?(?P<side>before|after)"
    r" (?:all )?(?:the |any |they )?(?:first )?"
    r"(?:deaths?|losses|die-off|dying|died|body|bodies)(?: began| started)?"
    rf"|{WITHOUT_DEATHS}"
)
_AT_DEATH = r"(?:at|with|on) (?:the )?first (?:death|body)"
_DAY = (
    r"(?:(?P<day>today|yesterday|the day before yesterday)|(?P<this>this|last))"
    r"(?: at)?(?: (?P<part>[a-z]+)| (?P<clock>\d{1,2}:\d{2}))?"
)
_ISO = (
    r"(?P<day>\d{4}-\d{2}-\d{2})(?:[ T]+(?:at )?(?:(?P<clock>\d{1,2}:\d{2})(?::\d{2}(?:\.\d+)?)?"
    r"|(?P<part>[a-z]+)))?(?P<zone> ?(?:z|utc|[+-]\d{2}:?\d{2}))?"
)


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in time.

    kind `absolute`: `at` holds local date and time. `before_asking`: `hours` before the time of
    asking. `day_before_asking`: the clock time `hours` on the day `days` before the day of asking.
    `from_first_death`: `hours` after the first death, negative for before it. `beside_deaths`:
    before (`hours` -1) or after (+1) the deaths, nobody knows how long. `long_before`: well before
    what the case is about, and not in the two weeks that led up to it. `clock_told` is False
    when only a day was named and the hour is assumed. `month`: the latest month number `days` (1 to
    12) before the asking, `hours` into it. `weekday`: the latest day `days` (0 is Monday) before
    that of asking. `text` is what was written. `slack_h`: how far the true time may lie to either
    side, beyond the hour, where it was told roughly.
    """

    kind: MomentKind
    at: datetime | None = None
    hours: float = 0.0
    days: int = 0
    clock_told: bool = True
    text: str = ""
    slack_h: float = 0.0


def read_moment(written: object) -> Moment:
    """The moment a person wrote; a Moment passes through. Raises Unreadable."""
    if isinstance(written, Moment):
        return written
    if isinstance(written, datetime):
        return _absolute(written, True, written.isoformat(" ", "minutes"))
    if isinstance(written, date):
        noon = datetime(written.year, written.month, written.day, int(NOON))
        return _absolute(noon, False, written.isoformat())
    if not isinstance(written, str):
        raise Unreadable(f"`{written}` is not a time.", WAYS_TO_SAY)
    text = " ".join(written.split())
    said = text.lower()
    if said == "now":
        return Moment("before_asking", text=text)
    iso = re.fullmatch(_ISO, text, re.IGNORECASE)
    if iso is not None:
        return _iso(iso, text)
    if re.fullmatch(_AT_DEATH, said):
        return Moment("from_first_death", text=text)
    beside = re.fullmatch(_BESIDE_DEATHS, said)
    if beside is not None:
        side = -1.0 if beside["side"] == "before" else 1.0
        return Moment("beside_deaths", hours=side, clock_told=False, text=text)
    rough = _by_word(said, text)
    if rough is not None:
        return rough
    around = re.fullmatch(_AROUND_DEATH, said) or re.fullmatch(_LONELY, said)
    if around is not None:
        hours, slack = _span_hours(around, text)
        sign = -1.0 if around["side"] == "before" else 1.0
        told = _span_tells_clock(around)
        return Moment("from_first_death", None, sign * hours, 0, told, text, slack)
    ago = re.fullmatch(_AGO, said)
    if ago is not None:
        (hours, slack), told = _span_hours(ago, text), _span_tells_clock(ago)
        return Moment("before_asking", None, hours, 0, told, text, slack)
    days_ago = re.fullmatch(_DAYS_AGO, said)
    if days_ago is not None:
        return _days_ago(days_ago, text)
    day = re.fullmatch(_DAY, said)
    if day is not None:
        return _spoken_day(day, text)
    raise Unreadable(f"`{text}` is not a time this program can read.", WAYS_TO_SAY)


def _by_word(said: str, text: str) -> Moment | None:
    """What a person says who has no date: `recently`, `just before`, `in August`, `last winter`."""
    for pattern, kind, hours, slack in _BY_WORD:
        if re.fullmatch(pattern, said):
            return Moment(kind, None, hours, 0, False, text, slack)
    in_part = re.fullmatch(_DAY_OF_WEEK, said)
    if in_part is not None and in_part["part"] in PARTS_OF_DAY:
        part = in_part["part"]
        hours = NIGHT_OF_A_DAY if part == "night" else PARTS_OF_DAY[part]
        return Moment("weekday", None, hours, _WEEKDAYS.index(in_part["name"]), True, text)
    found = re.fullmatch(_CALENDAR, said)
    name = found["name"] if found is not None else ""
    if name in SEASON_MONTHS:
        middle = MIDDLE_OF_MONTH * 24.0
        return Moment("month", None, middle, SEASON_MONTHS[name], False, text, HALF_A_SEASON_H)
    if name in _WEEKDAYS:
        return Moment("weekday", None, NOON, _WEEKDAYS.index(name), False, text)
    if name in _MONTHS:
        parts = [day for word, day in _PARTS_OF_MONTH.items() if word in said.split()]
        day = parts[0] if parts else MIDDLE_OF_MONTH
        slack = A_THIRD_OF_A_MONTH_H if parts else HALF_A_MONTH_H
        return Moment("month", None, day * 24.0, _MONTHS.index(name) + 1, False, text, slack)
    return None


def _month_before(moment: Moment, asked_at: datetime) -> datetime:
    """The latest such month before the asking; in the month of asking itself, half of it so far."""
    then = datetime(asked_at.year, moment.days, 1) + timedelta(hours=moment.hours)
    if then <= asked_at:
        return then
    if moment.days == asked_at.month and "last" not in moment.text.lower():
        first = datetime(asked_at.year, asked_at.month, 1)
        return first + (asked_at - first) / 2
    return datetime(asked_at.year - 1, moment.days, 1) + timedelta(hours=moment.hours)


def hours_before_asking(
    moment: Moment, *, asked_at: datetime, first_death: Moment | None
) -> float | None:
    """Hours from the moment to the time of asking; None if it hangs on an unknown first death."""
    if moment.kind == "absolute" and moment.at is not None:
        return (asked_at - moment.at).total_seconds() / 3600.0
    if moment.kind == "before_asking":
        return moment.hours
    if moment.kind == "day_before_asking":
        midnight = asked_at.replace(hour=0, minute=0, second=0, microsecond=0)
        then = midnight - timedelta(days=moment.days) + timedelta(hours=moment.hours)
        return (asked_at - then).total_seconds() / 3600.0
    if moment.kind == "month":
        return (asked_at - _month_before(moment, asked_at)).total_seconds() / 3600.0
    if moment.kind == "weekday":
        days = (asked_at.weekday() - moment.days) % 7
        if days == 0 and "last" in moment.text.lower():
            days = 7
        then = asked_at.replace(hour=int(moment.hours), minute=0, second=0, microsecond=0)
        if days == 0 and moment.clock_told and then > asked_at:
            days = 7
        return max(0.0, (asked_at - then).total_seconds() / 3600.0 + days * 24.0)
    if moment.kind in ("beside_deaths", "long_before") or first_death is None:
        return None
    if first_death.kind in ("from_first_death", "beside_deaths", "long_before"):
        return None
    death = hours_before_asking(first_death, asked_at=asked_at, first_death=None)
    return None if death is None else death - moment.hours


def hours_before_first_death(
    moment: Moment, *, asked_at: datetime, first_death: Moment | None
) -> float | None:
    """Hours from the moment to the first death, negative when it came after; None when unknown."""
    if moment.kind == "from_first_death":
        return 0.0 - moment.hours
    if first_death is None:
        return None
    then = hours_before_asking(moment, asked_at=asked_at, first_death=None)
    death = hours_before_asking(first_death, asked_at=asked_at, first_death=None)
    return None if then is None or death is None else then - death


def _absolute(at: datetime, clock_told: bool, text: str) -> Moment:
    if at.tzinfo is not None:
        raise Unreadable(f"`{text}` names a time zone.", "Write the local time without a zone.")
    return Moment("absolute", at=at, clock_told=clock_told, text=text)


def _iso(found: re.Match[str], text: str) -> Moment:
    if found["zone"]:
        raise Unreadable(f"`{text}` names a time zone.", "Write the local time without a zone.")
    try:
        day = datetime.fromisoformat(found["day"])
    except ValueError:
        raise Unreadable(f"`{found['day']}` is no day of the calendar.", WAYS_TO_SAY) from None
    if found["clock"]:
        return _absolute(day + timedelta(hours=_clock(found["clock"])), True, text)
    if found["part"]:
        return _absolute(day + timedelta(hours=_part(found["part"].lower(), text)), True, text)
    return _absolute(day + timedelta(hours=NOON), False, text)


def _spoken_day(found: re.Match[str], text: str) -> Moment:
    part, clock = found["part"], found["clock"]
    if found["this"] == "last" and part != "night":
        raise Unreadable(f"`{text}` is not a time this program can read.", WAYS_TO_SAY)
    if found["this"] == "this" and part is None:
        raise Unreadable(f"`{text}` is not a time this program can read.", WAYS_TO_SAY)
    days = {"yesterday": 1, "the day before yesterday": 2}.get(found["day"] or "", 0)
    if part == "night" and found["day"] == "yesterday":
        days = 0  # the night that began yesterday: its small hours belong to today
    told = part is not None or clock is not None
    hours = NOON if part is None else _part(part, text)
    if clock is not None:
        hours = _clock(clock)
    if days == 0 and not told:
        return Moment("before_asking", clock_told=False, text=text)
    return Moment("day_before_asking", hours=hours, days=days, clock_told=told, text=text)


def _days_ago(found: re.Match[str], text: str) -> Moment:
    """A clock time or a part of the day so many days before that of asking."""
    number = found["number"]
    count = float(number) if number.isdigit() else SMALL_NUMBERS.get(number, 0.0)
    if not 1.0 <= count <= LONGEST_SPAN_H / HOURS_PER["day"]:
        raise Unreadable(f"`{text}`: `{number}` is no number of days.", WAYS_TO_SAY)
    clock = found["clock"]
    hours = _clock(clock) if clock is not None else _part(found["part"], text)
    return Moment("day_before_asking", hours=hours, days=int(count), text=text)


def _part(word: str, text: str) -> float:
    if word not in PARTS_OF_DAY:
        raise Unreadable(f"`{text}`: `{word}` is no part of a day.", WAYS_TO_SAY)
    return PARTS_OF_DAY[word]


def _clock(written: str) -> float:
    hour, minute = (int(part) for part in written.split(":"))
    if hour > 23 or minute > 59:
        raise Unreadable(
            f"`{written}` is no clock time.", "Write hours 0 to 23 and minutes, as 21:30."
        )
    return hour + minute / 60.0


def _span_tells_clock(found: re.Match[str]) -> bool:
    """`36 hours ago` tells the hour; `2 days ago` tells the day."""
    return found["unit"] in ("min", "minute", "h", "hr", "hour")


def _span_hours(found: re.Match[str], text: str) -> tuple[float, float]:
    """The hours of a span, and how far they may be off where it was told roughly."""
    unit = found["unit"]
    least, most = _counted(found["number"] or found["words"], text)
    bound = found.groupdict().get("bound")
    if bound is not None:
        low, high = _AT_LEAST if bound in _NO_LESS else _AT_MOST
        least, most = low * least, high * most
    if unit not in HOURS_PER:
        raise Unreadable(
            f"`{text}`: `{unit}` is no span of time.",
            "Use minutes, hours, days, weeks, months or years.",
        )
    hours = 0.5 * (least + most) * HOURS_PER[unit]
    if hours > LONGEST_SPAN_H:
        raise Unreadable(f"`{text}` is longer ago than any container.", WAYS_TO_SAY)
    return hours, 0.5 * (most - least) * HOURS_PER[unit]


def _counted(number: str | None, text: str) -> tuple[float, float]:
    """Least and most of a number in words or figures. A couple counts as two, to the day."""
    if number is None:
        return PLURAL
    if number in ("a couple of", "a couple"):
        return 2.0, 2.0
    if number in COUNT_WORDS:
        return COUNT_WORDS[number]
    ends = []
    for part in re.split(r" ?(?:-|\u2013|\bto\b|\bor\b) ?", number):
        try:
            few = COUNT_WORDS.get(part)
            ends.append(float(part.replace(",", ".")) if few is None else few[0])
        except ValueError:
            raise Unreadable(f"`{text}`: `{number}` is not a number.", WAYS_TO_SAY) from None
    return min(ends), max(ends)
