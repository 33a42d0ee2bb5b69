"""The names a case uses - signs, events, things told - against the rulebook's vocabulary."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from diagnose.intake import quantities as q
from diagnose.intake.case import Case, Told
from diagnose.intake.meaning import Meaning, folded, known_as, meant_by, nearest
from diagnose.intake.problems import CaseError, CaseErrors, Unreadable
from diagnose.intake.rough import closed, image, one_of
from diagnose.intake.told_readings import meaning, told_word, with_meanings
from diagnose.intake.yaml_document import Path, spell_path

#: Events that no question of the vocabulary asks about, but that a log holds.
LOG_EVENTS = ("feed", "death")
#: Told temperatures that are points of the scale; every other number in degC is a difference.
POINTS_OF_THE_SCALE = frozenset(
    {"temperature_c", "temperature_max_c", "temperature_min_c", "room_min_c", "room_max_c"}
)
#: What `asked` calls everything told of the deaths.
ALL_OF_THE_DEATHS = "deaths"
_YES, _NO = ("present", "yes", "true"), ("absent", "no", "false")


class Term(Protocol):
    """What is needed of an entry of the vocabulary."""

    @property
    def kind(self) -> str: ...
    @property
    def asks(self) -> str: ...
    @property
    def choices(self) -> Mapping[str, str]: ...
    @property
    def unit(self) -> str: ...
    @property
    def possible(self) -> tuple[float, float] | None: ...
    @property
    def plausible(self) -> tuple[float, float] | None: ...
    @property
    def said(self) -> Mapping[str, tuple[float, float]]: ...
    @property
    def event(self) -> str | None: ...
    @property
    def holds_h(self) -> float | None: ...
    @property
    def matters_h(self) -> float | None: ...
    @property
    def alike(self) -> float | None: ...
    @property
    def tried(self) -> tuple[str, ...]: ...
    @property
    def also(self) -> tuple[str, ...]: ...
    @property
    def said_as(self) -> Mapping[str, tuple[str, ...]]: ...
    @property
    def implies(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]: ...


@dataclass(frozen=True, slots=True)
class NameFault:
    """A name or an answer that the vocabulary does not know: where in the case, what is wrong and
    what would be right.
    """

    path: Path
    problem: str
    hint: str


def check_names(
    case: Case,
    vocabulary: Mapping[str, Term],
    *,
    file: str = "case",
    line_of: Callable[[Path], int | None] = lambda path: None,
) -> Case:
    """The case in the vocabulary's names, words and units, whatever keepers call them.

    Signs become `present` or `absent`, numbers are in the unit of their name. Raises CaseErrors for
    every name or answer the vocabulary does not know; `file` and `line_of` say where they stand.
    """
    named, faults = in_the_vocabulary(case, vocabulary)
    if faults:
        raise CaseErrors(
            tuple(
                CaseError(file, line_of(one.path), spell_path(one.path), one.problem, one.hint)
                for one in faults
            )
        )
    return named


def in_the_vocabulary(
    case: Case, vocabulary: Mapping[str, Term]
) -> tuple[Case, tuple[NameFault, ...]]:
    """The case in the vocabulary's names, words and units, and what it does not know of it."""
    book = _Book(vocabulary)
    faults: list[NameFault] = []
    changed: dict[str, object] = {}
    for key in ("seen", "not_seen"):
        said: tuple[str, ...] = getattr(case, key)
        signs = [book.sign(name, (key, index), faults) for index, name in enumerate(said)]
        changed[key] = tuple(sign for sign in signs if sign is not None)
    done = [
        book.event(name, ("not_done", index), faults) for index, name in enumerate(case.not_done)
    ]
    changed["not_done"] = tuple(kind for kind in done if kind is not None)
    events = []
    for index, event in enumerate(case.events):
        kind = book.event(event.what, ("events", index, "what"), faults)
        same = kind is None or kind == event.what
        events.append(event if same else event.model_copy(update={"what": kind}))
    changed["events"] = tuple(events)
    read, unread = with_meanings(case, vocabulary)
    changed["readings"] = read.readings
    for index, error in unread:
        faults.append(NameFault(("readings", index, "value"), error.problem, error.hint))
    answers = [
        name if name == ALL_OF_THE_DEATHS else book.question(name, faults, ("asked", index))
        for index, name in enumerate(case.asked)
    ]
    changed["asked"] = tuple(name for name in answers if name is not None)
    told: dict[str, Told] = {}
    for name, answer in case.told.items():
        asked = book.question(name, faults)
        if asked is None:
            continue
        try:
            told[asked] = answer_in_vocabulary(asked, answer, vocabulary[asked])
        except Unreadable as error:
            hint = book.other_question(asked, answer) or error.hint
            faults.append(NameFault(("told", name), error.problem, hint))
    changed["told"] = told
    update = {key: value for key, value in changed.items() if value != getattr(case, key)}
    return (case.model_copy(update=update) if update else case), tuple(faults)


