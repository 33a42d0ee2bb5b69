"""What a keeper told is heard or said to be set aside, and is held no closer than it was told."""

from __future__ import annotations

from pathlib import Path

from diagnose.rulebook.terms import Rulebook
from diagnose.uses.case_check import CheckedCase, checked_file
from tests.observed import ASKED_AT, observed

HEAD = "case: jar\nasked_at: 2026-03-14 18:00\n"


def checked(tmp_path: Path, rulebook: Rulebook, text: str) -> CheckedCase:
    file = tmp_path / "jar.yaml"
    file.write_text(HEAD + text, "utf-8")
    return checked_file(file, rulebook, now=ASKED_AT)


def test_what_nothing_follows_from_is_listed_with_its_line(
    tmp_path: Path, rulebook: Rulebook
) -> None:
    found = checked(
        tmp_path,
        rulebook,
        "stock: {species: cherry shrimp, others: [{kind: fish, put_in: later}]}\n"
        "deaths: {first: today, dead: 2}\n"
        "events: [{what: cooled}]\n"
        "readings: [{what: ph, value: 7.1, where: new_water, at: 1 h ago}]\n",
    )
    said = [f"{item.place}: {item.says}" for item in found.set_aside]
    assert [line.rsplit(":", 1)[0] for line in said] == [
        "line 5: cooled",
        "line 6: ph",
        "line 3: fish",
    ]


def test_a_statement_that_is_used_is_not_listed(tmp_path: Path, rulebook: Rulebook) -> None:
    found = checked(
        tmp_path,
        rulebook,
        "stock: {others: [{kind: guppy, state: fine}]}\n"
        "events: [{what: spray, at: 5 h ago}, {what: feed, at: 1 day ago}]\n"
        "readings:\n- {what: ph, value: 6.1, at: 1 h ago}\n"
        "- {what: ph, value: 7.2, at: 20 days ago}\n",
    )
    assert found.set_aside == ()


def test_more_than_two_of_eight_is_any_share_up_to_all(rulebook: Rulebook) -> None:
    found = observed(rulebook, "deaths: {first: today, dead: more than 2, of: 8}")
    assert found["deaths_share"].span == (25.0, 100.0)


def test_ill_soon_after_is_a_span_of_hours(rulebook: Rulebook) -> None:
    found = observed(
        rulebook, "events: [{what: water-change, at: yesterday, ill_within: soon}]\nseen: [racing]"
    )
    for name in ("hours_to_illness", "hours_from_water_change"):
        low, high = found[name].span or (0.0, 0.0)
        assert low < 1.0
        assert high == 24.0


def test_kept_for_over_five_years_is_not_five_years(rulebook: Rulebook) -> None:
    found = observed(rulebook, "stock: {species: amano shrimp, kept: over 5 years}")
    low, high = found["months_kept"].span or (0.0, 0.0)
    assert round(low) == 60
    assert high > 100.0


def test_half_grown_ones_alone_are_a_stock_and_babies_alone_are_not(rulebook: Rulebook) -> None:
    box = "container: {volume: 5 L}\nstock: {species: cherry shrimp, "
    assert observed(rulebook, box + "juveniles: 45}")["shrimp_per_l"].value > 0.0
    assert "shrimp_per_l" not in observed(rulebook, box + "hatchlings: 45}")
    assert "shrimp_per_l" not in observed(rulebook, box + "juveniles: 9, berried: 2}")


def test_one_dead_fish_beside_a_kind_that_is_well_tells_nothing_of_the_water(
    rulebook: Rulebook,
) -> None:
    """Common practice, no source."""
    others = "stock: {others: [{kind: guppy, count: %d, state: dead}, {kind: danio, state: fine}]}"
    assert observed(rulebook, others % 1)["fish_state"].value == "fine"
    assert observed(rulebook, others % 4)["fish_state"].value == "dead"
