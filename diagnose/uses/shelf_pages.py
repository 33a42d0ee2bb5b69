"""The pages of a shelf in a folder: one for all, and one for each container."""

from __future__ import annotations

from pathlib import Path

from diagnose.intake.carried import ELEMENT
from diagnose.report.shelf import Jar
from diagnose.report.web_page import shelf_html

SHELF_FILE = "shelf.html"


def write_pages(jars: list[Jar], folder: Path) -> Path:
    """Writes them and gives the shelf's own page back; pages that this program wrote are renewed.

    Raises ValueError where that would write over anything else, or over one another.
    """
    pages = {jar.link: jar.page for jar in jars if jar.page}
    if SHELF_FILE in pages:
        raise ValueError(f"{folder}: a case named shelf.yaml would write over the shelf's page.")
    pages[SHELF_FILE] = shelf_html(jars)
    folder.mkdir(parents=True, exist_ok=True)
    for name in pages:
        file = folder / name
        if file.exists() and f'id="{ELEMENT}"' not in file.read_text("utf-8", "replace"):
            raise ValueError(f"{file}: this is no page of ours; choose another folder.")
    for name, text in pages.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / SHELF_FILE
