"""Search finds the page by what keepers type (common practice, no source)."""

from __future__ import annotations

from pathlib import Path

import yaml

from diagnose.reasons.search import search
from diagnose.rulebook.terms import Rulebook

QUERIES = yaml.safe_load((Path(__file__).parent / "keepers_queries.yaml").read_text("utf-8"))
#: Queries whose page must be among the first three.
WANTED = 38


def test_what_forty_keepers_type_finds_the_right_page(rulebook: Rulebook) -> None:
    missed = {}
    for row in QUERIES["queries"]:
        first = [hit.id for hit in search(rulebook, row["words"])[:3]]
        if not set(first) & set(row["pages"]):
            missed[row["words"]] = first
    assert len(QUERIES["queries"]) == 40
    assert len(QUERIES["queries"]) - len(missed) >= WANTED, missed


def test_every_page_asked_for_is_a_page(rulebook: Rulebook) -> None:
    pages = {page for row in QUERIES["queries"] for page in row["pages"]}
    assert pages <= rulebook.causes.keys() | rulebook.mechanisms.keys()
