"""Data flows downhill: no package imports one that imports it, directly or through others."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

PROGRAM = Path(__file__).parents[1] / "diagnose"
#: Heavy libraries, and the only rooms that may import them while they are themselves imported.
HEAVY = {
    "numpy": {"bowl", "findings"},
    "experta": {"inference"},
    "matplotlib": set(),
    "plotext": set(),
    "prompt_toolkit": set(),
    "jinja2": {"reasons"},
    "icalendar": {"care"},
    "pint": set(),
}


def imports() -> dict[str, set[str]]:
    """Room of the house (folder or module of the top level) -> rooms it imports, at any depth."""
    found: dict[str, set[str]] = defaultdict(set)
    for file in PROGRAM.rglob("*.py"):
        room = file.relative_to(PROGRAM).with_suffix("").parts[0]
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("diagnose."):
                other = str(node.module).split(".")[1]
                if other != room:
                    found[room].add(other)
    return found


def reached(room: str, graph: dict[str, set[str]]) -> set[str]:
    seen: set[str] = set()
    waiting = [room]
    while waiting:
        for other in graph.get(waiting.pop(), set()) - seen:
            seen.add(other)
            waiting.append(other)
    return seen


def test_no_room_imports_one_that_imports_it() -> None:
    graph = imports()
    assert [room for room in sorted(graph) if room in reached(room, graph)] == []


def test_heavy_libraries_are_imported_only_where_they_work() -> None:
    wrong = []
    for file in PROGRAM.rglob("*.py"):
        room = file.relative_to(PROGRAM).parts[0]
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module]
            wrong += [
                f"{file.name}: {name}"
                for name in names
                if room not in HEAVY.get(name.split(".")[0], {room})
            ]
    assert wrong == []
