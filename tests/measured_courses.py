"""Measured courses of real containers (`tests/published/measured_courses`) run through the model.

Each course is described for the model in `as_cases.yaml`; run as a script, this prints what the
model makes of each quantity and course.
"""

from __future__ import annotations

import csv
import itertools
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
import yaml

from diagnose.bowl.against import Laid, Point, Verdict, lay, verdicts
from diagnose.bowl.description import (
    Bowl,
    Container,
    Event,
    Habits,
    Room,
    Start,
    Stock,
    TapWater,
    cylinder,
)
from diagnose.bowl.likelihood import NH4_PER_N
from diagnose.bowl.parameters import Range, draw_members, load_ranges
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import Run, simulate
from diagnose.water.nitrogen import NO2_PER_N, NO3_PER_N

FOLDER: Final = Path(__file__).parent / "published" / "measured_courses"
KNOWLEDGE: Final = Path(__file__).parents[1] / "knowledge"
SEED: Final = 20260226
MEMBERS: Final = 60
KINDS: Final = {
    "tan": ("tan_mg_l", NH4_PER_N),
    "nitrite": ("nitrite_mg_l", NO2_PER_N),
    "nitrate": ("nitrate_n_mg_l", NO3_PER_N),
    "oxygen": ("oxygen_mg_l", 1.0),
    "temperature": ("temperature_c", 1.0),
}
PER_N: Final = {"tan_mg_l": NH4_PER_N, "nitrite_mg_l": NO2_PER_N, "nitrate_n_mg_l": NO3_PER_N}
PH_KNOWN: Final = "ph"


def measured(name: str) -> dict[str, Any]:
    """The published file of a course."""
    found: dict[str, Any] = yaml.safe_load((FOLDER / f"{name}.yaml").read_text("utf-8"))
    return found


def as_cases() -> dict[str, dict[str, Any]]:
    """Every course as the model takes it, by its name."""
    found: dict[str, dict[str, Any]] = yaml.safe_load((FOLDER / "as_cases.yaml").read_text("utf-8"))
    return found


def _hour(row: Mapping[str, Any], told: Mapping[str, Any]) -> float:
    if "hour" in row:
        return float(row["hour"]) - float(told.get("hour_zero", 0.0))
    hour = (float(row["day"]) - float(told.get("day_zero", 0))) * 24.0
    note = str(row.get("note", ""))
    if note.startswith("12 h"):
        return hour - 12.0
    return hour + {"morning": -4.0, "evening": 7.0}.get(note, 0.0)


def points(name: str, told: Mapping[str, Any]) -> Iterator[Point]:
    """The measured values that are held against the model, in its units."""
    rows = measured(name)["series"]
    for one in told["judged"]:
        quantity = one["quantity"]
        factor = PER_N.get(quantity, 1.0)
        kit_ends = told.get("kit_ends", {}).get(one["series"])
        for row in rows:
            if row["what"] != one["series"]:
                continue
            value = row["value"]
            middle = float(np.mean(value)) if isinstance(value, list) else float(value)
            hour = _hour(row, told) + float(one.get("shift", 0.0))
            if hour < float(one.get("from", 0.0)):
                continue
            at_least = row.get("qual") in (">", ">=") or (
                kit_ends is not None and middle >= kit_ends
            )
            yield Point(hour, quantity, middle / factor, at_least, f"{name}: {one['series']}")


