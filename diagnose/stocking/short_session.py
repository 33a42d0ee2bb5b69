"""The few questions of `bowlside stocking` without a file; the answers become a case's text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import yaml

from diagnose.intake.adding import read_added
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import (
    CONCENTRATION,
    DAYS,
    GENERAL_HARDNESS,
    TEMPERATURE,
    VOLUME,
    Measure,
    read_count,
    read_quantity,
)
from diagnose.rulebook.terms import Term

#: What a keeper may type for "I do not know".
UNKNOWN = frozenset({"", "?", "unknown", "do not know", "don't know", "not sure"})


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked, how the answer is checked, and where it goes in the case."""

    asks: str
    check: Callable[[str], object]
    place: tuple[str, str]


def _measured(measure: Measure) -> Callable[[str], object]:
    return lambda written: read_quantity(written, measure)


def _one_of(*words: str) -> Callable[[str], object]:
    def check(written: str) -> object:
        if written.lower() not in words:
            raise Unreadable(f"`{written}` is none of them.", f"Write {', '.join(words)}.")
        return written.lower()

    return check


QUESTIONS = (
    _Question("How much water is in the container? (as 6 L)", _measured(VOLUME), ("box", "volume")),
    _Question(
        "How long has it been set up? (as 5 weeks)", _measured(DAYS), ("box", "age")
    ),
    _Question(
        "How densely is it planted? (none, sparse, moderate, dense)",
        _one_of("none", "sparse", "moderate", "dense"),
        ("box", "planting"),
    ),
    _Question(
        "Is there a filter? (none, running, stopped)",
        _one_of("none", "running", "stopped"),
        ("box", "filter"),
    ),
    _Question("How many grown shrimp live there?", read_count, ("stock", "adults")),
    _Question(
        "Total ammonia? (as 0 mg/L; kits count it as NH3)",
        _measured(CONCENTRATION),
        ("reading", "ammonia"),
    ),
    _Question("Nitrite? (as 0 mg/L)", _measured(CONCENTRATION), ("reading", "nitrite")),
    _Question("Water temperature? (as 22 C)", _measured(TEMPERATURE), ("reading", "temperature")),
    _Question("General hardness? (as 8 dGH)", _measured(GENERAL_HARDNESS), ("reading", "gh")),
    _Question(
        "Do fish, crayfish or large prawns live there? (yes, no)",
        _one_of("yes", "no"),
        ("sign", "fish_kept"),
    ),
    _Question(
        "Do the shrimp there graze as always? (yes, no)",
        _one_of("yes", "no"),
        ("sign", "survivors_normal"),
    ),
)  # fmt: skip


def ask_for_case(
    vocabulary: Mapping[str, Term],
    ask: Callable[[str], str],
    say: Callable[[str], None],
    *,
    add: str | None,
    species: str | None,
) -> tuple[str, str, str | None]:
    """Asks the questions and returns the text of a case file, who is to come, and the kind.

    ask: gives the answer to a prompt. say: shows a line. An answer that cannot be read is asked
    for again; an empty one means "not known".
    """
    say("A few questions. Leave empty what you do not know.")
    case: dict[str, object] = {"case": "asked just now", "title": "Before adding stock"}
    box: dict[str, str] = {}
    stock: dict[str, object] = {}
    readings: list[dict[str, str]] = []
    seen: list[str] = []
    not_seen: list[str] = []
    for question in QUESTIONS:
        section, name = question.place
        if name == "survivors_normal" and stock.get("adults") == 0:
            continue
        answer = _asked(question.asks, question.check, ask, say)
        if answer is None:
            continue
        if section == "box":
            box[name] = answer
        elif section == "stock":
            stock[name] = int(answer)
        elif section == "reading":
            readings.append({"what": name, "value": answer})
        elif name in vocabulary:
            (seen if answer.lower() == "yes" else not_seen).append(name)
    if species is None:
        species = _asked("Which kind is to come? (as cherry shrimp)", str, ask, say)
    while add is None:
        add = _asked("How many are to come? (as 8 adults)", read_added, ask, say)
        if add is None:
            say("This one is needed.")
    case["container"] = box
    case["stock"] = stock
    case["readings"] = readings
    case["seen"], case["not_seen"] = seen, not_seen
    return yaml.safe_dump(case, sort_keys=False, allow_unicode=True), add, species


def _asked(
    asks: str, check: Callable[[str], object], ask: Callable[[str], str], say: Callable[[str], None]
) -> str | None:
    while True:
        answer = " ".join(ask(f"{asks} ").split())
        if answer.lower() in UNKNOWN:
            return None
        try:
            check(answer)
        except Unreadable as error:
            say(str(error))
            continue
        return answer
