"""A YAML file as plain data, with the line of every key, and nothing that YAML can hide in it.

Only what a keeper types by hand is taken: mappings, lists, text, numbers, true, false and null. No
tags, no aliases, no keys written twice, no deep nesting. `yes`, `on` and dates stay text, so that a
field decides for itself what they mean.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import Any, ClassVar

import yaml

from diagnose.intake.problems import CaseError, CaseErrors
from diagnose.intake.written_text import STEERING_CODES

MAX_BYTES = 1_000_000
MAX_DEPTH = 12
#: A path longer than this is cut in messages.
SHOWN_DEPTH = 4
Path = tuple[str | int, ...]

_TAG = "tag:yaml.org,2002:"
#: The bare words that are not text: tag, pattern, first characters.
PLAIN_WORDS: tuple[tuple[str, re.Pattern[str], list[str]], ...] = (
    (_TAG + "null", re.compile(r"(?:~|null|Null|NULL|)\Z"), ["~", "n", "N", ""]),
    (_TAG + "bool", re.compile(r"(?:true|True|TRUE|false|False|FALSE)\Z"), list("tTfF")),
    (_TAG + "int", re.compile(r"[-+]?\d{1,15}\Z"), list("-+0123456789")),
    (
        _TAG + "float",
        re.compile(
            r"[-+]?(?:\d{1,15}\.\d{0,20}|\.\d{1,20}|\d{1,15}(?:\.\d{0,20})?[eE][-+]?\d{1,3})\Z"
        ),
        list("-+.0123456789"),
    ),
)

_SafeLoader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _PlainLoader(_SafeLoader):  # type: ignore[misc]
    """The safe loader, taught to see only null, true, false and decimal numbers in bare words."""

    yaml_implicit_resolvers: ClassVar[dict[str, list[tuple[str, Any]]]] = {}


for _tag, _pattern, _first in PLAIN_WORDS:
    _PlainLoader.add_implicit_resolver(_tag, _pattern, _first)


@dataclass(frozen=True)
class Document:
    """The data of one file.

    `line_of` finds the line, from 1, on which the thing at a path is written.
    """

    file: str
    data: dict[str, Any]
    root: yaml.Node

    def line_of(self, path: Path) -> int | None:
        """The line of what stands at `path`; where nothing does, of the nearest thing above it."""
        node = self.root
        line = _line(node)
        for part in path:
            found = _step_into(node, part)
            if found is None:
                return line
            at, node = found
            line = _line(at)
        return line


def read_document(data: bytes, file: str) -> Document:
    """The document in `data`; `file` is the name used in messages. Raises CaseErrors."""
    text = decode(data, file)
    if not text.strip():
        raise one_problem(
            file, None, "the file is empty.", "`bowlside case new` prints a form to fill in."
        )
    try:
        root = yaml.compose(text, Loader=_PlainLoader)
    except yaml.YAMLError as error:
        raise _not_yaml(error, file, text) from None
    except RecursionError:
        raise one_problem(
            file, None, "the file is nested too deeply.", "Write plain lists."
        ) from None
    if root is None:
        raise one_problem(
            file,
            None,
            "the file holds only comments.",
            "Take away the `#` before the lines you fill in.",
        )
    if not isinstance(root, yaml.MappingNode):
        raise one_problem(
            file,
            None,
            "the file is not a case.",
            "It must start with `key: value` lines, as `case: front-window`.",
        )
    reader = _Reader(file)
    content = reader.plain(root, (), root)
    if reader.problems:
        raise CaseErrors(tuple(reader.problems))
    return Document(file, content, root)


def decode(data: bytes, file: str) -> str:
    """The text of a file, which must be UTF-8 and of a sane size. Raises CaseErrors."""
    if len(data) > MAX_BYTES:
        raise one_problem(
            file,
            None,
            f"the file has {len(data) / 1e6:.1f} MB, more than the 1 MB this program reads.",
            "Keep the last three months of the log and leave the rest out.",
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise one_problem(
            file,
            line,
            "the file is not UTF-8 text.",
            "Save it with the encoding UTF-8 and try again.",
        ) from None
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        raise one_problem(file, line, "the file is not plain text.", "Save it as plain UTF-8 text.")
    return text


def one_problem(
    file: str, line: int | None, problem: str, hint: str, field: str = ""
) -> CaseErrors:
    """The error for a file with a single problem."""
    return CaseErrors((CaseError(file, line, field, problem, hint),))


def spell_path(path: Path) -> str:
    """A path as a keeper would find it: `readings, entry 2, value`."""
    return ", ".join(f"entry {part + 1}" if isinstance(part, int) else str(part) for part in path)


def _line(node: yaml.Node) -> int:
    return int(node.start_mark.line) + 1


def _step_into(node: yaml.Node, part: str | int) -> tuple[yaml.Node, yaml.Node] | None:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == str(part):
                return key, value
        if isinstance(part, int) and part < len(node.value):  # a block of names as a list of them
            key, value = node.value[part]
            return key, value
    elif isinstance(node, yaml.SequenceNode) and isinstance(part, int) and part < len(node.value):
        return node.value[part], node.value[part]
    return None


class _Reader:
    """Turns YAML nodes into plain data, collecting what is not allowed."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[CaseError] = []
        self._met: set[int] = set()

    def fault(self, node: yaml.Node, path: Path, problem: str, hint: str) -> None:
        field = spell_path(path[:SHOWN_DEPTH])
        self.problems.append(CaseError(self.file, _line(node), field, problem, hint))

    def plain(self, node: yaml.Node, path: Path, above: yaml.Node) -> Any:
        """The data of a node. `above` stands on the line to name when the node is an alias."""
        if id(node) in self._met:
            self.fault(
                above, path, "an alias (`*name`) repeats another part.", "Write the part out."
            )
            raise CaseErrors(tuple(self.problems))
        self._met.add(id(node))
        if len(path) > MAX_DEPTH:
            self.fault(node, path, "this is nested too deeply.", "Write it flat, as the form does.")
            return None
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, path)
        right_tag = _TAG + ("seq" if isinstance(node, yaml.SequenceNode) else "map")
        if node.tag != right_tag:
            self.fault(node, path, f"the tag `{node.tag}` is not allowed.", "Take it away.")
            return None
        if isinstance(node, yaml.SequenceNode):
            return [self.plain(item, (*path, i), node) for i, item in enumerate(node.value)]
        return self._mapping(node, path)

    def _mapping(self, node: yaml.Node, path: Path) -> dict[str, Any]:
        content: dict[str, Any] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self.fault(key, path, "a key is not a plain word.", "Write `key: value`.")
                continue
            name = str(key.value)
            if STEERING_CODES.search(name):
                self.fault(key, path, "a key holds a hidden control code.", "Type the key anew.")
            elif name in content:
                hint = "Keep one of them, or make a list of the two."
                self.fault(key, path, f"`{name}` is written twice.", hint)
            else:
                content[name] = self.plain(value, (*path, name), key)
        return content

    def _scalar(self, node: yaml.ScalarNode, path: Path) -> Any:
        text, tag = str(node.value), node.tag
        if tag == _TAG + "null":
            return None
        if tag == _TAG + "bool":
            return text.lower() == "true"
        if tag in (_TAG + "int", _TAG + "float"):
            number = _finite_number(text)
            if number is None:
                self.fault(node, path, f"`{text}` is no number to measure.", "Check its digits.")
            return number
        if tag != _TAG + "str":
            self.fault(node, path, f"the tag `{tag}` is not allowed.", "Take it away.")
            return None
        found = STEERING_CODES.search(text)
        if found is not None:
            code = f"U+{ord(found.group()):04X}"
            problem = f"the text holds a hidden control code ({code})."
            self.fault(node, path, problem, "Type the text anew.")
            return None
        return text


