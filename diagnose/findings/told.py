"""What the keeper said in so many words: answers, things seen and not seen, the container, the
animals beside the shrimp.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.companions import Companion, other_animals
from diagnose.findings.observation import Observation, observed
from diagnose.intake.names import CONTAINER_CHOICES
from diagnose.intake.rough import Either, ends, scaled

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term

_CONTAINER_NUMBERS = {
    "volume_l": "volume_l",
    "age_days": "container_age_days",
    "substrate_age_days": "substrate_age_days",
    "light_hours": "light_hours",
    "change_interval_days": "change_interval_days",
}
#: From this many hours a day the sun counts as long in the vocabulary.
LONG_SUN_H = 1.0
#: Food still there after this many hours is left over, in the vocabulary's words.
LEFT_OVER_AFTER_H = 3.0
#: How much is fed, in the vocabulary's words.
FED_WORDS = {"none": "little", "little": "little", "enough": "enough", "too_much": "too_much"}
#: Mean length of a month: 365.25 days over 12.
DAYS_PER_MONTH = 30.4375


def answered(case: Case) -> list[Observation]:
    """Questions of the vocabulary that the case answers by their own name."""
    found = [
        observed(name, _in_words(value), "told", "answered by the keeper", statement=f"told.{name}")
        for name, value in case.told.items()
    ]
    for key, word, because in (
        ("seen", "present", "seen"),
        ("not_seen", "absent", "looked for and not there"),
    ):
        found += [
            Observation(name, word, "told", because, statement=f"{key}[{index}]")
            for index, name in enumerate(getattr(case, key))
        ]
    return found


def _in_words(value: str | float | bool) -> str | float:
    if isinstance(value, bool):
        return "present" if value else "absent"
    return value if isinstance(value, str | float) else float(value)


def described(case: Case, companions: Mapping[str, Companion]) -> list[Observation]:
    """What the description of the container and of the stock says outright."""
    return [
        *_container(case),
        *_air(case),
        *_room(case),
        *_feeding(case),
        *_broods(case),
        *other_animals(case, companions),
    ]


def _broods(case: Case) -> Iterator[Observation]:
    """Eggs and hatchlings among the stock were seen by whoever counted them."""
    for field, name in (("berried", "berried_seen"), ("hatchlings", "young_seen")):
        if getattr(case.stock, field):
            yield Observation(
                name, "present", "derived", "told of the stock", statement=f"stock.{field}"
            )


def implied(said: Iterable[Observation], vocabulary: Mapping[str, Term]) -> Iterator[Observation]:
    """What answers say of other questions, as the vocabulary has it."""
    for item in said:
        term = vocabulary.get(item.name)
        if term is None or item.origin == "estimated" or not isinstance(item.value, str):
            continue
        for name, words in _all_imply(term, item.either or (item.value,)).items():
            yield Observation(
                name,
                words[0],
                "derived",
                item.because,
                either=words if len(words) > 1 else None,
                asked=item.asked,
                statement=item.statement,
            )


def _all_imply(term: Term, answers: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """What an answer says of other questions; of one of several, what each of them says."""
    each = [term.implies.get(answer, {}) for answer in answers]
    return {
        name: tuple(dict.fromkeys(word for said in each for word in said[name]))
        for name in each[0]
        if all(name in said for said in each)
    }


def _air(case: Case) -> Iterator[Observation]:
    """Whether an air stone runs, apart from any filter."""
    if case.container.air is not None:
        word = "present" if case.container.air else "absent"
        because, statement = "told of the container", "container.air"
        yield Observation("air_stone", word, "told", because, statement=statement)


def _room(case: Case) -> Iterator[Observation]:
    """How cold and how warm the air around the container was at its extremes, or as it is."""
    box = case.container
    for name in ("room_min_c", "room_max_c"):
        field = name if getattr(box, name) is not None else "room_temperature_c"
        degrees = getattr(box, field)
        if degrees is not None:
            statement = f"container.{_written_as(field)}"
            yield observed(name, degrees, "told", "told of the container", statement=statement)


def _container(case: Case) -> Iterator[Observation]:
    box = case.container
    for field, name in CONTAINER_CHOICES.items():
        if field == "conditioner":
            continue  # the last change may say otherwise: `water_changes` settles it
        word = getattr(box, field)
        if word is not None:
            yield observed(
                name, word, "told", "told of the container", statement=f"container.{field}"
            )
    for field, name in _CONTAINER_NUMBERS.items():
        number = getattr(box, field)
        if number is not None:
            statement = f"container.{_written_as(field)}"
            yield observed(name, number, "told", "told of the container", statement=statement)
    if box.sun is None and box.sun_hours is not None:
        short = "short" if box.sun_hours > 0 else "none"
        sun = "long" if box.sun_hours >= LONG_SUN_H else short
        because = f"{box.sun_hours:g} h of sun a day"
        yield Observation("sun", sun, "told", because, statement="container.sun_hours")
    if box.surface_moved is not None:
        moved = "present" if box.surface_moved else "absent"
        statement = "container.surface_moved"
        yield Observation(
            "surface_moved", moved, "told", "told of the container", statement=statement
        )
    elif box.air:
        because = "an air stone runs"
        yield Observation("surface_moved", "present", "derived", because, statement="container.air")
    elif box.filter == "none" and not isinstance(box.filter, Either):
        because = "there is neither a filter nor an air stone"
        yield Observation(
            "surface_moved", "absent", "derived", because, statement="container.filter"
        )
    if case.stock.kept_for_days is not None:
        months = scaled(case.stock.kept_for_days, 1.0 / DAYS_PER_MONTH)
        yield observed("months_kept", months, "told", "told of the stock", statement="stock.kept")


def _written_as(field: str) -> str:
    """What a field of the container is called in a file."""
    from diagnose.intake.case import Container

    alias = str(Container.model_fields[field].validation_alias or field)
    return alias.replace("change_", "change.", 1)


def _feeding(case: Case) -> Iterator[Observation]:
    feeding = case.stock.feeding
    if feeding is not None and feeding.per_feed is not None and feeding.per_feed.much is not None:
        word = FED_WORDS[feeding.per_feed.much]
        because = f"fed: {feeding.per_feed.text}"
        yield Observation("fed_amount", word, "told", because, statement="stock.feeding")
    if feeding is None or feeding.eaten_within_hours is None:
        return
    hours = feeding.eaten_within_hours
    low, high = ends(hours)
    if low < LEFT_OVER_AFTER_H < high:
        return
    left = "present" if hours > LEFT_OVER_AFTER_H else "absent"
    because = f"food is eaten within {hours:g} h"
    yield Observation("food_left_over", left, "derived", because, statement="stock.feeding")
