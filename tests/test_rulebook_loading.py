"""The rulebook: what is wrong with it is said, what is right survives being kept ready."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.rulebook import requirements
from diagnose.rulebook.compiled import pack, rulebook_of, unpack
from diagnose.rulebook.faults import RulebookError
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Curve, Leaf, Rulebook


def test_the_bundled_rulebook_is_as_large_as_promised(rulebook: Rulebook) -> None:
    assert len(rulebook.causes) >= 32
    assert len(rulebook.mechanisms) >= 12
    assert len(rulebook.species) >= 3
    evidence = rulebook.evidence()
    assert len(evidence) >= 250
    against = [e for e in evidence if e.weight < 0 or (e.curve and e.curve.points[0][1] < 0)]
    assert len(against) >= len(evidence) / 3


def test_every_cause_names_a_look_alike_and_a_way_to_confirm(rulebook: Rulebook) -> None:
    assert [c.id for c in rulebook.causes.values() if not c.looks_like or not c.confirm] == []


def test_a_kept_rulebook_is_the_same_rulebook(rulebook: Rulebook, tmp_path: Path) -> None:
    import json

    assert unpack(json.loads(json.dumps(pack(rulebook)))) == rulebook
    file = tmp_path / "kept.json"
    first = rulebook_of((bundled("knowledge"),), file)
    assert file.exists() and rulebook_of((bundled("knowledge"),), file) == first


@pytest.mark.parametrize("content", ["", "{", '{"mark": 1}', "[]", "\0"])
def test_a_spoilt_copy_is_read_anew(content: str, tmp_path: Path, rulebook: Rulebook) -> None:
    file = tmp_path / "kept.json"
    file.write_text(content, encoding="utf-8")
    assert rulebook_of((bundled("knowledge"),), file) == rulebook


def test_a_rule_of_ones_own_is_laid_over_the_bundled_ones(tmp_path: Path) -> None:
    (tmp_path / "steps").mkdir()
    (tmp_path / "steps" / "mine.yaml").write_text(
        "stop-feeding: {title: Wait, do: Wait., why: Because., minutes: 0, harms_nothing: true}\n",
        encoding="utf-8",
    )
    assert load_rulebook(bundled("knowledge"), tmp_path).steps["stop-feeding"].title == "Wait"


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("{white_rng: present}", "white_rng"),
        ("{white_ring: sometimes}", "present, absent"),
        ("{ph: {above: 7}}", "rising, falling, between"),
        ("{ph: {rising: [7, 7]}}", "cliff"),
        ("{not: {biofilter-settled: holds}}", "ignorance"),
        ("{ph: 7}", "rising"),
        ("[]", "mapping"),
    ],
)
def test_a_rule_that_cannot_be_read_is_named_with_what_would_be_right(
    when: str, said: str, tmp_path: Path
) -> None:
    (tmp_path / "conditions.yaml").write_text(
        f"mine: {{title: T, when: {when}, because: B., source: memory}}\n", encoding="utf-8"
    )
    with pytest.raises(RulebookError) as caught:
        load_rulebook(bundled("knowledge"), tmp_path)
    assert "conditions.yaml: mine.when" in str(caught.value) and said in str(caught.value)


def test_the_opposite_of_an_edge_is_the_opposite_edge() -> None:
    rising = Leaf("ph", "rising", edges=(7.0, 8.0))
    assert [requirements.degree(rising, x) for x in (6.5, 7.25, 9.0)] == [0.0, 0.25, 1.0]


def test_a_curve_is_linear_between_its_points_and_flat_outside() -> None:
    curve = Curve("ph", ((6.0, -2.0), (7.0, 0.0), (9.0, 8.0)))
    assert [requirements.decibans(curve, x) for x in (5, 6.5, 8, 11)] == [-2.0, -1.0, 4.0, 8.0]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (None, "hardy-dwarf"),
        ("red cherry", "hardy-dwarf"),
        ("Neocaridina davidi", "hardy-dwarf"),
        ("fire red cherry shrimp", "hardy-dwarf"),
        ("crystal red shrimp", "soft-water-dwarf"),
    ],
)
def test_a_shrimp_is_known_by_the_names_people_use(
    said: str | None, meant: str, rulebook: Rulebook
) -> None:
    assert species_of(rulebook, said).id == meant


def test_a_name_nobody_uses_is_an_unknown_kind_with_a_broad_profile(rulebook: Rulebook) -> None:
    found = species_of(rulebook, "lobster")
    assert found.id == "unknown-kind"
    for known in rulebook.species.values():
        low, high = known.comfortable["temperature_c"]
        assert found.comfortable["temperature_c"][0] <= low
        assert found.comfortable["temperature_c"][1] >= high


def test_two_kinds_in_one_container_get_what_suits_both(rulebook: Rulebook) -> None:
    both = species_of(rulebook, "crystal red", "red cherry")
    assert set(both.kinds) == {"soft-water-dwarf", "hardy-dwarf"}
    assert species_of(rulebook, "red cherry and amano").kinds == (
        "hardy-dwarf",
        "larger-algae-eater",
    )
    for name in ("temperature_c", "ph"):
        low, high = both.comfortable[name]
        for alone in (rulebook.species["soft-water-dwarf"], rulebook.species["hardy-dwarf"]):
            assert alone.comfortable[name][0] <= low < high <= alone.comfortable[name][1]
