"""The YAML of a rulebook as it was written: where each entry stands, and every name it mentions.

The loader keeps no line numbers; they are needed only when something is wrong, so the files are
composed a second time here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diagnose.rulebook.checks.check import At
from diagnose.rulebook.loading import (
    MAX_FILE_BYTES,
    ONE_A_FILE,
    READ_ELSEWHERE,
    knowledge_files,
)

#: The C reader where the machine has it; both compose plain nodes and build no objects.
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
#: Keys by which an entry of a list is told from its neighbours.
NAMING_KEYS = ("id", "cause", "check", "level")


@dataclass(frozen=True, slots=True)
class Place:
    """A line of a file of one of the folders."""

    folder: Path
    file: str
    line: int | None


@dataclass(frozen=True, slots=True)
class KeyTwice:
    """A key that stands twice in one mapping; YAML keeps the last and drops the first in
    silence.
    """

    place: Place
    entry: str
    key: str


class Written:
    """All files of the folders; entries of later folders replace those of earlier ones."""

    def __init__(self, folders: tuple[Path, ...]) -> None:
        self.nodes: dict[tuple[str, str], tuple[Path, str, yaml.Node]] = {}
        self.texts: dict[tuple[Path, str], str] = {}
        self.roots: list[tuple[Path, str, yaml.Node]] = []
        #: The name of an entry stands above its first key; its line is that of the name.
        self._names: dict[int, yaml.Node] = {}
        for folder in folders:
            for path in knowledge_files(folder):
                self._read(folder, path)

    def _read(self, folder: Path, path: Path) -> None:
        relative = path.relative_to(folder)
        file = relative.as_posix()
        if path.stat().st_size > MAX_FILE_BYTES:
            return
        try:
            text = path.read_text(encoding="utf-8")
            root = yaml.compose(text, Loader=_Loader)
        except (UnicodeDecodeError, yaml.YAMLError):
            return
        self.texts[folder, file] = text
        if not isinstance(root, yaml.MappingNode):
            return
        self.roots.append((folder, file, root))
        kind = relative.parts[0] if len(relative.parts) > 1 else relative.stem
        if kind in ONE_A_FILE:
            self.nodes[kind, relative.stem] = (folder, file, root)
            return
        self.nodes[kind, kind] = (folder, file, root)
        for key, value in root.value:
            self.nodes[kind, str(key.value)] = (folder, file, value)
            self._names[id(value)] = key

    def place(self, at: At) -> Place:
        """The line where `at` is written, or the nearest thing around it that is."""
        known = self.nodes.get((at.kind, at.entry))
        if known is None:
            return Place(Path(), f"{at.kind}", None)
        folder, file, node = known
        mark = self._names.get(id(node), node).start_mark
        for part in at.path:
            found = _step(node, part)
            if found is None:
                break
            named, node = found
            mark = named.start_mark
        return Place(folder, file, mark.line + 1)

    def at_of_file(self, file: str, path: tuple[str | int, ...]) -> Place:
        """The line of a path of keys in a file, counted from the top of the file."""
        for folder, name, root in reversed(self.roots):
            if name == file:
                line, node = None, root
                for part in path:
                    found = _step(node, part)
                    if found is None:
                        break
                    named, node = found
                    line = named.start_mark.line + 1
                return Place(folder, file, line)
        return Place(Path(), file, None)

    def mentions(self) -> Counter[str]:
        """How often each scalar is written anywhere except as the name of an entry.

        A name that only its own definition holds has no mention, so nothing uses it.
        """
        counts: Counter[str] = Counter()
        for _folder, file, root in self.roots:
            if Path(file).stem in READ_ELSEWHERE:
                continue
            one_a_file = file.split("/")[0] in ONE_A_FILE
            for key, value in root.value:
                if one_a_file and key.value == "id":
                    continue
                if one_a_file or not isinstance(value, yaml.MappingNode):
                    counts[str(key.value)] += 1
                counts.update(_scalars(value))
        return counts

    def keys_twice(self) -> Iterator[KeyTwice]:
        """Every key written twice in one mapping, with the line of the second."""
        for folder, file, root in self.roots:
            for mapping in _mappings(root):
                seen: set[str] = set()
                for key, _ in mapping.value:
                    name = str(key.value)
                    if name in seen:
                        place = Place(folder, file, key.start_mark.line + 1)
                        yield KeyTwice(place, Path(file).stem, name)
                    seen.add(name)


def _step(node: yaml.Node, part: str | int) -> tuple[yaml.Node, yaml.Node] | None:
    """From a node one key, number or inner name down: the node to point at, and the one to go on
    from.
    """
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == str(part):
                return key, value
    elif isinstance(node, yaml.SequenceNode):
        if isinstance(part, int):
            items = node.value[part : part + 1]
        else:
            items = [item for item in node.value if _named(item) == part]
        for item in items:
            return item, item
    return None


def _named(node: yaml.Node) -> str | None:
    if isinstance(node, yaml.ScalarNode):
        return str(node.value)
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value in NAMING_KEYS:
                return str(value.value)
    return None


def _scalars(node: yaml.Node) -> Iterator[str]:
    if isinstance(node, yaml.ScalarNode):
        yield str(node.value)
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _scalars(item)
    else:
        for key, value in node.value:
            yield str(key.value)
            yield from _scalars(value)


def _mappings(node: yaml.Node) -> Iterator[yaml.MappingNode]:
    if isinstance(node, yaml.MappingNode):
        yield node
        for _, value in node.value:
            yield from _mappings(value)
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _mappings(item)
