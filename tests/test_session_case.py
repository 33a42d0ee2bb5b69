"""The session writes the case a keeper would have written, and it gives the same result again."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.belief.next_checks import beside_the_point
from diagnose.dialogue.belief_state import SessionRules, belief_state, next_question, session_rules
from diagnose.dialogue.questions import Question, question
from diagnose.dialogue.replies import Answered, clean, read_reply
from diagnose.dialogue.session import answer_of
from diagnose.dialogue.state import STORY, Given, Session, ask_again, give, skip, take_back
from diagnose.dialogue.told_case import case_of, case_text
from diagnose.findings import observe
from diagnose.findings.observed_case import observed_text
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook

STARTED = datetime(2026, 3, 14, 21, 30)


@pytest.fixture(scope="module")
def rules(rulebook: Rulebook) -> SessionRules:
    return session_rules(rulebook, [bundled("knowledge")])


def answered(rules: SessionRules, session: Session, name: str, typed: str) -> Session:
    asked = question(name, rules.rulebook, rules.asking)
    found = read_reply(typed, asked, rules.rulebook.vocabulary, session.told())
    return give(session, Given(name, found.tells if isinstance(found, Answered) else (), typed))


def some_line(asked: Question, pick: int) -> str:
    """An answer such as people give, chosen by a number."""
    lines = {
        "story": ["", "they twitch", "all my shrimp died two days after I put in a new plant"],
        "dead": ["5 of 12", "none", "all", "1", "half", "not sure"],
        "over": ["2 days", "overnight", "since yesterday", "3 weeks", "not sure"],
        "moment": ["2 days ago", "yesterday evening", "not sure"],
        "several": ["1", "2 3", "2 only", "none of these", "not sure", "1 not 2"],
        "yes_no": ["yes", "no", "no", "not sure"],
        "choice": [str(n + 1) for n in range(len(asked.choices))] + ["not sure"],
        "number": ["0.5", "2", "7", "not sure"],
        "time": ["2 days before", "30 h before", "not sure"],
    }[asked.kind]
    return lines[pick % len(lines)]


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(min_value=0, max_value=10_000), min_size=6, max_size=16))
def test_whatever_was_answered_the_written_case_gives_the_same_result(
    rules: SessionRules, picks: list[int]
) -> None:
    session = Session(STARTED, "front-window-jar")
    seen = belief_state(rules, session)
    for pick in picks:
        coming = next_question(rules, seen)
        if coming.stop:
            break
        asked = question(coming.question, rules.rulebook, rules.asking)
        then = answered(rules, session, asked.name, some_line(asked, pick))
        try:
            seen = belief_state(rules, then)
        except ValueError:
            then = give(session, Given(asked.name, (), "not sure"))
            seen = belief_state(rules, then)
        session = then
    if seen.case is None:
        return
    text = case_text(session, rules.rulebook.vocabulary)
    read = observed_text(text.encode(), "written", rules.rulebook, now=STARTED)
    assert read.case == seen.case
    assert {o.name: (o.value, o.asked) for o in read.observations} == {
        name: (o.value, o.asked) for name, o in seen.inferred.trace.observations.items()
    }
    beliefs = answer_of(rules, session).diagnosis.beliefs
    assert beliefs.shares() == pytest.approx(seen.inferred.beliefs.shares(), abs=1e-12)


def test_an_answer_is_asked_for_and_the_first_words_are_volunteered(rules: SessionRules) -> None:
    session = give(Session(STARTED, "jar"), Given(STORY, (("twitching", "present"),), ""))
    session = answered(rules, session, "white_ring", "yes")
    session = answered(rules, session, "did_new_plants", "yes")
    session = answered(rules, session, "hours_from_new_plants", "3 days before")
    text = case_text(session, rules.rulebook.vocabulary)
    read = observed_text(text.encode(), "written", rules.rulebook, now=STARTED)
    asked = {o.name for o in read.observations if o.asked}
    assert {"white_ring", "did_new_plants", "hours_from_new_plants"} <= asked
    assert "twitching" not in asked


def test_every_answer_the_session_takes_comes_back_as_that_observation(rules: SessionRules) -> None:
    """Sign, choice and number: what is told is what is observed, wherever the case puts it."""
    rulebook = rules.rulebook
    for name, term in rulebook.vocabulary.items():
        if term.derived or (term.event and term.kind == "number"):
            continue
        for value, _ in term.shares:
            session = give(Session(STARTED, "jar"), Given(name, ((name, value),), ""))
            case = case_of(session, rulebook.vocabulary)
            found = observe(
                case,
                rulebook.vocabulary,
                species_of(rulebook, case.stock.species, *case.stock.also_species),
                rulebook.companions,
                now=STARTED,
            )
            known = {o.name: o.value for o in found}
            expected = pytest.approx(value) if isinstance(value, float) else value
            assert known.get(name) == expected, (name, value, case)


def test_the_case_reads_as_if_written_by_hand(rules: SessionRules) -> None:
    session = Session(STARTED, "front-window-jar")
    for name, typed in (
        ("dead", "5 of 12"),
        ("over", "2 days"),
        ("living", "2 7"),
        ("together:inside", "1 not 2"),
        ("hours_from_new_plants", "3 days before"),
        ("filter_state", "none"),
        ("container_age_days", "3 months"),
        ("temperature_c", "72 F"),
        ("snails_state", "fine"),
        ("white_ring", "no"),
    ):
        session = answered(rules, session, name, typed)
    content = case_text(session, rules.rulebook.vocabulary)
    for part in (
        "case: front-window-jar\n",
        "asked_at: 2026-03-14 21:30\n",
        "dead: 5",
        "of: 12",
        "- what: new-plants\n  at: 3 days before the first death",
        "not_done:\n- new-animals",
        "filter: none",
        "seen:\n- listless\n- twitching",
        "not_seen:\n- white_ring",
        "what: temperature",
        "snails_state: fine",
    ):
        assert part in content


@settings(max_examples=50, deadline=None)
@given(st.text(max_size=200))
def test_no_story_breaks_the_file(rules: SessionRules, story: str) -> None:
    told = Session(STARTED, "jar", story=clean(story))
    session = answered(rules, told, "twitching", "yes")
    text = case_text(session, rules.rulebook.vocabulary)
    read = observed_text(text.encode(), "written", rules.rulebook, now=STARTED)
    assert (read.case.story or "") == clean(story)
    assert read.case.seen == ("twitching",)


def test_going_back_asks_the_same_question_again(rules: SessionRules) -> None:
    session = answered(rules, Session(STARTED, "jar"), "story", "")
    session = answered(rules, session, "dead", "5 of 12")
    before = take_back(session)
    assert before.told() == {}
    assert next_question(rules, belief_state(rules, before)).question == "dead"
    assert answered(rules, before, "dead", "5 of 12").told() == session.told()


def test_a_changed_answer_takes_the_place_of_the_old_one(rules: SessionRules) -> None:
    session = answered(rules, Session(STARTED, "jar"), "dead", "5 of 12")
    session = answered(rules, session, "twitching", "yes")
    session = answered(rules, ask_again(session, "dead"), "dead", "half")
    assert session.told() == {"deaths_share": 50.0, "twitching": "present"}
    assert session.pinned == ""


def test_a_skipped_topic_is_not_asked_about_again(rules: SessionRules) -> None:
    session = skip(Session(STARTED, "jar"), "animals")
    for name in ("story", "dead", "over", "living"):
        session = give(session, Given(name, (), "not sure"))
    for _ in range(12):
        coming = next_question(rules, belief_state(rules, session))
        if coming.stop:
            break
        assert rules.asking.topic_of.get(coming.question) != "animals"
        session = give(session, Given(coming.question, (), "not sure"))


@settings(max_examples=6, deadline=None)
@given(st.lists(st.integers(min_value=0, max_value=10_000), min_size=25, max_size=25))
def test_nothing_is_asked_twice_nor_what_is_known_nor_what_has_no_ground(
    rules: SessionRules, picks: list[int]
) -> None:
    session = Session(STARTED, "jar")
    asked_before: set[str] = set()
    for pick in picks:
        seen = belief_state(rules, session)
        coming = next_question(rules, seen)
        if coming.stop:
            return
        name = coming.question
        known = seen.inferred.trace.observations
        assert name not in asked_before
        assert name not in known
        asked_before.add(name)
        term = rules.rulebook.vocabulary.get(name)
        if term is not None:
            assert not term.derived
            ground = term.needs_present
            assert ground is None or known[ground].value == "present"
            assert name not in beside_the_point(rules.rulebook, known)
        asked = question(name, rules.rulebook, rules.asking)
        then = answered(rules, session, name, some_line(asked, pick))
        try:
            belief_state(rules, then)
        except ValueError:
            then = give(session, Given(name, (), "not sure"))
        session = then


def test_answers_that_cannot_stand_together_are_refused_by_a_sentence(rules: SessionRules) -> None:
    session = Session(STARTED, "jar")
    session = give(session, Given("first_body", (("deaths.first", "2026-03-20"),), ""))
    session = answered(rules, session, "dead", "5 of 12")
    with pytest.raises(ValueError, match="later than"):
        belief_state(rules, session)
