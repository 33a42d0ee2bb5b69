"""The handbook in a real browser: it loads clean, its links lead somewhere, a phone can show it."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from diagnose.reasons.handbook import write_handbook
from diagnose.reasons.page import page_names
from diagnose.reasons.setting import demo
from diagnose.rulebook.terms import Rulebook
from tests.browser import browser

PHONE_PX = 360
#: WCAG 2.2, success criterion 1.4.3: contrast of ordinary text at least 4.5 to 1 (from memory).
LEAST_CONTRAST = 4.5

#: The contrast of every text against what lies behind it, by WCAG's relative luminance (WCAG 2.2,
#: definitions of contrast ratio and relative luminance; from memory): the worst, and whose it is.
WORST_CONTRAST = """
const channel = c => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
const numbers = text => text.match(/[\\d.]+/g).map(Number);
const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
const behind = el => {
  for (let at = el; at; at = at.parentElement) {
    const found = numbers(getComputedStyle(at).backgroundColor);
    if (found.length < 4 || found[3] > 0) return found;
  }
  return [255, 255, 255];
};
let worst = [21, ''];
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const el = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim()) continue;
  const style = getComputedStyle(el);
  const ink = el.namespaceURI.endsWith('svg') ? style.fill : style.color;
  const pair = [light(numbers(ink)), light(behind(el))].sort((a, b) => b - a);
  const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
  if (ratio < worst[0]) worst = [ratio, walker.currentNode.data.trim().slice(0, 60)];
}
return worst;
"""


@pytest.fixture(scope="module")
def handbook(rulebook: Rulebook, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_handbook(rulebook, demo(rulebook), tmp_path_factory.mktemp("handbook"))


@pytest.fixture(scope="module")
def opened(handbook: Path) -> Iterator[Any]:
    with browser() as running:
        running.set_window_size(1000, 800)
        running.get(handbook.as_uri())
        yield running


def test_the_browser_finds_nothing_to_complain_of(opened: Any) -> None:
    assert opened.get_log("browser") == []
    assert opened.title.startswith("Why dwarf shrimp die")


def test_every_cause_and_mechanism_has_its_page(opened: Any, rulebook: Rulebook) -> None:
    ids = set(opened.execute_script("return [...document.querySelectorAll('h3')].map(h => h.id)"))
    assert ids == set(page_names(rulebook))


def test_every_link_leads_to_something_in_the_page(opened: Any) -> None:
    lost = opened.execute_script(
        "return [...document.querySelectorAll('a')].map(a => a.getAttribute('href'))"
        ".filter(href => !href.startsWith('#') || !document.getElementById(href.slice(1)))"
    )
    assert lost == []
    assert len(opened.execute_script("return [...document.querySelectorAll('a')]")) > 500


def test_no_name_is_given_twice(opened: Any) -> None:
    ids = opened.execute_script("return [...document.querySelectorAll('[id]')].map(e => e.id)")
    assert len(ids) == len(set(ids))


def test_a_phone_shows_it_without_scrolling_sideways(opened: Any) -> None:
    opened.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": PHONE_PX, "height": 740, "deviceScaleFactor": 2, "mobile": True},
    )
    width, shown, text_px, drawn, label_px = opened.execute_script(
        "return [document.documentElement.scrollWidth, window.innerWidth,"
        " parseFloat(getComputedStyle(document.querySelector('main p')).fontSize),"
        " Math.max(...[...document.querySelectorAll('svg text, svg rect')]"
        ".map(e => e.getBoundingClientRect().right)),"
        " (svg => 12.5 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)"
        "(document.querySelector('svg'))]"
    )
    opened.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert shown == PHONE_PX
    assert width <= PHONE_PX
    assert drawn <= PHONE_PX
    assert text_px >= 16 and label_px >= 11.5


def test_every_text_stands_out_from_what_lies_behind_it(opened: Any) -> None:
    ratio, text = opened.execute_script(WORST_CONTRAST)
    assert ratio >= LEAST_CONTRAST, text


def test_labels_of_a_drawing_do_not_run_into_its_bars(opened: Any) -> None:
    cut = opened.execute_script(
        "return [...document.querySelectorAll('svg text')].filter(t => {"
        " const box = t.getBBox(); const view = t.ownerSVGElement.viewBox.baseVal;"
        " return box.x < 0 || box.x + box.width > view.width; }).map(t => t.textContent)"
    )
    assert cut == []


def test_every_drawing_is_told_in_words_too(opened: Any) -> None:
    untold = opened.execute_script(
        "return [...document.querySelectorAll('svg')]"
        ".filter(s => s.getAttribute('role') !== 'img' || !(s.getAttribute('aria-label')"
        " || s.querySelector('title') && s.querySelector('desc'))).length"
    )
    assert untold == 0


def test_it_prints(opened: Any) -> None:
    printed = opened.execute_cdp_cmd("Page.printToPDF", {"printBackground": False})
    assert base64.b64decode(printed["data"]).startswith(b"%PDF")


def test_nothing_comes_from_elsewhere_and_nothing_runs(handbook: Path) -> None:
    text = handbook.read_text(encoding="utf-8")
    for foreign in ("<script", "http://", "@import", "url("):
        assert foreign not in text.replace("http://www.w3.org", "")


def test_another_file_is_never_written_over(rulebook: Rulebook, tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("<p>mine</p>", encoding="utf-8")
    with pytest.raises(ValueError, match="choose another folder"):
        write_handbook(rulebook, demo(rulebook), tmp_path)
    assert (tmp_path / "index.html").read_text(encoding="utf-8") == "<p>mine</p>"


def test_an_older_handbook_is_renewed(rulebook: Rulebook, tmp_path: Path) -> None:
    first = write_handbook(rulebook, demo(rulebook), tmp_path)
    before = first.read_bytes()
    assert write_handbook(rulebook, demo(rulebook), tmp_path).read_bytes() == before
