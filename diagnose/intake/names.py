"""The names a case uses - signs, events, things told - against the rulebook's vocabulary."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Protocol

from diagnose.intake import quantities as q
from diagnose.intake.case import Case, Told
from diagnose.intake.problems import CaseError, CaseErrors, Unreadable
from diagnose.intake.rough import closed, image
from diagnose.intake.told_readings import meaning, told_word, with_meanings
from diagnose.intake.yaml_document import Path, spell_path

#: Events that no question of the vocabulary asks about, but that a log holds.
LOG_EVENTS = ("feed", "death")
#: Told temperatures that are points of the scale; every other number in degC is a difference.
POINTS_OF_THE_SCALE = frozenset(
    {"temperature_c", "temperature_max_c", "temperature_min_c", "room_temperature_c"}
)
SHOWN_NAMES = 6


class Term(Protocol):
    """What is needed of an entry of the vocabulary."""

    @property
    def kind(self) -> str: ...
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


def check_names(
    case: Case,
    vocabulary: Mapping[str, Term],
    *,
    file: str = "case",
    line_of: Callable[[Path], int | None] = lambda path: None,
) -> Case:
    """The case with every told answer in the vocabulary's words and units.

    Signs become `present` or `absent`, numbers are in the unit of their name. Raises CaseErrors for
    every name or answer the vocabulary does not know; `file` and `line_of` say where they stand.
    """
    problems: list[CaseError] = []

    def fault(path: Path, problem: str, hint: str) -> None:
        problems.append(CaseError(file, line_of(path), spell_path(path), problem, hint))

    for key in ("seen", "not_seen"):
        for index, name in enumerate(getattr(case, key)):
            wrong = _wrong_sign(name, vocabulary)
            if wrong is not None:
                fault((key, index), *wrong)
    kinds = event_kinds(vocabulary)
    for index, name in enumerate(case.not_done):
        if name not in kinds:
            fault(("not_done", index), *_unknown(name, kinds, "an event this program knows"))
    for index, event in enumerate(case.events):
        if event.what not in kinds:
            fault(
                ("events", index, "what"),
                *_unknown(event.what, kinds, "an event this program knows"),
            )
    case, unread = with_meanings(case, vocabulary)
    for index, error in unread:
        fault(("readings", index, "value"), error.problem, error.hint)
    told: dict[str, Told] = {}
    for name, answer in case.told.items():
        if name not in vocabulary:
            fault(("told", name), *_unknown(name, vocabulary, "a question this program asks"))
            continue
        try:
            told[name] = answer_in_vocabulary(name, answer, vocabulary[name])
        except Unreadable as error:
            fault(("told", name), error.problem, error.hint)
    if problems:
        raise CaseErrors(tuple(problems))
    return case if told == case.told else case.model_copy(update={"told": told})


def event_kinds(vocabulary: Mapping[str, Term]) -> tuple[str, ...]:
    """Every kind of event a log may name, sorted."""
    asked = {term.event for term in vocabulary.values() if term.event}
    return tuple(sorted(asked | set(LOG_EVENTS)))


def answer_in_vocabulary(name: str, answer: object, term: Term) -> Told:
    """One answer as the vocabulary words it: present/absent, a choice, or a number in its unit.

    Raises Unreadable.
    """
    if term.kind == "number":
        return _number(name, answer, term)
    words = ("present", "absent") if term.kind == "sign" else tuple(term.choices)
    said = answer if isinstance(answer, str) else str(answer)
    said = (
        " ".join(said.split()).lower().replace(" ", "_") if isinstance(answer, bool | str) else said
    )
    if said in words:
        return said
    same = ("present", "yes", "true"), ("absent", "no", "false")
    for group in same:
        if said in group:
            for word in words:
                if word in group:
                    return word
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(said, words, n=1)
    known = f"Choose one of: {', '.join(words)}."
    raise Unreadable(
        f"`{answer}` is no answer to `{name}`.",
        f"Did you mean `{near[0]}`? {known}" if near else known,
    )


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
    if unit == "degC":
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


def _wrong_sign(name: str, vocabulary: Mapping[str, Term]) -> tuple[str, str] | None:
    if name in vocabulary:
        if vocabulary[name].kind == "sign":
            return None
        return (
            f"`{name}` is not a thing seen or not seen.",
            "Write it under `told`, with its answer.",
        )
    signs = [key for key, term in vocabulary.items() if term.kind == "sign"]
    return _unknown(name, signs, "a sign this program knows")


def _unknown(name: str, known: Iterable[str], what: str) -> tuple[str, str]:
    from difflib import get_close_matches  # slow to import, and most files need no hint

    names = sorted(known)
    near = get_close_matches(name.lower().replace(" ", "_"), names, n=2, cutoff=0.6)
    if not near:
        near = get_close_matches(name.lower().replace(" ", "-"), names, n=2, cutoff=0.6)
    if near:
        return f"`{name}` is not {what}.", f"Did you mean {_either(near)}?"
    some = ", ".join(names[:SHOWN_NAMES])
    return (
        f"`{name}` is not {what}.",
        f"`bowlside case schema` lists all names; they begin {some}.",
    )


def _either(names: list[str]) -> str:
    return " or ".join(f"`{name}`" for name in names)
