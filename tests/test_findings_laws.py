"""Laws of findings: order and repeats never matter, silence is never absence, numbers stay within
what is possible.
"""

from __future__ import annotations

import math
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.findings.observation import Observation
from diagnose.intake.case import Case, Container, Deaths, Event, Reading, Stock
from diagnose.intake.moments import Moment
from diagnose.intake.problems import CaseErrors
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from tests.observed import ASKED_AT, observations

RULEBOOK = load_rulebook(bundled("knowledge"))
KINDS = sorted({term.event for term in RULEBOOK.vocabulary.values() if term.event})
NUMBERS = {
    "temperature": (0.0, 50.0),
    "ph": (0.0, 14.0),
    "ammonia": (0.0, 5000.0),
    "nitrite": (0.0, 5000.0),
    "gh": (0.0, 150.0),
    "kh": (0.0, 100.0),
    "solids": (0.0, 40000.0),
    "conductivity": (0.0, 80000.0),
    "oxygen": (0.0, 5000.0),
    "chlorine": (0.0, 5000.0),
}
#: Observations whose absence follows from something told: how soon food is gone, no filter.
ABSENCE_FOLLOWS = {"food_left_over", "surface_moved"}


def at(hours_ago: float, clock_told: bool) -> Moment:
    when = ASKED_AT - timedelta(hours=hours_ago)
    return Moment("absolute", at=when, clock_told=clock_told, text=f"{when:%Y-%m-%d %H:%M}")


moments = st.none() | st.builds(at, st.integers(0, 60 * 24).map(float), st.booleans())
places = st.sampled_from(["container", "container", "container", "tap", "new_water", "bag"])


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    what = draw(st.sampled_from(sorted(NUMBERS)))
    low, high = NUMBERS[what]
    share = draw(st.sampled_from([0.0, 0.001, 0.02, 0.1, 0.5, 0.55, 1.0]))
    return Reading.model_validate(
        {
            "what": what,
            "value": low + share * (high - low),
            "at": draw(moments),
            "where": draw(places),
        }
    )


@st.composite
def events(draw: st.DrawFn) -> Event:
    kind = draw(st.sampled_from(["water-change", "water-change", "feed", "death", *KINDS]))
    return Event.model_validate(
        {
            "what": kind,
            "at": draw(moments),
            "share_percent": draw(st.none() | st.sampled_from([0.0, 25.0, 100.0])),
            "temperature_c": draw(st.none() | st.sampled_from([4.0, 22.0])),
            "conditioner": draw(st.sampled_from([None, "full", "part", "none"])),
            "solids_mg_l": draw(st.none() | st.sampled_from([0.0, 500.0])),
            "count": draw(st.none() | st.integers(0, 5)),
        }
    )


@st.composite
def cases(draw: st.DrawFn) -> Case:
    container = Container.model_validate(
        {
            "volume_l": draw(st.none() | st.sampled_from([0.05, 6.0, 5000.0])),
            "water_source": draw(st.sampled_from([None, "tap", "rain", "well"])),
            "conditioner": draw(st.sampled_from([None, "always", "never"])),
            "filter": draw(st.sampled_from([None, "none", "running"])),
        }
    )
    stock = Stock(adults=draw(st.none() | st.integers(0, 400)))
    deaths = draw(
        st.none()
        | st.builds(
            Deaths,
            first=moments,
            dead=st.none() | st.integers(0, 20),
            of=st.none() | st.integers(20, 40),
            counts=st.lists(
                st.tuples(st.builds(at, st.integers(0, 999).map(float)), st.integers(0, 9)),
                max_size=4,
            ).map(tuple),
        )
    )
    return Case(
        case="jar",
        container=container,
        stock=stock,
        deaths=deaths,
        readings=tuple(draw(st.lists(readings(), max_size=8))),
        events=tuple(draw(st.lists(events(), max_size=8))),
    )


def found_in(case: Case) -> tuple[Observation, ...]:
    return observations(RULEBOOK, case)