def _finite_number(text: str) -> int | float | None:
    try:
        number: int | float = int(text) if text.lstrip("+-").isdecimal() else float(text)
    except ValueError:
        return None
    return number if isfinite(number) else None


#: A line `key: text with a colon: inside` outside braces.
_TEXT_WITH_COLON = re.compile(r"\s*(?:-\s+)?(\w+):\s+([^\"'{\[|>][^\"{]*:\s[^\"]*?)\s*$")


def _not_yaml(error: yaml.YAMLError, file: str, text: str) -> CaseErrors:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line = mark.line + 1 if mark is not None else None
    said = str(getattr(error, "problem", "") or getattr(error, "reason", "") or "")
    if "undefined alias" in said:
        return one_problem(
            file,
            line,
            "a word begins with `*`, which means an alias in YAML.",
            "Put the text in quotes.",
        )
    if "nesting depth" in said:
        return one_problem(
            file, line, "the file is nested too deeply.", "Write it flat, as the form does."
        )
    if "control characters" in said or "special characters" in said:
        return one_problem(
            file,
            line,
            "the file holds a hidden control code.",
            "Save it as plain text, or type the line anew.",
        )
    written = text.splitlines()[line - 1 : line] if line is not None else []
    if written and written[0].startswith("\t"):
        return one_problem(file, line, "the line begins with a tab.", "Indent with spaces.")
    if "cannot start any token" in said:
        return one_problem(
            file, line, "a word begins with a sign that YAML keeps for itself.", "Put it in quotes."
        )
    if "another document" in said:
        return one_problem(
            file, line, "a second document starts here (`---`).", "Write one case in each file."
        )
    hint = "Look at this line and the one above: a missing colon or quote, or uneven indentation."
    if "mapping values are not allowed" in said:
        hint = (
            "Text with a colon in it needs quotes, and each line of a block the same indentation."
        )
        text_with_colon = _TEXT_WITH_COLON.match(written[0]) if written else None
        if text_with_colon is not None:
            key, value = text_with_colon.groups()
            hint = f'Text with a colon in it needs quotes: write {key}: "{value}".'
    return one_problem(file, line, "this is not readable as YAML.", hint)