def event_kinds(vocabulary: Mapping[str, Term]) -> tuple[str, ...]:
    """Every kind of event a log may name, sorted."""
    asked = {term.event for term in vocabulary.values() if term.event}
    tried = {kind for term in vocabulary.values() for kind in term.tried}
    return tuple(sorted(asked | tried | set(LOG_EVENTS)))


def event_meanings(vocabulary: Mapping[str, Term]) -> dict[str, Meaning]:
    """Every kind of event with what keepers call it and the question about it."""
    found = {kind: Meaning() for kind in event_kinds(vocabulary)}
    for term in vocabulary.values():
        if term.event is not None and term.kind == "sign":
            found[term.event] = Meaning(term.also, term.asks)
    return found


class _Book:
    """The names of one vocabulary, by every word that keepers have for them."""

    def __init__(self, vocabulary: Mapping[str, Term]) -> None:
        self._vocabulary = vocabulary
        self._events = event_meanings(vocabulary)
        self._event_names = known_as({kind: m.called for kind, m in self._events.items()})
        self._names = known_as({name: _called(term) for name, term in vocabulary.items()})

    def sign(self, name: str, path: Path, faults: list[NameFault]) -> str | None:
        """The sign that this word means; an event is the sign that it was done."""
        known = meant_by(name, self._names)
        if known is not None and self._vocabulary[known].kind == "sign":
            return known
        if known is not None:
            problem = f"`{name}` is not a thing seen or not seen."
            hint = f"Write it under `told`, with its answer: `{known}: ...`."
            faults.append(NameFault(path, problem, hint))
            return None
        meanings = self._meanings(("sign",))
        faults.append(NameFault(path, *_unknown(name, meanings, "a sign this program knows")))
        return None

    def event(self, name: str, path: Path, faults: list[NameFault]) -> str | None:
        """The kind of event that this word means."""
        known = meant_by(name, self._event_names)
        if known is not None:
            return known
        sign = meant_by(name, self._names)
        if sign is not None and self._vocabulary[sign].kind == "sign":
            event = self._vocabulary[sign].event
            if event is not None:
                return event
            place = "not_seen" if path[0] == "not_done" else "seen"
            problem = f"`{name}` is a thing seen, not one done."
            faults.append(NameFault(path, problem, f"Write `{sign}` under `{place}`."))
            return None
        what = "an event this program knows"
        faults.append(NameFault(path, *_unknown(name, self._events, what)))
        return None

    def question(self, name: str, faults: list[NameFault], path: Path | None = None) -> str | None:
        """The question that this word means; path: where it stands, if not under `told`."""
        known = meant_by(name, self._names)
        if known is None:
            meanings = self._meanings(("sign", "choice", "number"))
            problem, hint = _unknown(name, meanings, "a question this program asks")
            faults.append(NameFault(path or ("told", name), problem, hint))
        return known

    def other_question(self, asked: str, answer: object) -> str | None:
        """The hint where what was answered is an answer to another question."""
        for name, term in self._vocabulary.items():
            if name != asked and term.kind == "choice":
                word = _choice(str(answer), term)
                if word is not None and word in set(term.choices) - {"none", "unknown", "other"}:
                    return f"That answers another question: write `{name}: {word}`."
        return None

    def _meanings(self, kinds: tuple[str, ...]) -> dict[str, Meaning]:
        return {
            name: Meaning(tuple(_called(term)), f"{term.asks} {' '.join(term.choices.values())}")
            for name, term in self._vocabulary.items()
            if term.kind in kinds
        }


