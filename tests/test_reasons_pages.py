"""The pages of reasons: every cause and mechanism is complete, every number is worked out."""

from __future__ import annotations

import ast
import inspect
import statistics
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import ModuleType

import pytest
import textstat

from diagnose.findings.observed_case import observed_case
from diagnose.reasons import (
    sums_of_air_and_warmth,
    sums_of_animals,
    sums_of_minerals,
    sums_of_poisons,
    sums_of_waste,
)
from diagnose.reasons.overview import overview
from diagnose.reasons.page import NOTHING_TO_DO, Page, page_names, page_of
from diagnose.reasons.setting import HOLDS_WITHIN, Setting, demo, of_case
from diagnose.reasons.sums import SUMS
from diagnose.reasons.text import MOST_LINES, overview_lines, page_lines
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook

MODULES = (
    sums_of_air_and_warmth,
    sums_of_animals,
    sums_of_minerals,
    sums_of_poisons,
    sums_of_waste,
)
NAMES = page_names(load_rulebook(bundled("knowledge")))
ASKED = datetime(2026, 3, 14, 22, 30)
#: Rudolf Flesch, 1948, A new readability yardstick, J. Appl. Psychol. 32:221-233: 60 to 70 is plain
#: English (as commonly quoted, from memory).
LEAST_READING_EASE = 55


@pytest.fixture(scope="module")
def pages(rulebook: Rulebook) -> dict[str, Page]:
    return {name: page_of(rulebook, name, demo(rulebook)) for name in page_names(rulebook)}


