"""What a keeper types at a question, and what the session takes it for."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.dialogue.asking import Asking, load_asking
from diagnose.dialogue.questions import question
from diagnose.dialogue.replies import (
    WORDS,
    Answered,
    NotSure,
    Reply,
    Unclear,
    Word,
    as_date,
    clean,
    read_reply,
)
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.story.facts import DEAD_COUNT


@pytest.fixture(scope="module")
def asking(rulebook: Rulebook) -> Asking:
    return load_asking([bundled("knowledge")], rulebook)


def reply(rulebook: Rulebook, asking: Asking, name: str, typed: str, **told: object) -> Reply:
    return read_reply(typed, question(name, rulebook, asking), rulebook.vocabulary, told)  # type: ignore[arg-type]


TYPED = [
    ("dead", "5 of 12", {"deaths.dead": 5, "deaths.of": 12}),
    ("dead", "two of ten", {"deaths.dead": 2, "deaths.of": 10}),
    ("dead", "3", {"deaths.dead": 3}),
    ("dead", "half", {"deaths_share": 50.0}),
    ("dead", "25 %", {"deaths_share": 25.0}),
    ("dead", "all of them", {"deaths_share": 100.0}),
    ("dead", "none", {"deaths.dead": 0, "death_shape": "none"}),
    ("over", "2 days", {"deaths.over": 48.0}),
    ("over", "overnight", {"deaths.over": 10.0}),
    ("over", "about 3 weeks", {"deaths.over": 504.0}),
    (
        "over",
        "since yesterday evening",
        {"deaths.first": "yesterday evening", "deaths_go_on": "present"},
    ),
    ("over", "3 days ago", {"deaths.first": "3 days ago"}),
    ("first_body", "yesterday morning", {"deaths.first": "yesterday morning"}),
    ("twitching", "yes", {"twitching": "present"}),
    ("twitching", "Yes, two of them", {"twitching": "present"}),
    ("twitching", "n", {"twitching": "absent"}),
    ("twitching", "not that I saw", {"twitching": "absent"}),
    ("snails_state", "3", {"snails_state": "dead"}),
    ("snails_state", "climb", {"snails_state": "climbing_out"}),
    ("snails_state", "alive and moving as always", {"snails_state": "fine"}),
    ("water_source", "mineral-free with", {"water_source": "remineralised"}),
    ("container_age_days", "3 weeks", {"container_age_days": 21.0}),
    ("temperature_c", "72 F", {"temperature_c": pytest.approx(22.222, abs=0.001)}),
    ("temperature_c", "22,5 C", {"temperature_c": 22.5}),
    ("ph", "7.4", {"ph": 7.4}),
    ("tan_mg_l", "1 mg/L as N", {"tan_mg_l": pytest.approx(1.0)}),
    ("nitrite_mg_l", "0.5", {"nitrite_mg_l": pytest.approx(0.5 * 14.007 / 46.005, rel=1e-3)}),
    ("gh_dgh", "140 ppm", {"gh_dgh": pytest.approx(140 / 17.848, rel=1e-3)}),
    ("feeds_per_week", "every 2 days", {"feeds_per_week": 3.5}),
    ("feeds_per_week", "5 times a week", {"feeds_per_week": 5.0}),
    ("last_change_share", "a third", {"last_change_share": pytest.approx(33.33, abs=0.01)}),
    ("hours_from_new_plants", "2 days before", {"at:new-plants": "2 days before the first death"}),
    ("hours_from_new_plants", "5 days ago", {"at:new-plants": "5 days ago"}),
    ("hours_from_new_plants", "36", {"at:new-plants": "36.0 h before the first death"}),
    ("living", "2 7", {"listless": "present", "twitching": "present"}),
    (
        "together:inside",
        "new plants, new animals",
        {"did_new_plants": "present", "did_new_animals": "present"},
    ),
    ("together:inside", "1 not 2", {"did_new_plants": "present", "did_new_animals": "absent"}),
    ("equipment:thermometer", "yes", {"equipment:thermometer": True}),
]


@pytest.mark.parametrize(("name", "typed", "tells"), TYPED, ids=[f"{n}-{t}" for n, t, _ in TYPED])
def test_an_answer_is_taken_as_it_is_meant(
    rulebook: Rulebook, asking: Asking, name: str, typed: str, tells: dict[str, object]
) -> None:
    found = reply(rulebook, asking, name, typed)
    assert isinstance(found, Answered), found
    assert dict(found.tells) == tells


def test_none_of_these_says_that_each_was_looked_for_and_not_seen(
    rulebook: Rulebook, asking: Asking
) -> None:
    found = reply(rulebook, asking, "living", "none of these")
    assert isinstance(found, Answered)
    assert set(dict(found.tells)) == set(asking.first_signs)
    assert set(dict(found.tells).values()) == {"absent"}


def test_choices_that_were_not_named_stay_unknown_unless_only_is_said(
    rulebook: Rulebook, asking: Asking
) -> None:
    some = reply(rulebook, asking, "together:around", "1")
    rest = reply(rulebook, asking, "together:around", "1 only")
    assert isinstance(some, Answered)
    assert isinstance(rest, Answered)
    assert dict(some.tells) == {"did_spray": "present"}
    assert dict(rest.tells)["did_pet_treatment"] == "absent"


@pytest.mark.parametrize(
    "typed", ["not sure", "no idea", "I don't know", "can't check", "cannot measure", "dunno", "-"]
)
@pytest.mark.parametrize("name", ["twitching", "snails_state", "ph", "dead", "over", "living"])
def test_not_sure_is_an_answer_everywhere(
    rulebook: Rulebook, asking: Asking, name: str, typed: str
) -> None:
    assert isinstance(reply(rulebook, asking, name, typed), NotSure)


@pytest.mark.parametrize("word", list(WORDS))
@pytest.mark.parametrize(
    "name", ["twitching", "snails_state", "ph", "dead", "over", "living", "story"]
)
def test_the_sessions_own_words_work_at_every_question(
    rulebook: Rulebook, asking: Asking, name: str, word: str
) -> None:
    found = reply(rulebook, asking, name, word)
    assert isinstance(found, Word)
    assert found.word == word


UNCLEAR = [
    ("dead", "13 of 12", "13 dead of 12"),
    ("over", "half", "Write `2 days`"),
    ("twitching", "purple", "yes, no, not sure"),
    ("snails_state", "7", "no choice 7"),
    ("conditioner_use", "n", "could be"),
    ("ph", "74", "74"),
    ("temperature_c", "250 C", "250"),
    ("temperature_c", "48 C", "between 0 and 45 C"),
    ("twitching", "", "help"),
    ("twitching", "x" * 10_000, "too long"),
]


@pytest.mark.parametrize(
    ("name", "typed", "says"), UNCLEAR, ids=[f"{n}-{t[:9]}" for n, t, _ in UNCLEAR]
)
def test_what_cannot_be_read_is_met_with_a_sentence(
    rulebook: Rulebook, asking: Asking, name: str, typed: str, says: str
) -> None:
    found = reply(rulebook, asking, name, typed)
    assert isinstance(found, Unclear), found
    assert says in found.sentence
    assert len(found.sentence) < 400


def test_hours_count_back_from_now_when_nobody_died(rulebook: Rulebook, asking: Asking) -> None:
    found = reply(rulebook, asking, "hours_from_new_plants", "20 h", **{DEAD_COUNT: 0})
    assert isinstance(found, Answered)
    assert dict(found.tells) == {"at:new-plants": "20.0 h ago"}


@given(st.text(max_size=300), st.integers(min_value=0, max_value=10_000))
def test_nothing_typed_is_ever_an_error(
    rulebook: Rulebook, asking: Asking, typed: str, pick: int
) -> None:
    names = [
        "story",
        "dead",
        "over",
        "living",
        "first_body",
        "together:water",
        *rulebook.vocabulary,
    ]
    reply(rulebook, asking, names[pick % len(names)], typed)


@given(st.text(alphabet=st.characters(), max_size=50))
def test_no_code_that_steers_a_screen_survives(typed: str) -> None:
    cleaned = clean(f"a\x1b[2J{typed}\x07\x00\u202e\ud800b")
    assert not any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 for c in cleaned)
    cleaned.encode("utf-8")


def test_a_time_told_after_a_long_pause_keeps_its_meaning() -> None:
    from datetime import datetime

    from diagnose.intake.moments import Moment

    started = Moment("absolute", at=datetime(2026, 3, 14, 21, 0))
    assert as_date("2 days ago", now_hours_later=24.0, started=started) == "2026-03-13 21:00"
    assert as_date("2 days before the first death", now_hours_later=24.0, started=started) == (
        "2 days before the first death"
    )
