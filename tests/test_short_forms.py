"""Entries of a case file written short, and names in other words. The forms are this program's."""

from __future__ import annotations

from datetime import datetime

import pytest

from diagnose.intake.case import Case
from diagnose.intake.case_file import read_case
from diagnose.intake.problems import CaseErrors
from diagnose.rulebook.terms import Rulebook

NOW = datetime(2026, 3, 2, 20, 0)
HEAD = "case: glaze-shelf\nasked_at: 2026-03-02 20:00\ncontainer: {volume: 5 L}\n"


def read(rulebook: Rulebook, written: str) -> Case:
    data = (HEAD + written).encode()
    return read_case(data, "glaze-shelf.yaml", NOW, vocabulary=rulebook.vocabulary)


@pytest.mark.parametrize(
    ("short", "long"),
    [
        ("events: [heat-wave]", "events: [{what: heat-wave}]"),
        ("events: heat-wave", "events: [{what: heat-wave}]"),
        ("events:\n- water-change: yesterday", "events: [{what: water-change, at: yesterday}]"),
        (
            "events: {water-change: yesterday, new-plants: 3 days ago}",
            "events: [{what: water-change, at: yesterday}, {what: new-plants, at: 3 days ago}]",
        ),
        (
            "events:\n- water-change: {at: yesterday, share: half}",
            "events: [{what: water-change, at: yesterday, share: half}]",
        ),
        ("stock: {others: [betta]}", "stock: {others: [{kind: betta}]}"),
        ("stock: {others: 3 snails}", "stock: {others: [{kind: snails, count: 3}]}"),
        ("stock: {others: [a few snails]}", "stock: {others: [{kind: snails, count: a few}]}"),
        ("stock: {others: {snails: 5}}", "stock: {others: [{kind: snails, count: 5}]}"),
        ("readings: [ammonia 2 ppm]", "readings: [{what: ammonia, value: 2 ppm}]"),
        ("readings: ['pH: 7.4']", "readings: [{what: ph, value: 7.4}]"),
        ("readings: [nitrite none]", "readings: [{what: nitrite, value: none}]"),
        (
            "readings: {ph: 7.4, gh: <4}",
            "readings: [{what: ph, value: 7.4}, {what: gh, value: <4}]",
        ),
        (
            "readings:\n- nitrate: {value: 20, at: yesterday}",
            "readings: [{what: nitrate, value: 20, at: yesterday}]",
        ),
    ],
)
def test_short_and_long_say_the_same(rulebook: Rulebook, short: str, long: str) -> None:
    assert read(rulebook, short) == read(rulebook, long)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("lying on their sides", "lying_on_side"),
        ("the water was cloudy", "cloudy_water"),
        ("Cloudy Water", "cloudy_water"),
    ],
)
def test_a_sign_in_the_same_words_is_that_sign(rulebook: Rulebook, said: str, meant: str) -> None:
    assert read(rulebook, f"seen: [{said}]").seen == (meant,)


def test_a_word_that_changes_the_meaning_is_not_passed_over(rulebook: Rulebook) -> None:
    with pytest.raises(CaseErrors):
        read(rulebook, "seen: [not lying on their sides]")


def test_a_fault_in_a_short_entry_names_its_line(rulebook: Rulebook) -> None:
    with pytest.raises(CaseErrors) as found:
        read(rulebook, "events:\n- heat-wave\n- danced about\nreadings:\n  ph: 7\n  gh: wobbly\n")
    assert [(error.line, error.field) for error in found.value.problems] == [
        (6, "events, entry 2, what"),
        (9, "readings, entry 2, value"),
    ]