def other_jar(rulebook: Rulebook) -> Setting:
    """A jar that differs from the demo's in everything."""
    return Setting(
        name="another jar",
        species=rulebook.species["soft-water-dwarf"],
        volume_l=3.0,
        depth_cm=11.0,
        adults=7.0,
        temperature_c=26.0,
        ph=6.9,
        tan_mg_l=1.3,
        nitrate_mg_l=90.0,
        gh_dgh=5.0,
        kh_dkh=2.5,
        change_share=0.3,
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_page_has_every_part(pages: dict[str, Page], name: str) -> None:
    page = pages[name]
    for part in ("title", "summary", "in_the_water", "in_the_animal"):
        assert len(getattr(page, part)) >= 8, part
    for part in ("linked", "worked", "early", "confirm", "look_alikes", "sources"):
        assert getattr(page, part), part
    assert page.prevent or page.linked
    if page.kind == "cause":
        assert page.often and page.warning not in ("", "not known")


@pytest.mark.parametrize("name", NAMES)
def test_a_page_fits_on_two_screens_of_80_columns(pages: dict[str, Page], name: str) -> None:
    lines = page_lines(pages[name])
    assert len(lines) <= MOST_LINES
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("name", NAMES)
def test_a_page_shows_all_its_parts(pages: dict[str, Page], name: str) -> None:
    page = pages[name]
    shown = " ".join(" ".join(page_lines(page)).split())
    for heading in ("In numbers", "Early signs", "What confirms it", "What to do", "Sources."):
        assert heading in shown
    for text in (page.summary, page.in_the_animal, *page.confirm, *page.cautions):
        assert text in shown
    assert all(item.title in shown for item in page.worked)
    assert all(pair.id in shown for pair in page.look_alikes)
    steps = [step for _, found in page.steps for step in found]
    assert all(step.title in shown for step in steps) or NOTHING_TO_DO in shown
    assert "#" in shown


def test_what_looks_like_something_is_looked_like_by_it(pages: dict[str, Page]) -> None:
    for page in pages.values():
        for pair in page.look_alikes:
            back = {other.id for other in pages[pair.id].look_alikes}
            assert page.id in back, (page.id, pair.id)
            assert pair.theirs or pair.ours


def test_pages_are_written_plainly(pages: dict[str, Page]) -> None:
    ease = {name: textstat.flesch_reading_ease(_prose(page)) for name, page in pages.items()}
    assert statistics.mean(ease.values()) >= LEAST_READING_EASE
    assert min(ease.values()) >= 40, min(ease, key=lambda name: ease[name])


def _prose(page: Page) -> str:
    """The sentences of a page as printed, without drawings, headings and names of sources."""
    lines = [line.strip("-! ") for line in page_lines(page) if "##" not in line]
    text = "\n".join(lines)
    return text[: text.index("Sources.")]


def test_every_sum_is_used_and_every_page_uses_one_that_exists(rulebook: Rulebook) -> None:
    owners = (*rulebook.causes.values(), *rulebook.mechanisms.values())
    used = {name for owner in owners for name in owner.worked_numbers}
    assert used == set(SUMS)


@pytest.mark.parametrize("name", sorted(SUMS))
def test_a_sum_is_worked_out_for_the_container_at_hand(rulebook: Rulebook, name: str) -> None:
    here, there = SUMS[name](demo(rulebook)), SUMS[name](other_jar(rulebook))
    assert here.id == name
    assert here.says != there.says
    assert len(here.bars) >= 3


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_no_number_in_a_sum_is_typed(module: ModuleType) -> None:
    calls = [
        node
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Worked"
    ]
    assert calls
    for call in calls:
        for said in (*call.args[1:4],):
            for part in ast.walk(said):
                if isinstance(part, ast.Constant) and isinstance(part.value, str):
                    text = part.value.removeprefix(".")
                    typed = any(c.isdigit() for c in text) and text not in ALLOWED
                    assert not typed, text


#: Names, not numbers of a sum.
ALLOWED = frozenset({"mg/L CaCO3"})


@pytest.mark.parametrize("end", [0, 1])
@pytest.mark.parametrize("name", sorted(SUMS))
def test_a_sum_holds_at_the_ends_of_what_a_container_can_be(
    rulebook: Rulebook, name: str, end: int
) -> None:
    for field, ends in HOLDS_WITHIN.items():
        found = SUMS[name](replace(demo(rulebook), **{field: ends[end]}))  # type: ignore[arg-type]
        assert all(bar.value >= 0 for bar in found.bars)
    everything = {field: ends[end] for field, ends in HOLDS_WITHIN.items()}
    SUMS[name](replace(demo(rulebook), **everything))  # type: ignore[arg-type]


def test_two_litres_swing_four_times_as_fast_as_eight(rulebook: Rulebook) -> None:
    found = SUMS["warm-and-cool"](demo(rulebook))
    rate = {bar.label: bar.value for bar in found.bars}
    assert rate["2 L"] == pytest.approx(4 * rate["8 L"])
    assert "4 times as fast" in " ".join(found.says)


def test_a_step_of_ph_makes_almost_ten_times_as_much_harmful_ammonia(rulebook: Rulebook) -> None:
    found = SUMS["ammonia-and-ph"](replace(demo(rulebook), ph=7.0))
    at = {bar.label: bar.value for bar in found.bars}
    assert 9.5 < at["pH 8"] / at["pH 7"] < 10.0


def test_half_a_change_a_week_holds_nitrate_where_none_lets_it_climb(rulebook: Rulebook) -> None:
    found = SUMS["half-changes"](demo(rulebook))
    levels = [bar.value for bar in found.bars]
    assert levels == sorted(levels, reverse=True)
    weekly = (levels[0] - demo(rulebook).nitrate_mg_l) / 8
    assert levels[-1] == pytest.approx(weekly, rel=0.05)  # settles at w s / (1 - s) with s = 1/2


def test_a_case_brings_its_own_numbers(rulebook: Rulebook) -> None:
    file = bundled("cases") / "front-window-bowl-in-the-july-heat.yaml"
    found = of_case(rulebook, observed_case(file, rulebook, now=ASKED), None)
    assert (found.volume_l, found.adults) == (6.0, 13.0)
    page = page_of(rulebook, "ammonia-poisoning", found)
    assert "the pH" in page.taken and "its litres" not in page.taken
    assert any(f"{found.temperature_c:.0f} C" in text for text in page.worked[0].says)


def test_pages_of_a_thin_case_still_fit(rulebook: Rulebook) -> None:
    file = bundled("cases") / "milky-tails-one-after-another.yaml"
    found = of_case(rulebook, observed_case(file, rulebook, now=ASKED), "us")
    for name in page_names(rulebook):
        lines = page_lines(page_of(rulebook, name, found))
        assert len(lines) <= MOST_LINES, name
        assert max(map(len, lines)) <= 80


def test_the_map_holds_every_cause_once_commonest_first(rulebook: Rulebook) -> None:
    rows = [row for group in overview(rulebook) for row in group.rows]
    assert sorted(row.cause for row in rows) == sorted(rulebook.causes)
    rates = [rulebook.causes[row.cause].base_rate for row in rows]
    assert rates == sorted(rates, reverse=True)
    lines = overview_lines(overview(rulebook))
    assert max(map(len, lines)) <= 80


def test_a_sum_that_is_not_there_is_named_with_the_file(tmp_path: Path) -> None:
    source = (bundled("knowledge") / "causes" / "old-age.yaml").read_text(encoding="utf-8")
    (tmp_path / "causes").mkdir()
    (tmp_path / "causes" / "old-age.yaml").write_text(
        source.replace("[months-and-chance]", "[months-and-chances]"), encoding="utf-8"
    )
    mine = load_rulebook(bundled("knowledge"), tmp_path)
    with pytest.raises(ValueError, match=r"old-age\.yaml.*months-and-chance"):
        page_of(mine, "old-age", demo(mine))


def test_a_cause_of_ones_own_without_sums_has_a_page_all_the_same(tmp_path: Path) -> None:
    source = (bundled("knowledge") / "causes" / "old-age.yaml").read_text(encoding="utf-8")
    kept = [x for x in source.splitlines() if not x.startswith(("worked_numbers", "warning"))]
    (tmp_path / "causes").mkdir()
    (tmp_path / "causes" / "old-age.yaml").write_text("\n".join(kept), encoding="utf-8")
    mine = load_rulebook(bundled("knowledge"), tmp_path)
    lines = page_lines(page_of(mine, "old-age", demo(mine)))
    assert "not known" in lines[1] and not any("In numbers" in line for line in lines)