@given(case=cases(), order=st.randoms(use_true_random=False))
def test_the_order_of_what_is_dated_never_matters(case: Case, order: object) -> None:
    """An event without a time keeps its place in the log, which is all that tells when it was."""
    shuffle = order.shuffle  # type: ignore[attr-defined]
    case = case.model_copy(update={"events": tuple(e for e in case.events if e.at is not None)})
    mixed_readings, mixed_events = list(case.readings), list(case.events)
    shuffle(mixed_readings)
    shuffle(mixed_events)
    update: dict[str, object] = {
        "readings": tuple(mixed_readings),
        "events": tuple(mixed_events),
    }
    if case.deaths is not None:
        counts = list(case.deaths.counts)
        shuffle(counts)
        update["deaths"] = case.deaths.model_copy(update={"counts": tuple(counts)})
    assert found_in(case.model_copy(update=update)) == found_in(case)


@given(case=cases())
def test_a_row_written_twice_changes_nothing(case: Case) -> None:
    update: dict[str, object] = {
        "readings": case.readings + case.readings[:3],
        "events": case.events + case.events[:3],
    }
    if case.deaths is not None:
        twice = case.deaths.counts + case.deaths.counts[:2]
        update["deaths"] = case.deaths.model_copy(update={"counts": twice})
    assert found_in(case.model_copy(update=update)) == found_in(case)


@given(case=cases())
def test_silence_never_becomes_absence(case: Case) -> None:
    absent = {item.name for item in found_in(case) if item.value == "absent"}
    assert absent <= ABSENCE_FOLLOWS


@given(case=cases())
def test_there_is_one_observation_to_a_name_sorted_and_possible(case: Case) -> None:
    found = found_in(case)
    names = [item.name for item in found]
    assert names == sorted(set(names))
    for item in found:
        term = RULEBOOK.vocabulary[item.name]
        assert item.because
        if term.kind != "number":
            assert item.value in term.words
            continue
        assert isinstance(item.value, float)
        assert term.possible is not None
        for value in (item.value, *(item.band or ())):
            assert math.isfinite(value)
            assert term.possible[0] <= value <= term.possible[1]
        if item.band is not None:
            assert item.origin == "estimated"
            assert item.band[0] <= item.band[1] <= item.band[2]


@given(case=cases(), name=st.sampled_from(sorted(RULEBOOK.vocabulary)))
def test_looking_for_a_sign_adds_its_absence_and_nothing_else(case: Case, name: str) -> None:
    term = RULEBOOK.vocabulary[name]
    if term.kind != "sign" or term.event is not None:
        return
    before = {item.name: item for item in found_in(case)}
    after = {item.name: item for item in found_in(case.model_copy(update={"not_seen": (name,)}))}
    assert after.pop(name).value == "absent"
    before.pop(name, None)
    assert after == before


@settings(max_examples=30)
@given(case=cases(), worse=st.floats(0.0, 30.0))
def test_more_ammonia_is_never_less_poisonous_ammonia(case: Case, worse: float) -> None:
    def reading(what: str, value: float) -> Reading:
        return Reading.model_validate({"what": what, "value": value})

    beside = tuple(r for r in case.readings if r.what not in ("ammonia", "ph", "temperature"))
    water = (*beside, reading("ph", 8.0), reading("temperature", 24.0))

    def poison(total: float) -> float:
        read = case.model_copy(update={"readings": (*water, reading("ammonia", total))})
        return next(float(o.value) for o in found_in(read) if o.name == "nh3_mg_l")

    assert poison(1.0 + worse) >= poison(1.0)


def test_a_contradiction_reads_as_a_sentence_for_the_keeper() -> None:
    case = Case(case="jar", seen=("twitching",), told={"twitching": "absent"})
    with pytest.raises(CaseErrors) as caught:
        found_in(case)
    assert str(caught.value) == (
        "jar, twitching: it is both `absent` (answered by the keeper) and `present` (seen). "
        "Keep the true one."
    )
