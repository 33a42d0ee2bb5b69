"""Readings told in words (`high`, `not detected`, `fine`) and what a word means for a quantity.

Which words there are stands here; what each means for a quantity is the vocabulary's to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Protocol

from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import Rough, closed, rough, spoken

if TYPE_CHECKING:
    from diagnose.intake.case import Case, Reading

#: The words the vocabulary gives an interval to, from least to most, and how keepers say them.
_SPELLINGS = {
    "none": "none|not detected|not detectable|undetectable|nil|nothing|not there|absent|clear|"
    "not found|never found|none found|n/d|nd|near zero|nearly zero|close to zero|no trace",
    "very_low": "very low|far too low|extremely low|traces|a trace|trace",
    "low": "low|too low|a little low|lowish|rather low|slight|slightly present|a bit low|soft|"
    "acidic|cool|cold",
    "normal": "normal|fine|ok|okay|good|safe|in order|all right|alright|perfect|ideal|usual|"
    "in range|in the green range|no problem|no problem found|as usual|as always|unremarkable|"
    "correct|right|suitable|neutral",
    "raised": "a little|a bit|some|raised|a little high|slightly high|slightly raised|elevated|"
    "a bit high|rather high|somewhat high|present|measurable|detectable|moderate|medium|warm",
    "high": "high|too high|much|a lot|hard|alkaline|hot|too much|strong|bad",
    "very_high": "very high|far too high|extremely high|off the scale|off the chart|very hard|"
    "sky high|very hot|deadly|maximum",
}
TOLD_WORDS = tuple(_SPELLINGS)
_WORDS = {said: word for word, many in _SPELLINGS.items() for said in many.split("|")}

#: Readings that are an observation by themselves, with its name in the vocabulary.
OBSERVED = {
    "temperature": "temperature_c",
    "ph": "ph",
    "ammonia": "tan_mg_l",
    "unionised_ammonia": "nh3_mg_l",
    "nitrite": "nitrite_mg_l",
    "nitrate": "nitrate_mg_l",
    "gh": "gh_dgh",
    "kh": "kh_dkh",
    "solids": "solids_mg_l",
    "oxygen": "oxygen_mg_l",
    "oxygen_percent": "oxygen_percent",
    "co2": "co2_mg_l",
    "chlorine": "chlorine_mg_l",
    "copper": "copper_mg_l",
    "phosphate": "phosphate_mg_l",
}
#: Said of all values together: in order, or not.
VALUES_FINE = {"none": 0.0, "low": 0.0, "normal": 1.0, "raised": 0.0, "high": 0.0}


class Meaning(Protocol):
    """What is needed of an entry of the vocabulary to say what a word means."""

    @property
    def plausible(self) -> tuple[float, float] | None: ...
    @property
    def said(self) -> Mapping[str, tuple[float, float]]: ...


def told_word(written: object) -> str | None:
    """The word of TOLD_WORDS that was meant; None for anything else."""
    found = spoken(_WORDS, written)
    return None if found is None else str(found)


def meaning(word: str, name: str, term: Meaning) -> float:
    """The interval a word stands for. Raises Unreadable where the vocabulary gives it none."""
    interval = term.said.get(word)
    if interval is None:
        raise Unreadable(f"`{word.replace('_', ' ')}` says nothing of `{name}`.", "Give a number.")
    return rough(*interval)


def with_meanings(
    case: Case, vocabulary: Mapping[str, Meaning]
) -> tuple[Case, tuple[tuple[int, Unreadable], ...]]:
    """The case with every reading told in a word as the interval the vocabulary gives to it, and
    every open end closed at what is plausible; and what could not be read, by its entry.
    """
    faults: list[tuple[int, Unreadable]] = []
    readings = tuple(_read(case.readings, vocabulary, faults))
    if readings == case.readings:
        return case, tuple(faults)
    return case.model_copy(update={"readings": readings}), tuple(faults)


def _read(
    readings: tuple[Reading, ...],
    vocabulary: Mapping[str, Meaning],
    faults: list[tuple[int, Unreadable]],
) -> Iterator[Reading]:
    for index, reading in enumerate(readings):
        term = vocabulary.get(OBSERVED.get(reading.what, ""))
        value = reading.value
        if reading.what == "values" and reading.word is not None:
            value = VALUES_FINE.get(reading.word.removeprefix("very_"), 0.0)
        elif reading.word is not None:
            try:
                if term is None:
                    raise Unreadable(f"`{reading.what}` is not told in words.", "Give a number.")
                value = meaning(reading.word, reading.what, term)
            except Unreadable as error:
                faults.append((index, error))
        elif term is not None and term.plausible is not None and isinstance(value, Rough):
            value = closed(value, *term.plausible)
        if reading.word is None and value is reading.value:
            yield reading
        else:
            yield reading.model_copy(update={"value": value, "word": None})
