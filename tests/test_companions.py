"""The animals beside the shrimp, by a table of what they do to them; common practice, no source."""

from __future__ import annotations

from datetime import datetime

import pytest

from diagnose.findings.companions import companion_of
from diagnose.findings.observed_case import observed_text
from diagnose.rulebook.terms import Rulebook
from tests.observed import observed, values

NOW = datetime(2026, 3, 14, 18, 0)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("4 goldfish", "goldfish"),
        ("small puffer", "puffer"),
        ("cherry barbs", "barb"),
        ("striped loach", "loach"),
        ("pygmy gouramis", "pygmy-gourami"),
        ("Mexican dwarf crayfish", "dwarf-crayfish"),
        ("celestial pearl danios", "danio"),
        ("horned nerite snail", "nerite-snail"),
        ("Boraras brigittae", "rasbora"),
        ("dragonfly larvae", "dragonfly-nymph"),
        ("otocinclus", "otocinclus"),
        ("medaka fry", "medaka"),
        ("platies", "platy"),
    ],
)
def test_a_companion_is_known_by_a_keepers_word(rulebook: Rulebook, said: str, meant: str) -> None:
    found = companion_of(said, rulebook.companions)
    assert found is not None
    assert found.id == meant


def test_every_word_of_the_table_leads_to_its_own_entry(rulebook: Rulebook) -> None:
    for companion in rulebook.companions.values():
        for word in (companion.id, *companion.also):
            found = companion_of(word, rulebook.companions)
            assert found is not None
            assert found.id == companion.id, word


@pytest.mark.parametrize(
    ("others", "risk"),
    [
        ("[{kind: snails}]", "none"),
        ("[{kind: otocinclus}, {kind: nerite snail}]", "none"),
        ("[{kind: guppies}, {kind: snails}]", "eats_young"),
        ("[{kind: guppies}, {kind: goldfish}]", "eats_grown"),
        ("[{kind: waterdog}, {kind: snails}]", "unknown"),
        ("[{kind: fish}]", "unknown"),
        ("[{kind: fish, size: 15 cm}]", "eats_grown"),
        ("[{kind: fish, size: 2 cm}]", "eats_young"),
        ("[{kind: goldfish, count: 0}, {kind: snail}]", "none"),
    ],
)
def test_the_worst_of_the_company_counts(rulebook: Rulebook, others: str, risk: str) -> None:
    assert values(rulebook, f"stock: {{others: {others}}}")["company_risk"] == risk


def test_who_is_in_no_table_has_unknown_habits_and_the_answer_says_so(rulebook: Rulebook) -> None:
    text = b"case: jar\nstock: {others: [{kind: waterdog}, {kind: snails}]}\n"
    taken = observed_text(text, "jar.yaml", rulebook, now=NOW).assumptions
    assert any("counts as unknown: waterdog." in sentence for sentence in taken)


def test_a_shrimp_without_a_profile_is_an_unknown_kind_and_the_answer_says_so(
    rulebook: Rulebook,
) -> None:
    text = b"case: jar\nstock: {species: glass dancer, adults: 4}\n"
    found = observed_text(text, "jar.yaml", rulebook, now=NOW)
    assert {"species_group": "unknown"}.items() <= {
        item.name: item.value for item in found.observations
    }.items()
    assert any("No profile here is called glass dancer" in said for said in found.assumptions)


@pytest.mark.parametrize(
    "stock",
    [
        "{species: [red cherry, Amano shrimp]}",
        "{species: red cherry and Amano shrimp}",
        "{species: red cherry, others: [{kind: Amano shrimp}]}",
    ],
)
def test_two_kinds_of_shrimp_may_share_a_container(rulebook: Rulebook, stock: str) -> None:
    assert values(rulebook, f"stock: {stock}")["two_kinds"] == "present"


def test_fish_that_came_later_are_an_event(rulebook: Rulebook) -> None:
    text = "stock: {others: [{kind: goldfish, put_in: 2 days ago}]}"
    found = observed(rulebook, text)
    assert found["did_new_fish"].value == "present"
    assert found["hours_from_new_fish"].value == 48.0


def test_fish_that_are_gone_live_there_no_more(rulebook: Rulebook) -> None:
    found = values(rulebook, "stock: {others: [{kind: goldfish, gone: yes}]}")
    assert found["fish_kept"] == "absent"
    assert found["company_risk"] == "eats_grown"
