"""Keepers' words lead to the vocabulary's names: synonyms as data, else the nearest in meaning.

That these are words keepers use, British and American, is common practice, no source; the misfits
are those of the trial with 171 reports of keepers.
"""

from __future__ import annotations

from collections import Counter

import pytest

from diagnose.intake.case import Case, Event
from diagnose.intake.meaning import Meaning, folded, nearest
from diagnose.intake.names import LOG_EVENTS, check_names, event_meanings
from diagnose.intake.problems import CaseErrors
from diagnose.rulebook.species import known_species
from diagnose.rulebook.terms import Rulebook
from tests.observed import values, written_case


def hints(rulebook: Rulebook, text: str) -> list[str]:
    """What is answered to lines that cannot be used."""
    with pytest.raises(CaseErrors) as caught:
        written_case(rulebook, text)
    return [problem.hint for problem in caught.value.problems]


def test_every_word_for_a_name_is_said_of_that_name_alone(rulebook: Rulebook) -> None:
    events = event_meanings(rulebook.vocabulary)
    words = Counter(folded(word) for kind, m in events.items() for word in {kind, *m.called})
    assert [word for word, times in words.items() if times > 1] == []
    names = Counter(
        folded(word) for term in rulebook.vocabulary.values() for word in {term.name, *term.also}
    )
    assert [word for word, times in names.items() if times > 1] == []
    kinds = Counter(
        folded(word) for c in rulebook.companions.values() for word in {folded(c.id), *c.also}
    )
    assert [word for word, times in kinds.items() if times > 1] == []


def test_every_word_for_a_sign_and_an_event_is_accepted_for_it(rulebook: Rulebook) -> None:
    for term in rulebook.vocabulary.values():
        for word in term.also if term.kind == "sign" else ():
            for said in (word, word.upper(), word.replace(" ", "-"), word.replace(" ", "_")):
                case = check_names(Case(case="jar", seen=(said,)), rulebook.vocabulary)
                assert case.seen == (term.name,)
            if term.event is not None:
                log = Case(case="jar", events=(Event(what=word),), not_done=(word,))
                named = check_names(log, rulebook.vocabulary)
                assert (named.events[0].what, named.not_done) == (term.event, (term.event,))


def test_every_word_for_a_question_and_its_answers_is_accepted(rulebook: Rulebook) -> None:
    for term in rulebook.vocabulary.values():
        if term.kind != "choice":
            continue
        for answer, words in term.said_as.items():
            for word in words:
                for name in (term.name, *term.also):
                    case = Case(case="jar", told={name: word})
                    (said,) = check_names(case, rulebook.vocabulary).told.items()
                    meant = tuple(answer.split("|"))
                    assert said[0] == term.name
                    assert getattr(said[1], "words", (said[1],)) == meant


def test_a_kind_misspelt_is_the_kind_meant(rulebook: Rulebook) -> None:
    for written in ("chery shrimp", "cherry shirmp", "Cherry Shrimps"):
        assert known_species(rulebook, written) is known_species(rulebook, "cherry shrimp")
    assert known_species(rulebook, "vampire shrimp") is not known_species(rulebook, "cherry shrimp")


def test_every_name_of_a_species_means_one_profile(rulebook: Rulebook) -> None:
    for species in rulebook.species.values():
        for name in (*species.latin, *species.also_called):
            assert known_species(rulebook, name) is species


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("seen: [hiding]", "hiding"),
        ("seen: [escape]", "leaving_water"),
        ("events: [{what: new-shrimp, at: 2 days ago}]", "did_new_animals"),
        ("events: [{what: painting, at: 2 days ago}]", "did_fumes"),
        ("events: [{what: ant powder, at: 2 days ago}]", "did_poison_bait"),
        ("events: [{what: Filter cleaning, at: 2 days ago}]", "did_filter_serviced"),
        ("seen: [thrashing]", "racing"),
        ("seen: [molts]", "skins_found"),
    ],
)
def test_a_word_that_was_refused_once_leads_to_its_name(
    rulebook: Rulebook, text: str, name: str
) -> None:
    assert values(rulebook, text)[name] == "present"


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("events: [{what: hiding}]", "Write `hiding` under `seen`."),
        ("events: [{what: escape}]", "Write `leaving_water` under `seen`."),
        ("seen: [hides all day]", "`hiding`"),
        ("events: [{what: walls painted, at: 2 days ago}]", "`fumes`"),
        ("events: [{what: added new shrimps, at: 2 days ago}]", "`new-animals`"),
        ("told: {death_shape: some a day}", "write `death_course: some_a_day`"),
    ],
)
def test_what_is_refused_is_answered_with_the_nearest_in_meaning(
    rulebook: Rulebook, text: str, hint: str
) -> None:
    assert hint in hints(rulebook, text)[0]


def test_letters_alone_bring_nothing_near() -> None:
    meanings = {"white_ring": Meaning(("white band",)), "new-hardscape": Meaning(("new stones",))}
    assert nearest("hiding", meanings) == []
    assert nearest("escape", meanings) == []
    assert nearest("wite ring", meanings) == ["white_ring"]


def test_what_a_course_implies_leaves_the_shape_open(rulebook: Rulebook) -> None:
    found = values(rulebook, "told: {death_course: a few a day}")
    assert (found["death_course"], found["death_shape"]) == ("some_a_day", "burst")


def test_events_of_the_log_need_no_question(rulebook: Rulebook) -> None:
    assert set(LOG_EVENTS) <= set(event_meanings(rulebook.vocabulary))


@pytest.mark.parametrize("said", ["deaths: none", "deaths: nobody died", "nobody died: yes",
                                  "nobody_died: true", "deaths: 0"])  # fmt: skip
def test_that_nobody_died_is_as_easy_to_say_as_a_death(rulebook: Rulebook, said: str) -> None:
    assert values(rulebook, f"{said}\nseen: [grazing]")["death_shape"] == "none"


def test_that_nobody_died_cannot_stand_beside_a_death(rulebook: Rulebook) -> None:
    assert hints(rulebook, "nobody died: yes\ndeaths: {dead: 2}") == ["Keep the true one."]
    assert "first: 2 days ago" in hints(rulebook, "deaths: many of them")[0]


def test_all_errors_of_a_file_come_in_one_go(rulebook: Rulebook) -> None:
    text = (
        "container: {volume: pink, filtre: none}\n"
        "seen: [hidingg, grazing]\n"
        "not_seen: [foraging]\n"
        "events:\n"
        "  - {at: yesterday}\n"
        "  - {what: sprey, note: hair spray, kitchen}\n"
        "deaths: {dead: 5, of: 3}"
    )
    with pytest.raises(CaseErrors) as caught:
        written_case(rulebook, text)
    found = [(problem.line, problem.field) for problem in caught.value.problems]
    assert found == [
        (2, "container, volume"),
        (2, "container, filtre"),
        (3, "seen, entry 1"),
        (4, "not_seen, entry 1"),
        (6, "events, entry 1, what"),
        (7, "events, entry 2, kitchen"),
        (7, "events, entry 2, what"),
        (8, "deaths, dead"),
    ]


def test_the_rest_of_an_unquoted_text_is_explained(rulebook: Rulebook) -> None:
    comma = hints(rulebook, "events: [{what: spray, note: hair spray, kitchen}]")
    assert "a comma ends the text" in comma[0]
    assert "quotes" in comma[0]
    colon = hints(rulebook, "title: The jar: by the window")
    assert colon == ['Text with a colon in it needs quotes: write title: "The jar: by the window".']
