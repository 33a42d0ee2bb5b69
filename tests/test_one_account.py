"""Outlook, stocking and care tell one keeper one thing about one container."""

from __future__ import annotations

import pytest

from diagnose.findings.observed_case import ObservedCase, observed_text
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.uses.care import care_of_case
from diagnose.uses.outlook import outlook_of_case
from diagnose.uses.stocking import judged_case, stocking_case, told_newcomers
from tests.worked_files import ASKED

JARS = {
    "a settled bowl": "{volume: 7 L, planting: moderate, filter: none, sun: none, age: 200 days, "
    "room_temperature: 23 C, change: {share: 50 %, every: 7 days}}",
    "a bare jar": "{volume: 3 L, planting: none, filter: none, sun: none, age: 150 days, "
    "room_temperature: 22 C, change: {share: 30 %, every: 7 days}}",
    "nine days old": "{volume: 5 L, planting: moderate, filter: none, sun: none, age: 9 days, "
    "room_temperature: 23 C, change: {share: 30 %, every: 7 days}}",
    "with a filter": "{volume: 20 L, planting: dense, filter: running, sun: none, age: 300 days, "
    "room_temperature: 23 C, change: {share: 30 %, every: 7 days}}",
}


def told(rulebook: Rulebook, container: str, adults: int = 8) -> ObservedCase:
    text = (
        f"case: jar\nasked_at: 2026-05-20 18:00\ncontainer: {container}\n"
        f"stock: {{species: cherry shrimp, adults: {adults}, "
        "feeding: {times: daily, per_feed: 6 mg}}\n"
    )
    return observed_text(text.encode(), "jar.yaml", rulebook, now=ASKED)


@pytest.mark.parametrize("name", JARS)
def test_one_number_is_carried_and_one_number_of_young_goes_out(
    rulebook: Rulebook, name: str
) -> None:
    seen = told(rulebook, JARS[name])
    ahead = outlook_of_case(rulebook, seen, bundled("knowledge"), now=ASKED, with_moves=False)
    cared = care_of_case(rulebook, seen, now=ASKED).outlook
    assert cared is not None
    assert cared.carries == pytest.approx(ahead.carries.middle)
    assert cared.hold_at == ahead.hold_at
    for mine, theirs in zip(cared.young_out_a_week, ahead.young_out, strict=True):
        assert mine == (theirs.low, theirs.middle, theirs.high)


@pytest.mark.parametrize("name", ["a settled bowl", "a bare jar", "nine days old"])
def test_what_may_be_added_and_what_lives_there_fit_what_is_carried(
    rulebook: Rulebook, name: str
) -> None:
    """The fence is soft: it begins to shut at 95 % and is shut at 100 %."""
    adults = 2
    seen = told(rulebook, JARS[name], adults)
    newcomers = told_newcomers(rulebook=rulebook, case=seen.case, add="2 adults")
    ready = judged_case(rulebook, seen, newcomers, now=ASKED)
    ahead = outlook_of_case(rulebook, seen, bundled("knowledge"), now=ASKED, with_moves=False)
    assert adults + ready.now <= max(ahead.carries.middle, adults) + 1.0
    if ahead.carries.middle < adults:
        assert ready.judgement.verdict != "add now"


def test_where_they_may_come_no_line_says_that_they_are_too_many(rulebook: Rulebook) -> None:
    seen = told(rulebook, JARS["a settled bowl"], 4)
    newcomers = told_newcomers(rulebook=rulebook, case=seen.case, add="4 adults")
    answer = stocking_case(rulebook, seen, newcomers, now=ASKED)
    assert answer.outlook is not None and answer.outlook.carries >= 8
    assert answer.number_later is not None
    assert 4 <= answer.number_later <= answer.outlook.carries - 4 + 1


@pytest.mark.parametrize("change", ["keep the surface moving", "add 6 adults", "feed 5 times"])
def test_a_change_moves_what_is_carried_or_the_young(rulebook: Rulebook, change: str) -> None:
    seen = told(rulebook, JARS["a settled bowl"], 14)
    answer = outlook_of_case(
        rulebook, seen, bundled("knowledge"), now=ASKED, with_moves=False, what_if=(change,)
    )
    assert answer.carries.changed is not None
    moved = answer.carries.changed != (
        answer.carries.low, answer.carries.middle, answer.carries.high
    )  # fmt: skip
    assert moved or answer.young_out_changed != answer.young_out


def test_to_hold_never_asks_for_fewer_than_are_safe(rulebook: Rulebook) -> None:
    for adults in (1, 9, 14, 60):
        seen = told(rulebook, JARS["a settled bowl"], adults)
        ahead = outlook_of_case(rulebook, seen, bundled("knowledge"), now=ASKED, with_moves=False)
        assert ahead.hold_at >= round(ahead.carries.low)
        if adults <= ahead.carries.middle:
            assert ahead.hold_at >= adults or ahead.hold_at >= round(ahead.carries.low)
