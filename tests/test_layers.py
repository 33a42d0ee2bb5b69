"""Data flows downhill: no package imports one that imports it, directly or through others."""

from __future__ import annotations

import ast
import re
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


def table_of_rooms() -> list[set[str]]:
    """The rooms of each line of the table in DEVELOPERS.md, from above."""
    written = (PROGRAM.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    firsts = re.findall(r"^\| (`[a-z.]+/?`(?:, `[a-z]+/`)*) \|", written, re.MULTILINE)
    return [set(re.findall(r"[a-z]+(?=/|\.py)", line)) for line in firsts]


def test_a_room_imports_only_what_stands_below_it_in_the_table() -> None:
    table = table_of_rooms()
    place = {room: line for line, rooms in enumerate(table) for room in rooms}
    graph = imports()
    assert set(graph) - {"__main__"} <= set(place)
    upward = [
        (room, other)
        for room, others in sorted(graph.items())
        for other in sorted(others)
        if room != "__main__" and place[other] <= place[room] and {room, other} not in table
    ]
    assert upward == []


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