def variants(told: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Every combination of what is tried."""
    vary = told.get("vary", {})
    for values in itertools.product(*vary.values()):
        yield {**told, "chosen": dict(zip(vary, values, strict=True))}


def bowl_of(name: str, told: Mapping[str, Any]) -> tuple[Bowl, tuple[Event, ...]]:
    """One variant of a course as a container with its events."""
    chosen = told["chosen"]
    box = {**told["container"]}
    for key in ("volume_l", "planting", "filter_running", "lid_share"):
        if key in chosen:
            box[key] = chosen[key]
    volume = float(box["volume_l"]) if "volume_l" in box else 5.0
    surface, glass = cylinder(volume, chosen.get("depth_cm"))
    box = {"volume_l": volume, "surface_m2": surface, "glass_m2": glass, **box}
    if "lid_share" not in box:
        box["lid_share"] = 0.0
    start = {}
    for kind, value in told.get("start", {}).items():
        field, factor = KINDS[kind]
        start[field] = value / factor
    stock = float(told.get("stock", 0))
    bowl = Bowl(
        Container(**box),
        room=_room(name, told),
        stock=Stock(females=stock / 2, males=stock / 2),
        habits=Habits(**told["habits"]),
        tap=TapWater(**told.get("tap", {})),
        start=Start(**start),
        ph=told.get("ph"),
        hour_of_day=float(told["clock"]),
    )
    return bowl, tuple(_events(told, chosen, volume))


def _room(name: str, told: Mapping[str, Any]) -> Room:
    room = told["chosen"].get("room", told.get("room"))
    sun = float(told["chosen"].get("sun_hours", 0.0))
    if isinstance(room, dict):
        zero = float(told.get("hour_zero", 0.0))
        read = tuple(
            (float(row["hour"]) - zero, float(row["value"]))
            for row in measured(name)["series"]
            if row["what"] == room["from"]
        )
        return Room(measured=read)
    low, high = room if room is not None else (None, None)
    return Room(low, high, sun_hours=sun, window=told.get("window", "none"))


def _events(told: Mapping[str, Any], chosen: Mapping[str, Any], volume_l: float) -> Iterator[Event]:
    named = {"dosed": chosen.get("dosed", 0.0), "third": chosen.get("dosed", 0.0) / 3.0}
    for hour, mg_l in told.get("dose", ()):
        amount = named[mg_l] if isinstance(mg_l, str) else float(mg_l)
        yield Event(float(hour) + 1.0, "dosed", mg=amount / NH4_PER_N * volume_l)
    for hour, drops in told.get("drops", ()):
        yield Event(float(hour) + 1.0, "dosed", mg=float(drops) * chosen["drop_mg"])
    feed = told.get("feed", ())
    hours = range(0, 24 * 60, 24) if feed == "daily" else feed
    for hour in hours:
        yield Event(float(hour), "feeding", mg=float(chosen["feed_mg"]))
    for hour, share in told.get("change", ()):
        yield Event(float(hour), "water_change", share=float(share))


def run_course(
    name: str,
    told: Mapping[str, Any],
    ranges: Mapping[str, Range],
    members: int = MEMBERS,
    seed: int = SEED,
) -> tuple[tuple[Run, ...], tuple[Laid, ...]]:
    """All variants of a course, and its points laid over them."""
    wanted = [one for one in points(name, told) if one.quantity != "level_mm"]
    first = min(0, *(int(np.floor(one.hour)) for one in wanted)) if wanted else 0
    doses = [float(hour) for hour, _ in told.get("dose", ())]
    first = min([first, *(int(hour) - 1 for hour in doses)])
    last = int(np.ceil(max((one.hour for one in wanted), default=24.0))) + 2
    widened = dict(ranges)
    for key, (low, mid, high) in told.get("widen", {}).items():
        widened[key] = replace(ranges[key], low=low, mid=mid, high=high)
    tried = list(variants(told))
    share = max(members // len(tried), 4)
    runs = []
    for place, one in enumerate(tried):
        bowl, events = bowl_of(name, one)
        drawn = draw_members(widened, seed + place, share)
        events = with_habits(bowl, events, first, last)
        runs.append(simulate(bowl, events, first, last, drawn))
    return tuple(runs), lay(runs, wanted)


@dataclass(frozen=True)
class Course:
    """A course with its points over the model."""

    name: str
    laid: tuple[Laid, ...]
    runs: tuple[Run, ...]


def all_courses(ranges: Mapping[str, Range] | None = None, members: int = MEMBERS) -> list[Course]:
    """Every course that the model takes."""
    found = []
    for name, told in as_cases().items():
        if "outside" in told or told["judged"][0]["quantity"] == "level_mm":
            continue
        runs, laid = run_course(name, told, ranges or load_ranges(KNOWLEDGE), members)
        found.append(Course(name, laid, runs))
    return found


def overall(courses: Iterable[Course]) -> tuple[Verdict, ...]:
    """All points of all courses, quantity by quantity."""
    return verdicts(one for course in courses for one in course.laid)


def line(name: str, one: Verdict) -> str:
    """One row of the printed table."""

    def said(value: float | None) -> str:
        return "     -" if value is None else f"{value:6.2f}"

    return (
        f"{name:36s} {one.quantity:15s} {one.points:4d} {100 * one.inside:4.0f} %"
        f" {one.bias:6.2f} {one.error:6.2f} {one.score:6.3f} {one.width:6.2f}"
        f" {said(one.at_first)} {said(one.as_room)}"
    )


def rows(courses: Iterable[Course]) -> Iterator[dict[str, str]]:
    """One row a course and quantity, and one `all` a quantity, for a table in a file."""
    gathered = [*courses]
    named = [(course.name, verdicts(course.laid)) for course in gathered]
    for name, found in [*named, ("all", overall(gathered))]:
        for one in found:
            yield {
                "course": name,
                "quantity": one.quantity,
                "points": str(one.points),
                "inside": f"{one.inside:.3f}",
                "bias": f"{one.bias:.3f}",
                "error": f"{one.error:.3f}",
                "score": f"{one.score:.4f}",
                "width": f"{one.width:.3f}",
                "at_first": "" if one.at_first is None else f"{one.at_first:.4f}",
                "as_room": "" if one.as_room is None else f"{one.as_room:.4f}",
            }


def main() -> None:
    """Prints the table; with a file named, writes it there as CSV."""
    if len(sys.argv) > 1:
        table = list(rows(all_courses()))
        with Path(sys.argv[1]).open("w", encoding="utf-8", newline="") as sheet:
            writer = csv.DictWriter(sheet, list(table[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(table)
        return
    print(f"{'course':36s} {'quantity':15s}  pts inside  bias  error  score  width  first   room")
    courses = all_courses()
    for course in courses:
        for one in verdicts(course.laid):
            print(line(course.name, one))
    for one in overall(courses):
        print(line("all", one))


if __name__ == "__main__":
    main()
