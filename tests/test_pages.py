"""Answers as pages: safe to open, the same each time, and to be asked again."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from diagnose.cli import main
from diagnose.intake.carried import ELEMENT
from diagnose.report.figures.way import way
from diagnose.report.pages import Figure, Page, PageLine, Section
from diagnose.report.web_page import page_html

CASES = Path(__file__).parents[1] / "cases"
JAR = CASES / "glaze-room-jar-after-new-moss.yaml"
#: Markup, the end of a script and a handler; a case file with hidden codes is refused before.
HOSTILE = '</script><script>alert(1)</script><img src=x onerror="alert(2)">'
#: Elements that run, load or send something (HTML living standard; from memory).
ACTIVE = {"iframe", "object", "embed", "form", "base", "img", "audio", "video", "source"}


class Elements(HTMLParser):
    """What a reader of HTML finds in a page: its elements with their attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def page_of(capsys: pytest.CaptureFixture[str], *command: str) -> str:
    assert main([*command, "--format", "html"]) == 0
    return capsys.readouterr().out


def data_in(page: str) -> Any:
    found = re.search(rf'<script type="application/json" id="{ELEMENT}">([^<]*)</script>', page)
    assert found is not None
    return json.loads(found[1])


@pytest.fixture
def hostile_case(tmp_path: Path) -> Path:
    file = tmp_path / "hostile.yaml"
    text, titles = re.subn(
        r"^title:.*$",
        lambda _: f"title: {json.dumps(HOSTILE)}",
        JAR.read_text(encoding="utf-8"),
        flags=re.MULTILINE,
    )
    assert titles == 1
    file.write_text(text, encoding="utf-8")
    return file


def harmless(page: str) -> None:
    """Nothing in the page runs, loads or sends; its own policy forbids it besides."""
    found = Elements(page).found
    scripts = [attributes for tag, attributes in found if tag == "script"]
    assert scripts == [{"type": "application/json", "id": ELEMENT}]
    assert not ACTIVE & {tag for tag, _ in found}
    for tag, attributes in found:
        assert not any(name.startswith("on") for name in attributes), tag
        assert "style" not in attributes and "src" not in attributes
        if "href" in attributes:
            assert (attributes["href"] or "").startswith(("#", "data:,", "./")), attributes
    policies = [a["content"] for _, a in found if a.get("http-equiv") == "Content-Security-Policy"]
    assert len(policies) == 1 and policies[0] is not None
    rules = dict(part.strip().split(" ", 1) for part in policies[0].split(";"))
    # CSP level 3 (W3C): with `default-src 'none'` what is not named is forbidden, scripts and
    # connections too; a style in the page needs its digest.
    assert rules["default-src"] == "'none'"
    assert not {"script-src", "connect-src"} & set(rules)
    style = page.split("<style>")[1].split("</style>")[0]
    digest = b64encode(sha256(style.encode("utf-8")).digest()).decode("ascii")
    assert rules["style-src"] == f"'sha256-{digest}'"


def test_a_page_runs_nothing_and_loads_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    harmless(page_of(capsys, "triage", str(JAR)))


def test_hostile_text_of_a_case_shows_as_text(
    hostile_case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = page_of(capsys, "triage", str(hostile_case))
    harmless(page)
    assert "&lt;/script&gt;&lt;script&gt;alert(1)" in page


def test_control_codes_and_markup_of_any_answer_show_as_text() -> None:
    odd = f"{HOSTILE}\x1b[31m\x00\u202etxt.exe"
    page = page_html(
        Page(odd, (odd, odd), (Section(odd, (PageLine(odd, odd, (odd,)),), odd),), odd),
        {"case": odd},
        told=((odd, odd),),
        figures=(Figure(odd, way(((odd, odd), (odd, odd)))),),
    )
    harmless(page)
    assert "&lt;img src=x onerror=" in page
    assert not set("\x1b\x00\u202e") & set(page) and "&#8238;" not in page


def test_the_same_answer_has_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    first = page_of(capsys, "triage", str(JAR))
    assert page_of(capsys, "triage", str(JAR)) == first
    assert first.isascii()


def test_a_page_can_be_asked_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = page_of(capsys, "triage", str(JAR))
    file = tmp_path / "sent-by-a-friend.html"
    file.write_text(page, encoding="utf-8")
    assert main(["triage", str(JAR), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert main(["triage", str(file), "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out) == told
    assert data_in(page)["answer"] == told
    assert data_in(page)["told"] == [{"name": JAR.name, "text": JAR.read_text(encoding="utf-8")}]
    assert page_of(capsys, "triage", str(file)) == page


def test_a_page_takes_the_log_beside_the_case_along(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = "at,what,value,unit\n2026-04-15 08:00,nitrite,0.5,mg/L\n"
    case = "case: kiln-jar\nasked_at: 2026-04-16 08:00\nlog: readings.csv\ncontainer: {volume: 5 L}"
    (tmp_path / "readings.csv").write_text(log, encoding="utf-8")
    (tmp_path / "kiln.yaml").write_text(f"{case}\n", encoding="utf-8")
    page = page_of(capsys, "triage", str(tmp_path / "kiln.yaml"))
    assert [one["text"] for one in data_in(page)["told"]] == [f"{case}\n", log]
    away = tmp_path / "elsewhere"
    away.mkdir()
    (away / "kiln.html").write_text(page, encoding="utf-8")
    assert page_of(capsys, "triage", str(away / "kiln.html")) == page


@pytest.mark.parametrize(
    "content",
    [
        "",
        "<p>a page of somebody else</p>",
        f'<script type="application/json" id="{ELEMENT}">{{"format": 3}}</script>',
        f'<script type="application/json" id="{ELEMENT}">{"[" * 9999}</script>',
        f'<script id="{ELEMENT}">{{"format": "bowlside-page/1", "told": [{{"name": 1}}]}}</script>',
        f'<script id="{ELEMENT}">{{"format": "bowlside-page/1", "told": []}}</script>',
    ],
)
def test_another_page_is_refused_with_a_sentence(
    content: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "other.html"
    file.write_text(content, encoding="utf-8")
    assert main(["triage", str(file)]) == 3
    said = " ".join(capsys.readouterr().err.split())
    assert "other.html" in said and "the page carries no case" in said
