"""A case as entries of a log, and a container's log as a case again.

A log is asked at a time: readings and events of the last weeks are its readings and events, what
was seen in the last days is seen, and the deaths of the last weeks are the deaths of the case.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import yaml

from diagnose.intake.case import Case
from diagnose.intake.moments import Moment, hours_before_asking
from diagnose.intake.rough import Rough
from diagnose.intake.writing import case_to_yaml
from diagnose.log.entry import Described, Entry, Jot, Kind

#: How far back a case looks into the log: the three months that a table beside a case holds too
#: (rule of this program, no source).
LOOKS_BACK = timedelta(days=92)
#: Deaths no further apart from the asking than this belong to the question; older ones are history.
#: Four weeks without a loss end one, as for adding stock (rule of this program, no source).
DEATHS_COUNT = timedelta(days=28)
#: What was seen longer ago than this no longer says how the animals are (rule of this program, no
#: source).
SIGNS_HOLD = timedelta(days=3)
#: The fields of a described container that grow with every day since.
AGES = (("container", "age"), ("container", "substrate_age"), ("stock", "kept"))
_AGE_FIELDS = {
    ("container", "age"): "age_days",
    ("container", "substrate_age"): "substrate_age_days",
    ("stock", "kept"): "kept_for_days",
}
COUNTED = ("adults", "females", "males", "berried", "juveniles", "hatchlings")
#: What holds of a whole course of deaths, however many jots told of it.
_OF_ALL = ("of", "left", "whom", "young", "ill_since", "ill_within")
#: How the time of an entry is written in a case file.
_PATTERN = "%Y-%m-%d %H:%M"
_When = Callable[[Moment | None], datetime | None]


def split_case(case: Case, *, now: datetime) -> tuple[dict[str, Any], tuple[Jot, ...]]:
    """What a case says of the container itself, and all else of it as jots with their own times."""
    asked_at = case.asked_at or now
    written = _written(case)
    standing: dict[str, Any] = {
        key: written[key] for key in ("title", "container", "stock") if key in written
    }
    for section, key in AGES:
        age = getattr(getattr(case, section), _AGE_FIELDS[(section, key)])
        if isinstance(age, Rough):
            middle = (max(age.low, 0.0) + age.high) / 2 if age.high < float("inf") else age.low
            standing[section][key] = f"{middle:.0f} d"
    return standing, tuple(jots_of(case, now=asked_at))


def jots_of(case: Case, *, now: datetime, words: str = "") -> Iterator[Jot]:
    """Everything of a case that has a time, as jots; what is seen and told is of the asking."""
    written, first = _written(case), case.deaths.first if case.deaths is not None else None

    def when(moment: Moment | None) -> datetime | None:
        if moment is None:
            return None
        hours = hours_before_asking(moment, asked_at=now, first_death=first)
        return None if hours is None else now - timedelta(hours=hours)

    timed: list[tuple[Kind, Moment | None, dict[str, Any]]] = [
        *(
            ("reading", item.at, content)
            for item, content in zip(case.readings, written.get("readings", ()), strict=True)
        ),
        *(
            ("event", item.at, content)
            for item, content in zip(case.events, written.get("events", ()), strict=True)
        ),
    ]
    for kind, moment, content in timed:
        if moment is not None and "at" in content and (at := when(moment)) is not None:
            if _exact(moment):
                del content["at"]
            else:
                content["at"] = f"{at:%Y-%m-%d}"
        yield Jot(kind, when(moment), content, words)
    if case.deaths is not None:
        told = written["deaths"]
        if deaths_none(told):
            yield Jot("death", now, {"dead": 0}, words)
        else:
            yield from _deaths(case, told, when, now, words)
    for key in ("seen", "not_seen"):
        if key in written:
            yield Jot("sign", now, {key: written[key]}, words)
    if "not_done" in written:
        yield Jot("sign", now, {"not_done": written["not_done"]}, words)
    if "told" in written:
        yield Jot("sign", now, {"told": written["told"]}, words)


def deaths_none(told: Any) -> bool:
    """Whether it says that nobody died."""
    return not isinstance(told, dict) or told == {"dead": 0}


def _deaths(case: Case, written: Any, when: _When, now: datetime, words: str) -> Iterator[Jot]:
    """What was told of the deaths, as one jot; the times in it are dates, where they can be."""
    deaths = case.deaths
    if deaths is None:
        return
    content = dict(written)
    for key, moment in (
        ("first", deaths.first),
        ("last", deaths.last),
        ("ill_since", deaths.ill_since),
    ):
        if moment is not None:
            content[key] = _dated(moment, when) or content[key]
    if deaths.counts:
        content["counts"] = [
            {**count, "at": _dated(moment, when) or count["at"]}
            for (moment, _), count in zip(deaths.counts, content["counts"], strict=True)
        ]
    firsts = [when(moment) for moment in (deaths.first, *(at for at, _ in deaths.counts))]
    known = [moment for moment in firsts if moment is not None]
    yield Jot("death", min(known, default=now), content, words)


def _dated(moment: Moment, when: _When) -> str | None:
    """The moment as a date, with the hour where one was told."""
    at = when(moment)
    if at is None:
        return None
    return f"{at:{_PATTERN}}" if _exact(moment) else f"{at:%Y-%m-%d}"


def _exact(moment: Moment) -> bool:
    return moment.clock_told and not moment.slack_h


def counts_of(case: Case) -> dict[str, int]:
    """The numbers of animals that a case tells."""
    return {
        name: int(getattr(case.stock, name))
        for name in COUNTED
        if getattr(case.stock, name) is not None
    }


def case_of(described: Described, entries: Sequence[Entry], *, now: datetime) -> dict[str, Any]:
    """The case of a container at a time of asking, as it would be written in a file."""
    content: dict[str, Any] = {"case": described.name}
    content.update({k: dict(v) if isinstance(v, dict) else v for k, v in described.content.items()})
    content["asked_at"] = f"{now:{_PATTERN}}"
    _grow_older(content, now - described.at)
    jots = [one.jot for one in entries if one.jot.at is None or one.jot.at <= now]
    recent = [jot for jot in jots if jot.at is None or now - jot.at <= LOOKS_BACK]
    dying = [j for j in _of(jots, "death") if j.at and now - _until(j, j.at) <= DEATHS_COUNT]
    _count(content, jots, dying)
    for key, kind in (("readings", "reading"), ("events", "event")):
        found = [{**_at(jot), **jot.content} for jot in _of(recent, kind)]
        if found:
            content[key] = found
    for jot in _of(recent, "death"):
        if jot not in dying and jot.content.get("dead") != 0:
            content.setdefault("events", []).append({"what": "death", **_at(jot)})
    if dying:
        content["deaths"] = _lost(dying)
    _see(content, [j for j in _of(recent, "sign") if j.at and now - j.at <= SIGNS_HOLD])
    return content


def _of(jots: Sequence[Jot], kind: Kind | str) -> list[Jot]:
    return [jot for jot in jots if jot.kind == kind]


def _at(jot: Jot) -> dict[str, str]:
    return {} if jot.at is None else {"at": f"{jot.at:{_PATTERN}}"}


def _grow_older(content: dict[str, Any], since: timedelta) -> None:
    for section, key in AGES:
        age = content.get(section, {}).get(key)
        if age is not None:
            days = float(str(age).split()[0]) + max(0.0, since.total_seconds() / 86400)
            content[section][key] = f"{days:.4f} d"


def _count(content: dict[str, Any], jots: Sequence[Jot], dying: Sequence[Jot]) -> None:
    """The last count before the losses stands for the stock; without losses the last one."""
    lost = [jot.at for jot in dying if jot.at is not None and jot.content.get("dead") != 0]
    first = min(lost, default=datetime.max)
    stock = dict(content.get("stock", {}))
    for jot in _of(jots, "count"):
        if jot.at is None or jot.at < first:
            stock.update(jot.content)
    if stock:
        content["stock"] = stock


def _lost(dying: Sequence[Jot]) -> dict[str, Any]:
    """All that died as one course; who was told of in one jot stays as it was told."""
    lost = [jot for jot in dying if jot.content.get("dead") != 0]
    if not lost:
        return {"dead": 0}
    if len(lost) == 1:
        return dict(lost[0].content) if "first" in lost[0].content else _dated_jot(lost[0])
    rest = {k: v for jot in lost for k, v in jot.content.items() if k in _OF_ALL}
    times: list[dict[str, Any]] = []
    for jot in lost:
        own = jot.content.get("counts")
        if own or "dead" in jot.content:
            times += own or [{**_at(jot), "dead": jot.content["dead"]}]
    return {"first": _at(lost[0])["at"], "last": _at(lost[-1])["at"], **rest, "counts": times}


def _until(jot: Jot, at: datetime) -> datetime:
    """When the deaths told of in a jot ended."""
    ends = [jot.content.get("last"), *(one["at"] for one in jot.content.get("counts", ()))]
    found = [at]
    for end in ends:
        try:
            found.append(datetime.fromisoformat(str(end)))
        except ValueError:  # told by no date: it began at `at`, and no more is known
            continue
    return max(found)


def _dated_jot(jot: Jot) -> dict[str, Any]:
    return {"first": _at(jot)["at"], **jot.content}


def _see(content: dict[str, Any], signs: Sequence[Jot]) -> None:
    """Of one sign the newest word counts."""
    state: dict[str, str] = {}
    told: dict[str, Any] = {}
    undone: set[str] = set()
    for jot in signs:
        for key in ("seen", "not_seen"):
            for name in jot.content.get(key, ()):
                state[name] = key
        told.update(jot.content.get("told", {}))
        undone.update(jot.content.get("not_done", ()))
    for key in ("seen", "not_seen"):
        names = sorted(name for name, said in state.items() if said == key)
        if names:
            content[key] = names
    undone -= {event["what"] for event in content.get("events", ())}
    if undone:
        content["not_done"] = sorted(undone)
    told = {name: value for name, value in told.items() if name not in state}
    if told:
        content["told"] = told


def yaml_of(content: dict[str, Any]) -> str:
    """The text of the case file."""
    return yaml.safe_dump(content, sort_keys=False, allow_unicode=True, width=88)


def number_of(written: object) -> float | None:
    """The number at the start of a written value; None of a word or a rough one."""
    words = str(written).split()
    if not words or "to" in words:
        return None
    try:
        return float(words[0])
    except ValueError:
        return None


def _short(value: object) -> str:
    """A value with four figures, which is more than any kit tells."""
    number, _, unit = str(value).partition(" ")
    try:
        return f"{float(number):.4g} {unit}".strip()
    except ValueError:
        return str(value)


def said(jot: Jot) -> str:
    """An entry in one line."""
    content = {key: value for key, value in jot.content.items() if key not in ("at", "first")}
    if jot.kind == "note":
        return str(content.get("text", ""))
    if jot.kind == "reading":
        name, value = content.pop("what"), _short(content.pop("value"))
        return " ".join([f"{name} {value}", *(f"({k} {v})" for k, v in content.items())])
    if jot.kind == "event":
        name = content.pop("what")
        return ", ".join([str(name), *(f"{k} {v}" for k, v in content.items())])
    return yaml.safe_dump(content, default_flow_style=True, sort_keys=False, width=500).strip(
        "{}\n"
    )


def _written(case: Case) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load(case_to_yaml(case))
    return found


@dataclass(frozen=True, slots=True)
class LoggedFile:
    """A logged container in the place of a case file."""

    name: str
    text: str

    def read_bytes(self) -> bytes:
        """The case file's bytes."""
        return self.text.encode("utf-8")

    @property
    def parent(self) -> Path:
        """Nothing lies beside it."""
        return Path()

    def __str__(self) -> str:
        return self.name
