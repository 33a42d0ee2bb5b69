"""Changes to the coming weeks as a keeper says them: `feed half`, `move off the sill`.

A small grammar, read into a frozen change; changes given together all hold.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from diagnose.bowl.description import STAGES, Bowl, Event, EventKind, Habits, Stage, Stock, TopUp
from diagnose.bowl.routine import with_habits

WAYS: Final = (
    "feed half",
    "feed twice a week",
    "move off the sill",
    "change 30 % twice a week",
    "remove 40 young",
    "add 6 adults",
    "keep the surface moving",
    "light 6 hours a day",
    "top up with mineral-free water",
)
HOW_TO_SAY: Final = "Say it as: " + ", ".join(f'"{way}"' for way in WAYS) + "."
#: How much of the usual food a word means.
FOOD_WORDS: Final = {
    "nothing": 0.0,
    "a quarter": 1 / 4,
    "a third": 1 / 3,
    "half": 1 / 2,
    "double": 2.0,
}
NUMBER_WORDS: Final = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "twelve": 12, "twenty": 20, "thirty": 30, "forty": 40,
}  # fmt: skip
DAYS_PER: Final = {"day": 1.0, "week": 7.0, "fortnight": 14.0, "month": 30.0}
HOURS_PER_DAY: Final = 24
#: What is told to be done now is done within the hour.
AT_ONCE_H: Final = 1
STIR: Final = ("keep the surface moving", "move the surface", "run an air stone", "stir it")
TOP_UPS: Final[dict[str, TopUp]] = {
    "mineral-free water": "mineral_free",
    "distilled water": "mineral_free",
    "tap water": "tap",
    "nothing": "nothing",
}
MOST_ANIMALS: Final = 5000
MOST_FOOD: Final = 20.0
_NUMBER = r"(?P<number>\d+(?:[.,]\d+)?|[a-z]+)"
_OFTEN = (
    r"(?:(?P<times>once|twice|(?:\d+|[a-z]+) times) (?:a|per|every) "
    r"(?P<unit>day|week|fortnight|month)"
    r"|every (?:(?P<every>\d+|[a-z]+) )?(?P<units>day|week|fortnight|month)s?"
    r"|(?P<word>daily|weekly))"
)


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What would be done from now on. None or 0: as before.

    food: times the usual amount; feeds_per_week; shaded: out of the sun; change_share (0 to 1)
    every change_days; added and removed: (stage word, number) with the words `adults`, `young`;
    stirred: the surface is kept moving; lamp_hours a day; topup: what evaporated water is made good
    with.
    """

    food: float | None = None
    feeds_per_week: float | None = None
    shaded: bool = False
    change_share: float | None = None
    change_days: float | None = None
    added: tuple[tuple[str, int], ...] = ()
    removed: tuple[tuple[str, int], ...] = ()
    stirred: bool = False
    lamp_hours: float | None = None
    topup: TopUp | None = None


def read_what_if(said: Iterable[str]) -> WhatIf:
    """All changes said, together; of two that speak of the same thing the later one holds.

    Raises ValueError with a sentence for what is not understood.
    """
    found = WhatIf()
    for text in said:
        found = _one(text, found)
    return found


def _one(text: str, so_far: WhatIf) -> WhatIf:
    said = " ".join(text.lower().replace("%", " % ").replace("per cent", "%").split())
    said = said.removesuffix(".")
    verb, _, rest = said.partition(" ")
    if said in ("move off the sill", "move out of the sun", "shade it"):
        return replace(so_far, shaded=True)
    if said in STIR:
        return replace(so_far, stirred=True)
    if verb == "light" and rest:
        return replace(so_far, lamp_hours=_lamp_hours(text, rest))
    if said.startswith("top up with "):
        topup = TOP_UPS.get(said.removeprefix("top up with "))
        if topup is None:
            raise _not_understood(text)
        return replace(so_far, topup=topup)
    if verb == "feed" and rest:
        return _feed(text, rest, so_far)
    if verb == "change" and rest:
        return _change(text, rest, so_far)
    if verb in ("add", "remove") and rest:
        moved = _animals(text, rest)
        if verb == "add":
            return replace(so_far, added=(*so_far.added, moved))
        return replace(so_far, removed=(*so_far.removed, moved))
    raise _not_understood(text)


