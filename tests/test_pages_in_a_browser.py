"""Pages in a real browser: clean, no wider than any screen, legible, and short on paper."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from contextlib import redirect_stdout
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from diagnose.cli import main
from tests.browser import browser
from tests.test_pages import CASES, JAR
from tests.test_reasons_handbook import LEAST_CONTRAST, WORST_CONTRAST

#: A case of many causes, readings and steps.
LONG = CASES / "ammonia-a-little-but-acid.yaml"
#: A container of which enough is told for the model.
MODELLED = CASES / "binders-jar-in-its-fifth-week.yaml"
PAGES = {
    "triage": ["triage", str(JAR)],
    "long triage": ["triage", str(LONG)],
    "outlook": ["outlook", str(MODELLED), "--what-if", "feed half", "--units", "us"],
}
WIDTHS_PX = (360, 768, 1280)
LEAST_TEXT_PX = 16
#: ISO 216: A4 is 210 mm by 297 mm.
A4_INCHES = (210 / 25.4, 297 / 25.4)


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    found = {}
    for place, (name, command) in enumerate(PAGES.items()):
        written = io.StringIO()
        with redirect_stdout(written):
            assert main([*command, "--format", "html"]) == 0
        found[name] = folder / f"{place}.html"
        found[name].write_text(written.getvalue(), encoding="utf-8")
    return found


@pytest.fixture(scope="module")
def running() -> Iterator[Any]:
    with browser() as found:
        yield found


def show(running: Any, file: Path, width: int, scheme: str) -> None:
    running.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 700},
    )
    running.execute_cdp_cmd(
        "Emulation.setEmulatedMedia",
        {"features": [{"name": "prefers-color-scheme", "value": scheme}]},
    )
    running.get(file.as_uri())
    running.execute_script(
        "for (const more of document.querySelectorAll('details')) more.open = true"
    )


@pytest.mark.parametrize("name", PAGES)
def test_it_fits_every_screen_in_light_and_dark_and_the_browser_says_nothing(
    name: str, files: dict[str, Path], running: Any
) -> None:
    for width in WIDTHS_PX:
        for scheme in ("light", "dark"):
            show(running, files[name], width, scheme)
            wide, smallest = running.execute_script(
                "const texts = [...document.querySelectorAll('p, li, summary, pre, figcaption')];"
                "const drawn = [...document.querySelectorAll('svg')]"
                ".filter(svg => svg.querySelector('text')).map(svg =>"
                " 16 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width);"
                "return [document.documentElement.scrollWidth, Math.min(...drawn,"
                " ...texts.map(text => parseFloat(getComputedStyle(text).fontSize)))]"
            )
            assert wide <= width, (width, scheme)
            assert smallest >= LEAST_TEXT_PX - 0.1, (width, scheme)
            contrast, text = running.execute_script(WORST_CONTRAST)
            assert contrast >= LEAST_CONTRAST, (scheme, text)
    assert running.get_log("browser") == []


@pytest.mark.parametrize("name", PAGES)
def test_a_reader_of_screens_finds_its_way(name: str, files: dict[str, Path], running: Any) -> None:
    show(running, files[name], WIDTHS_PX[0], "light")
    found = running.execute_script(
        "const all = wanted => [...document.querySelectorAll(wanted)];"
        "return {h1: all('h1').length, main: all('main').length, lang: document.documentElement"
        ".lang, ids: all('[id]').map(e => e.id), levels: all('h1, h2, h3').map(h => +h.tagName[1]),"
        " untold: all('svg').filter(svg => svg.getAttribute('role') !== 'img' ||"
        " svg.getAttribute('aria-labelledby').split(' ').some(id =>"
        " !document.getElementById(id).textContent)).length,"
        " cut: all('svg text').filter(text => { const box = text.getBBox();"
        " return box.x < -1 || box.x + box.width > text.ownerSVGElement.viewBox.baseVal.width + 1;"
        " }).map(text => text.textContent)}"
    )
    assert (found["h1"], found["main"], found["lang"]) == (1, 1, "en")
    assert len(found["ids"]) == len(set(found["ids"]))
    levels = found["levels"]
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert found["untold"] == 0 and found["cut"] == []


@pytest.mark.parametrize("name", PAGES)
def test_the_accessibility_engine_finds_no_serious_fault(
    name: str, files: dict[str, Path], running: Any
) -> None:
    engine = pytest.importorskip("axe_selenium_python")
    script = next(Path(engine.__file__).parent.rglob("axe.min.js")).read_text(encoding="utf-8")
    show(running, files[name], WIDTHS_PX[0], "light")
    running.execute_script(script)
    faults = running.execute_async_script(
        "const done = arguments[0]; axe.run().then(found => done(found.violations"
        ".filter(one => ['serious', 'critical'].includes(one.impact)).map(one => one.id)))"
    )
    assert faults == []


@pytest.mark.parametrize("name", ["triage", "long triage"])
def test_a_triage_prints_on_two_sheets(name: str, files: dict[str, Path], running: Any) -> None:
    running.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    running.get(files[name].as_uri())
    width, height = A4_INCHES
    printed = running.execute_cdp_cmd(
        "Page.printToPDF",
        {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": True},
    )
    pages = base64.b64decode(printed["data"]).count(b"/Type /Page\n")
    assert 1 <= pages <= 2
