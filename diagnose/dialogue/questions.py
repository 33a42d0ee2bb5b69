"""The questions of a session as they are put: words, choices and how to look."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.dialogue.asking import Asking
from diagnose.dialogue.state import DEAD, EQUIPMENT, FIRST_BODY, LIVING, OVER, STORY, TOGETHER
from diagnose.rulebook.terms import Rulebook, Term

Kind = Literal["story", "dead", "over", "moment", "several", "yes_no", "choice", "number", "time"]

#: Measurements whose value kits count in different ways: what to type.
HOW_KITS_COUNT = {
    "tan_mg_l": "Type the number as the kit shows it: most show total ammonia. "
    "Add `as N` if the kit says nitrogen.",
    "nitrite_mg_l": "Type the number as the kit shows it. Add `as N` if it says NO2-N.",
    "nitrate_mg_l": "Type the number as the kit shows it. Add `as N` if it says NO3-N.",
    "gh_dgh": "In degrees, or with `ppm` after the number.",
    "kh_dkh": "In degrees, or with `ppm` after the number.",
    "temperature_c": "As 22 C or 72 F.",
}
WHAT_TO_MEASURE = {
    "tan_mg_l": "What does the ammonia test show?",
    "nitrite_mg_l": "What does the test show for nitrite?",
    "nitrate_mg_l": "What does the test show for nitrate?",
    "gh_dgh": "What is the general hardness (GH)?",
    "kh_dkh": "What is the carbonate hardness (KH)?",
    "solids_mg_l": "What does the meter show for dissolved solids?",
    "oxygen_mg_l": "What does the test show for oxygen?",
    "oxygen_dawn_mg_l": "What does it show for oxygen before dawn, before any light?",
    "chlorine_mg_l": "What does the test show for chlorine?",
    "copper_mg_l": "What does the test show for copper?",
}


@dataclass(frozen=True, slots=True)
class Question:
    """One question: its name, how it is answered, its words, how to look or measure, its choices
    (word to what it means), the unit of a number, and an example of an answer.
    """

    name: str
    kind: Kind
    asks: str
    look: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    hint: str = ""


def question(name: str, rulebook: Rulebook, asking: Asking) -> Question:
    """The question of that name. Raises KeyError for one that nobody asks."""
    if name.startswith(EQUIPMENT):
        item = asking.equipment[name.removeprefix(EQUIPMENT)]
        return Question(name, "yes_no", item.asks, item.look, hint="yes, no")
    if name.startswith(TOGETHER):
        group = asking.together[name.removeprefix(TOGETHER)]
        return Question(
            name,
            "several",
            group.asks,
            "Ask everyone in the house or the studio, and look at the diary.",
            tuple(group.of.items()),
            hint="numbers, as 2 4; add `only` if you are sure of the rest; none of these; not sure",
        )
    if name == STORY:
        return Question(
            name,
            "story",
            "What happened? One sentence will do, or press Enter to go straight to the questions.",
            "Say it as you would on the phone: what died, and what was done in the days before.",
            hint="in your own words, or nothing",
        )
    if name == DEAD:
        return Question(
            name,
            "dead",
            "How many shrimp have died, and of how many?",
            "Count the bodies, then the living. A share such as `half` will do.",
            hint="3 of 12, half, all, none",
        )
    if name == OVER:
        return Question(
            name,
            "over",
            "Over how long, from the first body to the last?",
            "A rough span will do; or say since when, as `since yesterday evening`.",
            hint="2 days, overnight, since yesterday",
        )
    if name == FIRST_BODY:
        return Question(
            name,
            "moment",
            "When was the first body found?",
            "A rough time will do; it puts what was done before it in order.",
            hint="2 days ago, yesterday evening, a date",
        )
    if name == LIVING:
        return Question(
            name,
            "several",
            "How do the living behave? Choose all that you see.",
            "Watch them for a minute without touching the glass.",
            tuple(asking.first_signs.items()),
            hint="numbers, as 2 4; add `only` if you see none of the rest; none of these; not sure",
        )
    term = rulebook.vocabulary[name]
    if term.event is not None and term.kind == "number":
        return Question(
            name,
            "time",
            f"When was that ({_event_words(term, rulebook, asking)})?",
            "Counted to the first death, as `2 days before`; or simply `5 days ago`.",
            hint="2 days before, 5 days ago, a date",
        )
    return _of_term(term)


def _event_words(term: Term, rulebook: Rulebook, asking: Asking) -> str:
    """An event as it is called where it is asked for."""
    for group in asking.together.values():
        for sign, words in group.of.items():
            if rulebook.vocabulary[sign].event == term.event:
                return words
    return str(term.event).replace("-", " ")


def _of_term(term: Term) -> Question:
    asks = WHAT_TO_MEASURE.get(term.name, term.asks)
    if term.kind == "sign":
        return Question(term.name, "yes_no", asks, term.look, hint="yes, no, not sure")
    if term.kind == "choice":
        return Question(
            term.name,
            "choice",
            asks,
            term.look,
            tuple(term.choices.items()),
            hint="a number or the first letters; not sure",
        )
    look = " ".join(part for part in (term.look, HOW_KITS_COUNT.get(term.name, "")) if part)
    unit = {"degC": "C", "pH": "", "per week": "times a week", "d": "days", "h": "hours"}.get(
        term.unit, term.unit
    )
    return Question(term.name, "number", asks, look, unit=unit, hint=_example(term, unit))


def _example(term: Term, unit: str) -> str:
    middle = term.shares[len(term.shares) // 2][0]
    assert isinstance(middle, float)
    return f"{middle:g} {unit}".strip() + ", not sure"
