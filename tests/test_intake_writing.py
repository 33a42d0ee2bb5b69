"""A case written down as a keeper could have written it reads back as itself."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.intake.amounts import read_amount
from diagnose.intake.case import (
    Case,
    Container,
    Deaths,
    Event,
    Feeding,
    OtherAnimals,
    Reading,
    Stock,
)
from diagnose.intake.case_file import read_case
from diagnose.intake.moments import read_moment
from diagnose.intake.writing import case_to_yaml

NOW = datetime(2026, 3, 20, 18, 0)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


NAMES = st.sampled_from(["racing", "yes", "null", "on", "12", "1e5", "2026-03-14", "jar two"])
MOMENTS = st.sampled_from(
    ["2026-03-14", "2026-03-14 07:10", "2 days ago", "36 h before the first death", "yesterday"]
).map(read_moment)
LINES = st.text(st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"]), min_size=1).map(
    lambda text: " ".join(text.split()) or "-"
)
CONTAINERS = st.builds(
    Container,
    kind=maybe(st.sampled_from(["bowl", "jar"])),
    volume_l=maybe(st.floats(0.06, 4000)),
    age_days=maybe(st.floats(0, 3000)),
    light_hours=maybe(st.floats(0, 24)),
    opening_area_cm2=maybe(st.floats(1, 900)),
    change_share_percent=maybe(st.floats(0, 100)),
    change_interval_days=maybe(st.floats(0.5, 90)),
    surface_moved=maybe(st.booleans()),
    co2=maybe(st.sampled_from(["none", "on"])),
    room_min_c=maybe(st.floats(-5, 20)),
    altitude_m=maybe(st.floats(0, 4000)),
    placement=maybe(LINES),
)
STOCKS = st.builds(
    Stock,
    species=maybe(NAMES),
    adults=maybe(st.integers(100, 300)),
    kept_for_days=maybe(st.floats(0, 3000)),
    others=st.lists(
        st.builds(OtherAnimals, kind=NAMES, count=maybe(st.integers(0, 9))), max_size=2
    ).map(tuple),
    feeding=maybe(
        st.builds(
            Feeding,
            per_feed=maybe(st.sampled_from(["two pellets", "30 mg"]).map(read_amount)),
            times_per_week=maybe(st.floats(0, 70)),
        )
    ),
)
READINGS = st.builds(
    Reading,
    what=st.sampled_from(["ammonia", "unionised_ammonia", "nitrite", "nitrate", "gh", "oxygen"]),
    value=st.floats(0, 40),
    at=maybe(MOMENTS),
    where=st.sampled_from(["container", "tap"]),
) | st.builds(
    Reading,
    what=st.sampled_from(["ph", "temperature", "oxygen_percent", "kh"]),
    value=st.floats(0, 14),
)
EVENTS = st.builds(
    Event,
    what=NAMES,
    at=maybe(MOMENTS),
    share_percent=maybe(st.floats(0, 100)),
    temperature_c=maybe(st.floats(0, 40)),
    solids_mg_l=maybe(st.floats(0, 900)),
    gh_dgh=maybe(st.floats(0, 90)),
    amount=maybe(st.just(read_amount("a pinch"))),
    note=maybe(LINES),
)
CASES = st.builds(
    Case,
    case=NAMES,
    title=maybe(LINES),
    asked_at=st.just(NOW),
    container=CONTAINERS,
    stock=STOCKS,
    readings=st.lists(READINGS, max_size=3).map(tuple),
    events=st.lists(EVENTS, max_size=3).map(tuple),
    deaths=maybe(
        st.builds(
            Deaths,
            first=st.just(read_moment("2 days ago")),
            dead=maybe(st.integers(0, 50)),
            over_hours=maybe(st.floats(0, 90)),
        )
    ),
    seen=st.just(("twitching",)),
    told=st.dictionaries(NAMES, st.booleans() | st.floats(0, 9) | NAMES, max_size=2),
)


@settings(max_examples=60, deadline=None)
@given(CASES)
def test_a_case_written_down_reads_back(case: Case) -> None:
    text = case_to_yaml(case)
    back = read_case(text.encode(), "written.yaml", NOW)
    assert _but_for_readings(back) == _but_for_readings(case)
    for again, first in zip(back.readings, case.readings, strict=True):
        assert again.model_dump() == first.model_dump()


def _but_for_readings(case: Case) -> dict[str, Any]:
    """Everything that was told; how a reading was once written is not."""
    return case.model_dump(exclude={"readings"})


def test_the_written_case_is_yaml_for_others_too() -> None:
    case = Case(
        case="yes",
        story="One died.\nThen three.",
        container=Container(volume_l=6, change_share_percent=50, change_interval_days=7),
        seen=("racing",),
    )
    text = case_to_yaml(case)
    assert yaml.safe_load(text) == {
        "case": "yes",
        "story": "One died.\nThen three.",
        "container": {"volume": "6 L", "change": {"share": "50 %", "every": "7 d"}},
        "seen": ["racing"],
    }