def _called(term: Term) -> Iterator[str]:
    yield from term.also
    if term.event is not None and term.kind == "sign":
        yield term.event


def answer_in_vocabulary(name: str, answer: object, term: Term) -> Told:
    """One answer as the vocabulary words it: present/absent, a choice, or a number in its unit.

    Raises Unreadable.
    """
    if term.kind == "number":
        return _number(name, answer, term)
    found = _choice(str(answer), term)
    if found is not None:
        return found
    words = ("present", "absent") if term.kind == "sign" else tuple(term.choices)
    meanings = {
        word: Meaning(term.said_as.get(word, ()), term.choices.get(word, "")) for word in words
    }
    near = nearest(str(answer), meanings)
    known = f"Choose one of: {', '.join(words)}."
    raise Unreadable(
        f"`{answer}` is no answer to `{name}`.",
        f"Did you mean {_either(near)}? {known}" if near else known,
    )


#: Fields of the container that answer a question of the vocabulary, by the name of the question.
CONTAINER_CHOICES = {
    "water_source": "water_source",
    "topup": "topup_water",
    "filter": "filter_state",
    "heater": "heater_state",
    "planting": "planting",
    "floating_cover": "floating_cover",
    "substrate": "substrate",
    "sun": "sun",
    "lid": "lid",
    "co2": "co2_feed",
    "conditioner": "conditioner_use",
    "water": "water_kind",
    "water_level": "water_level",
}
#: What keepers call a container, for the few kinds the form knows.
CONTAINER_KINDS = {
    "tank": ("aquarium", "fish tank", "nano", "nano tank", "nano aquarium", "cube", "shrimp tank"),
    "bowl": ("fish bowl", "goldfish bowl", "globe", "dish"),
    "jar": ("mason jar", "bottle", "demijohn", "carboy", "terrarium jar"),
    "vase": ("glass vase",),
    "other": (
        "bag",
        "plastic bag",
        "breeder box",
        "breeding box",
        "hang on box",
        "sack",
        "basin",
        "tub",
        "bucket",
        "bin",
        "box",
        "pond",
        "barrel",
        "crate",
        "planter",
        "trough",
    ),
}


def with_keepers_words(data: dict[str, Any], vocabulary: Mapping[str, Term]) -> dict[str, Any]:
    """A case file's data with what keepers say of the container in the words of the form.

    What means nothing here stays as it is, for the error that names it.
    """
    box = data.get("container")
    if not isinstance(box, dict):
        return data
    meant = {}
    for field, written in box.items():
        if isinstance(written, bool):
            said = "yes" if written else "no"
        elif isinstance(written, str):
            said = written
        elif isinstance(written, list) and field in CONTAINER_CHOICES:
            said = " or ".join(map(str, written))
        else:
            continue
        word = None
        if field == "kind":
            word = meant_by(said, known_as(CONTAINER_KINDS))
        elif field in CONTAINER_CHOICES and CONTAINER_CHOICES[field] in vocabulary:
            word = _choice(said, vocabulary[CONTAINER_CHOICES[field]])
        if word is not None:
            meant[field] = word
    return {**data, "container": {**box, **meant}} if meant else data


#: What stands between two answers of which either may be true.
_BETWEEN_WORDS = re.compile(r"\s*(?:,|/|\bor\b|\band\b)\s*")