def _feed(text: str, rest: str, so_far: WhatIf) -> WhatIf:
    word = rest.removeprefix("the ").removesuffix(" as much").removesuffix(" the amount")
    if word in FOOD_WORDS:
        return replace(so_far, food=FOOD_WORDS[word])
    share = re.fullmatch(r"(?P<number>\d+(?:[.,]\d+)?) ?(?P<unit>%|times)", word)
    if share is not None:
        number = float(share["number"].replace(",", "."))
        food = number / 100.0 if share["unit"] == "%" else number
        if food > MOST_FOOD:
            raise ValueError(
                f"--what-if: `{text}` is more than {MOST_FOOD:g} times the usual food."
            )
        return replace(so_far, food=food)
    days = _every_days(rest)
    if days is None:
        raise _not_understood(text)
    return replace(so_far, feeds_per_week=7.0 / days)


def _change(text: str, rest: str, so_far: WhatIf) -> WhatIf:
    if rest in ("nothing", "no water"):
        return replace(so_far, change_share=0.0)
    found = re.fullmatch(
        r"(?:(?P<share>\d+(?:[.,]\d+)?) %|(?P<word>half|a third|a quarter))"
        r"(?: (?P<often>.+))?",
        rest,
    )
    if found is None:
        raise _not_understood(text)
    if found["word"]:
        share = FOOD_WORDS[found["word"]]
    else:
        share = float(found["share"].replace(",", ".")) / 100.0
    if not 0.0 <= share <= 1.0:
        raise ValueError(
            f"--what-if: `{text}` changes {share:.0%} of the water; 0 to 100 % can be."
        )
    days = None
    if found["often"]:
        days = _every_days(found["often"])
        if days is None:
            raise _not_understood(text)
    return replace(so_far, change_share=share, change_days=days or so_far.change_days)


def _lamp_hours(text: str, rest: str) -> float:
    found = re.fullmatch(_NUMBER + r" ?h(?:ours?)?(?: a day)?", rest)
    if found is None:
        raise _not_understood(text)
    number = found["number"].replace(",", ".")
    hours = float(number) if number[0].isdigit() else float(_count(number) or -1)
    if not 0.0 <= hours <= HOURS_PER_DAY:
        raise ValueError(f"--what-if: `{text}` is no number of hours in a day; 0 to 24 can be.")
    return hours


def _animals(text: str, rest: str) -> tuple[str, int]:
    found = re.fullmatch(
        _NUMBER + r" (?P<kind>adults?|grown(?: ones)?|young(?: ones)?|juveniles?)", rest
    )
    number = _count(found["number"]) if found is not None else None
    if found is None or number is None:
        raise _not_understood(text)
    if not 1 <= number <= MOST_ANIMALS:
        raise ValueError(f"--what-if: `{text}` moves {number} animals; 1 to {MOST_ANIMALS} can be.")
    return ("adults" if found["kind"][0] in "ag" else "young"), number


def _count(word: str) -> int | None:
    return int(word) if word.isdigit() else NUMBER_WORDS.get(word)


def _every_days(said: str) -> float | None:
    """Days between two times, for `twice a week`, `every 3 days`, `daily`."""
    found = re.fullmatch(_OFTEN, said)
    if found is None:
        return None
    if found["word"]:
        return 1.0 if found["word"] == "daily" else 7.0
    if found["units"]:
        count = _count(found["every"] or "one")
        return None if not count else count * DAYS_PER[found["units"]]
    word = found["times"].removesuffix(" times")
    times = {"once": 1, "twice": 2}.get(word) or _count(word)
    return None if not times else DAYS_PER[found["unit"]] / times


def _not_understood(text: str) -> ValueError:
    return ValueError(f"--what-if: `{text}` is not understood. {HOW_TO_SAY}")


