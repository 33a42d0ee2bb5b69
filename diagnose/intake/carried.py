"""The case that an answer's page carries with it, as it was told: the case file and the log beside
it, byte for byte.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import PurePath
from typing import Any, Final, NamedTuple

from diagnose.intake.yaml_document import MAX_BYTES, one_problem

FORMAT: Final = "bowlside-page/1"
#: The element of a page that holds what it carries, and the ends of names of such files.
ELEMENT: Final = "bowlside-carried"
PAGE_ENDINGS: Final = (".html", ".htm")
#: A page holds the case, its log and the answer, each at most as long as a case file may be, and
#: characters may be written out as six.
MAX_PAGE_BYTES: Final = 20 * MAX_BYTES


class ToldFiles(NamedTuple):
    """A case file: its name, its content, and the way to a file beside it by its plain name (which
    raises OSError where there is none such).
    """

    name: str
    data: bytes
    open_beside: Callable[[str], bytes]


def is_page(file: str) -> bool:
    """Whether a file of this name is a page and no case file."""
    return PurePath(file).suffix.lower() in PAGE_ENDINGS


def carried_case(page: bytes, file: str) -> ToldFiles:
    """The case in a page; `file` is the page's name in messages.

    Raises CaseErrors for a file that is no such page or carries no case.
    """
    if len(page) > MAX_PAGE_BYTES:
        raise one_problem(file, None, "the page is too long to be one of ours.", _RIGHT)
    found = re.search(_CARRIED, page.decode("utf-8", "replace"))
    try:
        carried = json.loads(found[1] if found is not None else "")
    except (ValueError, RecursionError):
        raise one_problem(file, None, "the page carries no case.", _RIGHT) from None
    files = _files(carried)
    if not files:
        raise one_problem(file, None, "the page carries no case that can be read.", _RIGHT)
    (name, data), *more = files
    return ToldFiles(name, data, partial(_carried_beside, dict(more)))


def _carried_beside(files: Mapping[str, bytes], name: str) -> bytes:
    if name not in files:
        raise FileNotFoundError(name)
    return files[name]


#: What is carried has no `<` of its own: it is written as an escape.
_CARRIED: Final = re.compile(rf'<script\b[^>]*\bid="{ELEMENT}"[^>]*>([^<]*)</script>')
_RIGHT: Final = "Give a case file, or a page that `bowlside triage FILE --format html` wrote."


def _files(carried: Any) -> list[tuple[str, bytes]]:
    if not isinstance(carried, dict) or carried.get("format") != FORMAT:
        return []
    told = carried.get("told")
    files = []
    for one in told if isinstance(told, list) else ():
        if not isinstance(one, dict) or not all(isinstance(x, str) for x in one.values()):
            return []
        if set(one) != {"name", "text"}:
            return []
        files.append((one["name"], one["text"].encode("utf-8", "replace")))
    return files


def noted(
    open_beside: Callable[[str], bytes] | None, seen: dict[str, bytes]
) -> Callable[[str], bytes] | None:
    """The same way to a file beside the case; what it gives is noted in `seen`."""
    if open_beside is None:
        return None

    def opened(name: str) -> bytes:
        seen[name] = open_beside(name)
        return seen[name]

    return opened