def _choice(answer: str, term: Term) -> str | None:
    """The word of a sign or a choice that was meant, or the several it leaves open; None for no
    word of it.
    """
    words = ("present", "absent") if term.kind == "sign" else tuple(term.choices)
    known = known_as({word: term.said_as.get(word, ()) for word in words})
    known |= {
        folded(other): key for key, said in term.said_as.items() if "|" in key for other in said
    }
    said = folded(answer)
    meant = meant_by(answer, known)
    if meant is not None:
        return one_of(tuple(meant.split("|")))
    parts = [meant_by(part, known) for part in _BETWEEN_WORDS.split(answer.lower())]
    if len(parts) > 1 and all(part is not None for part in parts):
        return one_of(tuple(word for part in parts if part for word in part.split("|")))
    for group in (_YES, _NO):
        if said in group:
            return next((word for word in words if word in group), None)
    return None


def _number(name: str, answer: object, term: Term) -> float:
    word = told_word(answer)
    if word is not None and word in term.said:
        return meaning(word, name, term)
    lowest, highest = term.possible or (-1e12, 1e12)
    measure = _measure(name, term.unit, lowest, highest)
    if isinstance(answer, str) and measure.units is not _PLAIN_UNITS:
        return _closed(q.read_quantity(answer, measure), term)
    if isinstance(answer, str):
        number, unit = q.split_number(answer, measure.name, measure.example)
        if unit and unit.replace(" ", "").lower() != term.unit.replace(" ", "").lower():
            raise Unreadable(f"`{unit}` is not the unit of `{name}`.", f"Write it in {term.unit}.")
        answer = number
    # A bare number is in the unit the name carries; told shares such as 0.5 % are meant as written.
    if isinstance(answer, int | float) and not isinstance(answer, bool):

        def own(number: float) -> float:
            return q.read_quantity(f"{float(number)!r} {measure.bare}", measure)

        return image(own, _closed(answer, term))
    raise Unreadable(f"`{answer}` is not a number.", f"Write it as {measure.example}.")


def _closed(number: float, term: Term) -> float:
    """A number with an open end closed at what is plausible."""
    return number if term.plausible is None else closed(number, *term.plausible)


_PLAIN_UNITS: dict[str, float] = {"as named": 1.0}


def _measure(name: str, unit: str, lowest: float, highest: float) -> q.Measure:
    """How to read a number of the vocabulary: its unit says which units convert into it."""
    base = _MEASURES.get(unit)
    if name in ("room_min_c", "room_max_c"):
        base = q.ROOM_TEMPERATURE
    elif unit == "degC":
        base = q.TEMPERATURE if name in POINTS_OF_THE_SCALE else q.TEMPERATURE_STEP
    if base is None:
        return q.Measure(
            f"`{name}`",
            unit,
            _PLAIN_UNITS,
            lowest,
            highest,
            "as named",
            "as named",
            f"12 {unit}".strip(),
        )
    return q.Measure(
        f"`{name}`",
        base.unit,
        base.units,
        lowest,
        highest,
        base.bare,
        base.bare,
        base.example,
        base.pint_unit,
        base.words,
        base.about,
    )


_MEASURES: dict[str, q.Measure] = {
    "%": q.SHARE,
    "h": q.HOURS,
    "d": q.DAYS,
    "months": q.MONTHS,
    "L": q.VOLUME,
    "mg/L": q.CONCENTRATION,
    "dGH": q.GENERAL_HARDNESS,
    "dKH": q.CARBONATE_HARDNESS,
    "pH": q.PH,
}


def _unknown(name: str, meanings: Mapping[str, Meaning], what: str) -> tuple[str, str]:
    near = nearest(name, meanings)
    if near:
        return f"`{name}` is not {what}.", f"Did you mean {_either(near)}?"
    return f"`{name}` is not {what}.", "`bowlside case schema` lists all names."


def _either(names: list[str]) -> str:
    *others, last = [f"`{name}`" for name in names]
    return f"{', '.join(others)} or {last}" if others else last