def future_events(bowl: Bowl, last_hour: int, what_if: WhatIf) -> tuple[Event, ...]:
    """The routine from now until `last_hour` with the changes, and what is done at once."""
    habits = _habits(bowl.habits, what_if)
    routine = with_habits(replace(bowl, habits=habits), (), 0, last_hour)
    found: list[Event] = []
    for event in routine:
        if event.kind == "feeding" and what_if.food is not None:
            found += _portions(event, what_if.food)
        else:
            found.append(event)
    if what_if.shaded:
        found.append(Event(AT_ONCE_H, "shaded", share=1.0))
    if what_if.stirred:
        found.append(Event(AT_ONCE_H, "stirred"))
    if what_if.lamp_hours is not None:
        found.append(Event(AT_ONCE_H, "lamp_set", hours=what_if.lamp_hours))
    for word, number in what_if.added:
        found += _moved("animals_added", word, number, bowl)
    for word, number in what_if.removed:
        found += _moved("animals_removed", word, number, bowl)
    return tuple(sorted(found, key=lambda e: (e.hour, e.kind, e.stage, e.count)))


def changed_bowl(bowl: Bowl, what_if: WhatIf) -> Bowl:
    """The container as it would stand after the changes."""
    habits = _habits(bowl.habits, what_if)
    if what_if.food is not None and habits.feed_mg_per_day is not None:
        habits = replace(habits, feed_mg_per_day=what_if.food * habits.feed_mg_per_day)
    if what_if.food == 0.0:
        habits = replace(habits, feeds_per_week=0.0)
    box = bowl.container
    if what_if.stirred:
        box = replace(box, surface_moved=True)
    if what_if.lamp_hours is not None:
        box = replace(box, light_hours=what_if.lamp_hours)
    room = replace(bowl.room, sun_hours=0.0) if what_if.shaded else bowl.room
    return replace(bowl, container=box, room=room, habits=habits, stock=_stock(bowl, what_if))


def _stock(bowl: Bowl, what_if: WhatIf) -> Stock:
    counts = {stage: float(getattr(bowl.stock, stage)) for stage in STAGES}
    both: tuple[tuple[EventKind, tuple[tuple[str, int], ...]], ...] = (
        ("animals_added", what_if.added),
        ("animals_removed", what_if.removed),
    )
    for kind, moved in both:
        for word, number in moved:
            for event in _moved(kind, word, number, bowl):
                sign = 1.0 if kind == "animals_added" else -1.0
                counts[event.stage] = max(counts[event.stage] + sign * event.count, 0.0)
    return Stock(
        **counts,
        berried=min(bowl.stock.berried, counts["females"]),
        masses_mg=bowl.stock.masses_mg,
    )


def _habits(usual: Habits, what_if: WhatIf) -> Habits:
    changed = usual
    if what_if.feeds_per_week is not None:
        changed = replace(changed, feeds_per_week=min(what_if.feeds_per_week, 70.0))
    if what_if.topup is not None:
        changed = replace(changed, topup=what_if.topup)
    if what_if.change_share is not None:
        changed = replace(changed, change_share=what_if.change_share)
    if what_if.change_days is not None:
        changed = replace(changed, change_interval_days=what_if.change_days)
    return changed


def _portions(event: Event, food: float) -> list[Event]:
    """One usual feeding as so many whole ones and a part."""
    whole, part = int(food), food - int(food)
    portions = [event] * whole
    if part > 1e-9:
        portions.append(replace(event, share=part))
    return portions


def _moved(kind: EventKind, word: str, number: int, bowl: Bowl) -> list[Event]:
    stages: tuple[tuple[Stage, float], ...]
    if word == "adults":
        stages = (("females", 0.5 * number), ("males", 0.5 * number))
    elif kind == "animals_added":
        stages = (("juveniles", float(number)),)
    else:
        larger = min(float(number), bowl.stock.juveniles)
        stages = (("juveniles", larger), ("hatchlings", number - larger))
    return [Event(AT_ONCE_H, kind, stage=stage, count=n) for stage, n in stages if n > 0.0]
