"""The morning round: what is due on each container of the shelf, and what begins to go wrong."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import yaml

from diagnose.care.week import DUE
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import VOLUME, read_quantity
from diagnose.log.as_case import DEATHS_COUNT
from diagnose.log.course import NAMES, course_of
from diagnose.log.entry import Described, Entry
from diagnose.report.round_page import Look, Shared, Warned
from diagnose.rulebook.requirements import BadRequirement, ways
from diagnose.rulebook.terms import Condition, Evidence, Rulebook, Term

#: A warning is said from this belief on: more likely than not.
SAID_FROM = 0.5
#: Deaths of these days put a container before all that only warn (rule of this program, no source).
DYING = timedelta(days=3)
#: What was done so lately to all that ail, and to no more than so many of the others, sets them
#: apart (rules of this program, no source).
SHARED_WITHIN, LEAST_APART = timedelta(days=8), 0.34


class Warnings:
    """The rules of early warning, for the same engine as all other evidence."""

    def __init__(self, file: Path) -> None:
        self.entries = yaml.safe_load(file.read_text(encoding="utf-8"))
        self.conditions: dict[str, Condition] = {}
        vocabulary = {name: _number(name) for name in NAMES}
        try:
            self._evidence = tuple(
                Evidence(
                    id=item["id"],
                    owner=owner,
                    when=ways(item["when"], vocabulary, frozenset()),
                    weight=float(item["weight"]),
                    curve=None,
                    because=item["because"],
                    source=item["source"],
                    group=item.get("group"),
                    channel="",
                    excludes=False,
                )
                for owner, entry in self.entries.items()
                for item in entry["evidence"]
            )
        except (KeyError, TypeError, BadRequirement) as error:
            raise ValueError(f"{file}: a rule cannot be read ({error}).") from None

    def evidence(self) -> tuple[Evidence, ...]:
        """Every argument of a warning."""
        return self._evidence

    def over(self, course: dict[str, float]) -> tuple[Warned, ...]:
        """What the numbers of a course warn of, the surest first."""
        if not course:
            return ()
        told = [Observation(n, v, "derived", "the course of the log") for n, v in course.items()]
        fired = Inference(self, course).run(told).evidence.values()
        found = []
        for owner, entry in self.entries.items():
            own = [one for one in fired if one.argument.owner == owner]  # type: ignore[union-attr]
            best: dict[str, float] = {}
            for one in own:
                group = getattr(one.argument, "group", None) or one.argument.id
                best[group] = max(best.get(group, 0.0), one.decibans)
            rate = float(entry["base_rate"])
            odds = rate / (1 - rate) * math.pow(10, sum(best.values()) / 10)
            belief = odds / (1 + odds)
            if own and belief >= SAID_FROM:
                because = tuple(str(getattr(one.argument, "because", "")) for one in own)
                days = float(entry["usual_days"])
                found.append(
                    Warned(entry["title"], belief, because, days, entry["confirm"], entry["least"])
                )
        return tuple(sorted(found, key=lambda one: (-one.belief, one.usual_days)))


def _number(name: str) -> Term:
    return Term(
        name=name,
        kind="number",
        asks="",
        look="",
        choices={},
        unit="",
        possible=None,
        plausible=None,
        shares=(),
        minutes=0.0,
        needs="",
        event=None,
        derived=True,
        needs_present=None,
        channel="",
    )


def look_at(
    described: Described,
    entries: Sequence[Entry],
    warnings: Warnings,
    rulebook: Rulebook,
    *,
    now: datetime,
) -> Look:
    """What one container needs this morning."""
    dead = 0
    for entry in entries:
        jot = entry.jot
        if jot.kind == "death" and jot.at is not None and timedelta() <= now - jot.at <= DYING:
            told = str(jot.content.get("dead", 1))  # a number told roughly is one at least
            dead += int(told) if told.isdigit() else 1
    warned = warnings.over(course_of(entries, now=now, litres=_litres(described)))
    return Look(described.name, dead, warned, tuple(_due(described, entries, rulebook, now)))


def _litres(described: Described) -> float | None:
    """The water of a container, where it was told in a way that can be read."""
    told = described.content.get("container", {}).get("volume")
    try:
        return None if told is None else float(read_quantity(told, VOLUME))
    except Unreadable:
        return None


def _due(
    described: Described, entries: Sequence[Entry], rulebook: Rulebook, now: datetime
) -> list[str]:
    """What was last done longer ago than it should be; what was never jotted is due."""
    last: dict[str, datetime] = {}
    for entry in entries:
        jot = entry.jot
        if jot.at is not None and jot.at <= now and "what" in jot.content:
            last[jot.content["what"]] = jot.at
    due = []
    for what, number, title in DUE:
        if what == "solids" and what not in last:  # only who has a meter is asked for it
            continue
        if what not in last or (now - last[what]).days >= rulebook.numbers[number].value:
            due.append(title.split(",")[0])
    every = described.content.get("container", {}).get("change", {}).get("every")
    if every is not None:
        days = float(str(every).split()[0])
        if "water-change" not in last or (now - last["water-change"]).days >= days:
            due.append("water change")
    return due


def in_order(looks: Sequence[Look]) -> list[Look]:
    """Who needs eyes first: the dying, then what warns soonest, then what is due."""
    return sorted(
        looks,
        key=lambda one: (
            -one.dying,
            min((w.usual_days for w in one.warned), default=DEATHS_COUNT.days),
            -len(one.due),
            one.name,
        ),
    )


def in_several(
    looks: Sequence[Look],
    logs: Mapping[str, Sequence[Entry]],
    rulebook: Rulebook,
    *,
    now: datetime,
) -> tuple[Shared, ...]:
    """What goes wrong in several containers at once, with what was done to all of those and to few
    of the others in the days before.
    """
    names = [look.name for look in looks]
    troubles = {"animals died in these days": [look.name for look in looks if look.dying]}
    for look in looks:
        for warned in look.warned:
            troubles.setdefault(_small(warned.title), []).append(look.name)
    done = {name: _done_lately(logs[name], now) for name in names}
    found = []
    for says, where in troubles.items():
        if len(where) < 2:
            continue
        others = [name for name in names if name not in where]
        alike = sorted(set.intersection(*(done[name] for name in where)))
        telling = [
            what
            for what in alike
            if not others or sum(what in done[n] for n in others) <= LEAST_APART * len(others)
        ]
        because = tuple(_had_all(rulebook, what, bool(others)) for what in telling) or (
            "Nothing in the log sets them apart: look at what they share, the water that goes in, "
            "the room and the hands.",
        )
        found.append(Shared(tuple(where), says, because))
    return tuple(found)


def _small(title: str) -> str:
    return title[:1].lower() + title[1:]


def _done_lately(entries: Sequence[Entry], now: datetime) -> set[str]:
    """What was done to a container in these days."""
    return {
        str(entry.jot.content.get("what"))
        for entry in entries
        if entry.jot.kind == "event"
        and entry.jot.at is not None
        and timedelta() <= now - entry.jot.at <= SHARED_WITHIN
    } - {"feed"}


def _had_all(rulebook: Rulebook, what: str, others: bool) -> str:
    asks = next((t.asks for t in rulebook.vocabulary.values() if t.event == what), what)
    apart = ", and few of the others" if others else ""
    return f"All of these had it within the week{apart}: {asks}"
