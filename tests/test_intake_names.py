"""The names a case uses, against a vocabulary."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pytest

from diagnose.intake.case import Case, Event
from diagnose.intake.names import check_names, event_kinds
from diagnose.intake.problems import CaseErrors


@dataclass(frozen=True)
class Word:
    kind: str
    choices: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    possible: tuple[float, float] | None = None
    plausible: tuple[float, float] | None = None
    said: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    event: str | None = None
    asks: str = ""
    also: tuple[str, ...] = ()
    said_as: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    implies: Mapping[str, Mapping[str, tuple[str, ...]]] = field(default_factory=dict)
    holds_h: float | None = None
    matters_h: float | None = None
    alike: float | None = None
    tried: tuple[str, ...] = ()


VOCABULARY = {
    "twitching": Word("sign"),
    "did_spray": Word("sign", event="spray"),
    "air_helped": Word("choice", {"yes": "", "no": ""}),
    "bodies": Word("choice", {"whole": "", "none_found": ""}),
    "temperature_c": Word("number", unit="degC", possible=(0, 45)),
    "temperature_swing_c": Word("number", unit="degC", possible=(0, 35)),
    "months_kept": Word("number", unit="months", possible=(0, 60)),
    "hours_from_spray": Word("number", unit="h", possible=(0, 20000), event="spray"),
    "deaths_share": Word("number", unit="%", possible=(0, 100)),
    "gh_dgh": Word("number", unit="dGH", possible=(0, 150)),
    "ph": Word("number", unit="pH", possible=(0, 14)),
    "tan_mg_l": Word("number", unit="mg/L", possible=(0, 500)),
    "volume_l": Word("number", unit="L", possible=(0.05, 5000)),
    "feeds_per_week": Word("number", unit="per week", possible=(0, 200)),
    "container_age_days": Word("number", unit="d", possible=(0, 10000)),
}


def told(**answers: str | float | bool) -> dict[str, str | float | bool]:
    return check_names(Case(case="jar", told=answers), VOCABULARY).told


def test_a_told_sign_is_present_or_absent() -> None:
    for yes in ("present", "yes", True, "Yes"):
        assert told(twitching=yes) == {"twitching": "present"}
    for no in ("absent", "no", False):
        assert told(twitching=no) == {"twitching": "absent"}


def test_a_told_choice_is_one_of_its_words() -> None:
    assert told(bodies="none found") == {"bodies": "none_found"}
    assert told(air_helped=True) == {"air_helped": "yes"}


@pytest.mark.parametrize(
    ("name", "answer", "value"),
    [
        ("temperature_c", "74 F", 23.3333),
        ("temperature_c", 22, 22),
        ("temperature_swing_c", "9 F", 5),
        ("temperature_swing_c", 5, 5),
        ("months_kept", "1 year", 12),
        ("months_kept", 3, 3),
        ("months_kept", "2 weeks", 0.45996),
        ("hours_from_spray", "2 days", 48),
        ("deaths_share", "half", 50),
        ("deaths_share", 0.5, 0.5),
        ("gh_dgh", "178.48 ppm", 10),
        ("gh_dgh", 60, 60),
        ("ph", "7.4", 7.4),
        ("ph", 7, 7),
        ("tan_mg_l", "0.5 ppm", 0.5),
        ("volume_l", "1 gal", 3.7854),
        ("feeds_per_week", 7, 7),
        ("feeds_per_week", "7", 7),
        ("feeds_per_week", "7 per week", 7),
        ("container_age_days", "3 weeks", 21),
    ],
)
def test_a_told_number_is_in_the_unit_of_its_name(
    name: str, answer: str | float, value: float
) -> None:
    assert told(**{name: answer})[name] == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "answer"),
    [
        ("twitching", "sometimes"),
        ("bodies", "vanished"),
        ("temperature_c", "200 F"),
        ("ph", 15),
        ("ph", True),
        ("deaths_share", 120),
        ("feeds_per_week", "7 a day"),
        ("volume_l", "plenty"),
        ("tan_mg_l", ".nan"),
    ],
)
def test_an_answer_that_cannot_be_is_refused(name: str, answer: str | float) -> None:
    with pytest.raises(CaseErrors, match=f"told, {name}"):
        told(**{name: answer})


def test_a_misspelt_name_is_refused_with_the_nearest() -> None:
    case = Case(case="jar", seen=("twiching",), not_done=("spary",), told={"bodys": "whole"})
    with pytest.raises(CaseErrors) as caught:
        check_names(case, VOCABULARY)
    hints = [problem.hint for problem in caught.value.problems]
    assert hints == ["Did you mean `twitching`?", "Did you mean `spray`?", "Did you mean `bodies`?"]


def test_a_choice_is_told_not_seen() -> None:
    with pytest.raises(CaseErrors, match="Write it under `told`"):
        check_names(Case(case="jar", seen=("bodies",)), VOCABULARY)


def test_feeding_and_deaths_may_be_logged_though_nobody_asks_for_them() -> None:
    assert event_kinds(VOCABULARY) == ("death", "feed", "spray")
    case = Case(case="jar", events=(Event(what="feed"), Event(what="death")))
    assert check_names(case, VOCABULARY) == case


def test_a_name_nothing_is_like_gets_the_way_to_the_list() -> None:
    with pytest.raises(CaseErrors, match="bowlside case schema"):
        check_names(Case(case="jar", seen=("zzzz",)), VOCABULARY)
