"""How much of a keeper's story is read, and how much of what is read is right.

`python -m tests.stories.score build` prints it for one part of the stories: `build` and `held`, on
which the lexicon was made, or one held back until its one run: `held2`, `held3`.
Each file has a text and the facts it tells in the terms of the case form, written by authors who
had not seen the lexicon. The facts of both the hand-made and the read form are put side by side as
plain facts: a name, and a value. Where the vocabulary gives a thing another name too (`snails:
fine` and `snails_state`), what follows from a form counts as told by it.

- read: the share of the told facts that the reader found, with a value that agrees;
- right: of the facts read that the hand-made form speaks of, the share that agrees with it;
- beyond: facts read that the hand-made form says nothing of. It leaves out what its author took for
  unimportant, so these are listed with their words and judged by eye: `also_told.yaml` holds those
  of `build` and `held`, told or wrongly read.

Counts agree if their ranges overlap, litres and readings within 5 %, times within half a day or a
fourth of the time, whichever is more, as `last Friday` is no hour.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import yaml

from diagnose.belief.belief import believe
from diagnose.dialogue.belief_state import session_rules
from diagnose.findings import observe
from diagnose.findings.companions import companion_of
from diagnose.findings.timeline import timeline_of
from diagnose.inference.engine import Inference
from diagnose.intake.case import Case
from diagnose.intake.case_file import read_case
from diagnose.intake.names import CONTAINER_CHOICES
from diagnose.intake.rough import ends
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_named, species_of
from diagnose.rulebook.terms import Rulebook
from diagnose.story.as_case import case_text
from diagnose.story.lexicon import Lexicon, load_lexicon
from diagnose.story.reader import Story, read_story
from tests.robot_keeper import Keeper, talk_with

FOLDER = Path(__file__).parent
ALSO_TOLD = FOLDER / "also_told.yaml"
FEW_ANSWERS, MOST_ANSWERS = 5, 6
NEAR_SHARE, NEAR_H, NEAR_TIME_SHARE = 0.05, 12.0, 0.25
#: Of an animal beside the shrimp, what its state is called in the vocabulary.
GROUPS = ("counts", "kinds", "litres", "times", "events", "details", "signs", "habits", "readings")
#: Groups whose facts bear the name of an event, which as a word of the vocabulary says only that it
#: happened.
OF_EVENTS = ("times", "details")
_AGES = {
    "age_days": "container age",
    "substrate_age_days": "substrate age",
    "change_interval_days": "between changes",
}
_DETAILS = ("share_percent", "volume_l", "conditioner", "dose", "followed", "harm_each_time")

#: The parts that the stories are split into, and those that the lexicon was made on.
SPLITS, READ_BEFORE = ("build", "held", "held2", "held3"), ("build", "held")

Facts = dict[tuple[str, str], Any]


@dataclass(frozen=True, slots=True)
class Told:
    """One story: its text, and the case its author made of it."""

    name: str
    text: str
    case: Case
    now: datetime


@dataclass(slots=True)
class Marks:
    """What came of one story."""

    name: str
    found: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    agreeing: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    beyond: list[str] = field(default_factory=list)
    first_by_hand: str = ""
    first_read: str = ""


def half(name: str, rulebook: Rulebook) -> Iterator[Told]:
    """The stories of one part: one of `SPLITS`."""
    for file in sorted(FOLDER.glob("s[0-9]*.yaml")):
        written = file.read_text(encoding="utf-8")
        if f"\nsplit: {name}\n" not in written:
            continue
        content = yaml.safe_load(written)
        case = content["case"]
        now = datetime.fromisoformat(str(case["asked_at"]))
        data = yaml.safe_dump(case, allow_unicode=True, sort_keys=False).encode()
        read = read_case(data, file.name, now, vocabulary=rulebook.vocabulary)
        yield Told(file.stem, content["story"], read, now)


def as_read(told: Told, lexicon: Lexicon, rulebook: Rulebook) -> tuple[Case, Story]:
    """The case that the reader makes of a story."""
    story = read_story(told.text, lexicon, rulebook.vocabulary, told.now)
    text = case_text(story, told.text, told.name, rulebook.vocabulary, told.now)
    if not story.readings:
        return Case(case=told.name, asked_at=told.now), story
    data = text.encode()
    return read_case(data, told.name, told.now, vocabulary=rulebook.vocabulary), story


def facts_of(case: Case, rulebook: Rulebook, now: datetime) -> Facts:
    """What a form says, as written in it."""
    timeline = timeline_of(case, now)
    found: Facts = {}
    box, stock, deaths = case.container, case.stock, case.deaths
    if box.kind is not None:
        found["kinds", "container"] = box.kind
    for species in species_named(rulebook, *filter(None, (stock.species, *stock.also_species))):
        found["kinds", f"shrimp {species.id}"] = "there"
    if box.volume_l is not None:
        found["litres", "volume"] = box.volume_l
    for at, name in _AGES.items():
        if getattr(box, at) is not None:
            found["times", name] = 24.0 * getattr(box, at)
    if stock.kept_for_days is not None:
        found["times", "kept"] = 24.0 * stock.kept_for_days
    if box.light_hours is not None:
        found["habits", "light"] = box.light_hours
    if box.change_share_percent is not None:
        found["habits", "share changed"] = box.change_share_percent
    for field_name, name in CONTAINER_CHOICES.items():
        if getattr(box, field_name) is not None:
            found["habits", name] = getattr(box, field_name)
    if stock.feeding is not None and stock.feeding.times_per_week is not None:
        found["habits", "feeds_per_week"] = stock.feeding.times_per_week
    for name in ("room_max_c", "room_temperature_c"):
        if getattr(box, name) is not None:
            found["readings", "room"] = getattr(box, name)
    for count in ("berried", "juveniles", "hatchlings", "females", "males"):
        if getattr(stock, count) is not None:
            found["counts", count] = getattr(stock, count)
    for other in stock.others:
        companion = companion_of(other.kind, rulebook.companions)
        kind = companion.id if companion is not None else other.kind
        found["kinds", f"other {kind}"] = "there"
        if other.count is not None:
            found["counts", f"other {kind}"] = other.count
    found |= _counts(case)
    if deaths is not None:
        for moment, name in ((deaths.first, "first death"), (deaths.ill_since, "first ill")):
            hours = None if moment is None else timeline.hours_ago(moment)
            if hours is not None:
                found["times", name] = hours
        if deaths.counts and deaths.first is None:
            hours = timeline.hours_ago(deaths.counts[0][0])
            if hours is not None:
                found["times", "first death"] = hours
    for event in case.events:
        name = "did_" + event.what.replace("-", "_")
        found["events", name] = "present"
        hours = None if event.at is None else timeline.hours_before(event.at)
        if hours is not None:
            found["times", name] = hours
        for part in _DETAILS:
            if getattr(event, part) is not None:
                found["details", f"{name} {part}"] = getattr(event, part)
    for what in case.not_done:
        found["events", "did_" + what.replace("-", "_")] = "absent"
    for sign in case.seen:
        found["signs", sign] = "present"
    for sign in case.not_seen:
        found["signs", sign] = "absent"
    for name, value in case.told.items():
        group = "signs"
        found[group, name] = value
    for reading in case.readings:
        where = "" if reading.where == "container" else f" {reading.where}"
        name = f"{reading.what}{where}"
        while ("readings", name) in found:
            name += " too"
        found["readings", name] = reading.value
    return found


def _counts(case: Case) -> Facts:
    """The herd before the losses, the dead, and those left, however a form puts them."""
    deaths, stock = case.deaths, case.stock
    found: Facts = {}
    herd = stock.adults
    dead = left = None
    if deaths is not None:
        dead, left = deaths.dead, deaths.left
        if dead is None and deaths.counts:
            dead = sum(count for _, count in deaths.counts)
        herd = deaths.of if deaths.of is not None else herd
        if herd is None and dead is not None and left is not None:
            herd = dead + left
        if dead is None and left is not None and herd is not None:
            dead = herd - left
        if deaths.share_percent is not None and dead is None:
            if herd is not None and deaths.share_percent == 100.0:
                dead = herd
            else:
                found["counts", "share dead"] = deaths.share_percent
    if herd is not None:
        found["counts", "shrimp"] = herd
    if dead is not None:
        found["counts", "dead"] = dead
    return found


def _agree(group: str, one: Any, other: Any) -> bool:
    if isinstance(one, str | bool) or isinstance(other, str | bool):
        return str(one) == str(other)
    (a, b), (c, d) = ends(one), ends(other)
    if group == "times":
        slack = max(NEAR_H, NEAR_TIME_SHARE * max(abs(float(one)), abs(float(other))))
    elif group == "counts":
        slack = 0.0
    else:
        slack = NEAR_SHARE * max(abs(float(one)), abs(float(other)))
    return bool(a <= d + slack and c <= b + slack)


def _follows(case: Case, rulebook: Rulebook, now: datetime) -> dict[str, Any]:
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    found = observe(case, rulebook.vocabulary, species, rulebook.companions, now=now)
    return {item.name: item.value for item in found}


def _same_names(facts: Facts, name: tuple[str, str]) -> Iterable[Any]:
    """The values that a form gives to a fact; a reading told twice may match either."""
    plain = name[1].replace(" too", "")
    return [v for (g, n), v in facts.items() if g == name[0] and n.replace(" too", "") == plain]


def compare(told: Told, read: Case, rulebook: Rulebook) -> Marks:
    """Told and read, fact by fact."""
    hand, machine = facts_of(told.case, rulebook, told.now), facts_of(read, rulebook, told.now)
    by_hand = _follows(told.case, rulebook, told.now)
    by_machine = _follows(read, rulebook, told.now)
    marks = Marks(told.name)
    for (group, name), value in hand.items():
        values = list(_same_names(machine, (group, name)))
        if not values and group not in OF_EVENTS and name in by_machine:
            values = [by_machine[name]]
        hit = any(_agree(group, value, other) for other in values)
        (marks.found if hit else marks.missed).append(f"{group}: {name} = {value}")
    for (group, name), value in machine.items():
        values = list(_same_names(hand, (group, name)))
        if not values and group not in OF_EVENTS and name in by_hand:
            values = [by_hand[name]]
        said = f"{group}: {name} = {value}"
        if not values:
            marks.beyond.append(said)
        elif any(_agree(group, value, other) for other in values):
            marks.agreeing.append(said)
        else:
            marks.wrong.append(f"{said} (told: {values[0]})")
    marks.first_by_hand = _first(told.case, rulebook, told.now)
    marks.first_read = _first(read, rulebook, told.now)
    return marks


def _first(case: Case, rulebook: Rulebook, now: datetime) -> str:
    species = species_of(rulebook, case.stock.species, *case.stock.also_species)
    found = observe(case, rulebook.vocabulary, species, rulebook.companions, now=now)
    names = {item.name for item in found}
    return believe(rulebook, Inference(rulebook, names).run(found)).first.cause


def run(name: str) -> list[tuple[Marks, Story]]:
    """Every story of a half."""
    rulebook = load_rulebook(bundled("knowledge"))
    lexicon = load_lexicon(
        [bundled("knowledge")],
        rulebook.vocabulary,
        rulebook.species.values(),
        rulebook.companions.values(),
    )
    done = []
    for told in half(name, rulebook):
        case, story = as_read(told, lexicon, rulebook)
        done.append((compare(told, case, rulebook), story))
    return done


def judged() -> dict[str, dict[str, list[str]]]:
    """What the reader found beyond the hand-made forms of the parts read before, judged by eye."""
    if not ALSO_TOLD.exists():
        return {}
    content: dict[str, dict[str, list[str]]] = yaml.safe_load(ALSO_TOLD.read_text("utf-8"))
    return content


def figures(
    all_marks: Iterable[Marks], beyond: Mapping[str, Mapping[str, list[str]]]
) -> dict[str, Any]:
    """Shares of facts read by group, of facts read that are right, of first causes that agree."""
    all_marks = list(all_marks)
    told = dict.fromkeys(GROUPS, 0)
    found = dict.fromkeys(GROUPS, 0)
    for marks in all_marks:
        for said in (*marks.found, *marks.missed):
            told[said.partition(":")[0]] += 1
        for said in marks.found:
            found[said.partition(":")[0]] += 1
    agreeing = sum(len(marks.agreeing) for marks in all_marks)
    wrong = sum(len(marks.wrong) for marks in all_marks)
    also = [(said, beyond.get(m.name, {})) for m in all_marks for said in m.beyond]
    also_right = sum(said in known.get("told", ()) for said, known in also)
    also_wrong = sum(said in known.get("wrong", ()) for said, known in also)
    same = sum(marks.first_by_hand == marks.first_read for marks in all_marks)
    return {
        "stories": len(all_marks),
        "facts_told": sum(told.values()),
        "read": _share(sum(found.values()), sum(told.values())),
        "read_by_group": {g: f"{found[g]} of {told[g]}" for g in GROUPS},
        "agreeing": agreeing,
        "wrong": wrong,
        "right": _share(agreeing, agreeing + wrong),
        "beyond": {
            "told": also_right,
            "wrong": also_wrong,
            "not_judged": len(also) - also_right - also_wrong,
        },
        "right_with_judged": _share(
            agreeing + also_right, agreeing + wrong + also_right + also_wrong
        ),
        "first_cause_same": _share(same, len(all_marks)),
    }


def talks(name: str) -> dict[str, Any]:
    """Robot keepers who tell the story and then answer as the hand-made form has it: how often the
    first cause is that of the form after five answers, and among the first three after six.
    """
    rulebook = load_rulebook(bundled("knowledge"))
    rules = session_rules(rulebook, [bundled("knowledge")])
    same = in_three = count = 0
    for told in half(name, rulebook):
        species = species_of(rulebook, told.case.stock.species, *told.case.stock.also_species)
        found = observe(told.case, rulebook.vocabulary, species, rulebook.companions, now=told.now)
        case = told.case.model_copy(update={"story": told.text})
        keeper = Keeper(case, {o.name: o for o in found}, tells_story=True)
        right = _first(told.case, rulebook, told.now)
        tops = [
            [s.cause for s in turn.seen.inferred.beliefs.standings[:3]]
            for turn in talk_with(keeper, rules, most=MOST_ANSWERS)
        ]
        if not tops:  # the story alone was enough
            read, _ = as_read(told, rules.lexicon, rulebook)
            tops = [[_first(read, rulebook, told.now)]]
        count += 1
        same += tops[:FEW_ANSWERS][-1][0] == right
        in_three += right in tops[-1]
    return {
        "first_cause_same_after_five_answers": _share(same, count),
        "in_first_three_after_six_answers": _share(in_three, count),
    }


def _share(part: int, whole: int) -> float:
    return round(part / whole, 3) if whole else 1.0


def main(arguments: list[str]) -> None:
    """Prints the figures of a half, and story by story what was missed, wrong and beyond."""
    name = arguments[0] if arguments else SPLITS[0]
    if name not in SPLITS:
        sys.exit(f"`{name}` is no part of the stories. Give one of {', '.join(SPLITS)}.")
    done = run(name)
    result = figures((marks for marks, _ in done), judged() if name in READ_BEFORE else {})
    result |= talks(name)
    if "--json" in arguments:
        stories = [
            {
                "story": m.name,
                "missed": m.missed,
                "wrong": m.wrong,
                "beyond": m.beyond,
                "first_by_hand": m.first_by_hand,
                "first_read": m.first_read,
            }
            for m, _ in done
        ]
        print(json.dumps(result | {"each": stories}, indent=1, ensure_ascii=False))
        return
    for marks, story in done:
        print(f"== {marks.name}  {len(marks.found)} of {len(marks.found) + len(marks.missed)}")
        words = {n: r.words for r in story.readings for n, _ in r.tells}
        if "--words" in arguments:
            print(f"   words: {words}")
        for title in ("missed", "wrong", "beyond"):
            for said in getattr(marks, title):
                print(f"   {title}: {said}")
        if marks.first_by_hand != marks.first_read:
            print(f"   first: {marks.first_read} (by hand: {marks.first_by_hand})")
        if story.unread:
            print(f"   not understood: {'; '.join(story.unread)}")
    print(json.dumps(result, indent=1))


if __name__ == "__main__":
    main(sys.argv[1:])
