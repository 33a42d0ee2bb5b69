"""Words of a case file: names, lines, stories, lists of names, yes and no."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any, TypeVar

from diagnose.intake.moments import NOON, Moment, read_moment
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import read_count

LONGEST_NAME, LONGEST_LINE, LONGEST_STORY = 80, 500, 20_000
#: Codes that steer a screen instead of showing on it: control codes, and those that turn the
#: direction of text.
STEERING_CODES = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]"
)
_NAME = re.compile(r"[^\W_][\w .,'+&/()-]*")
Read = TypeVar("Read")
RIGHT_DEATH_COUNT = "Write each as `{at: 2 days ago, dead: 3}`."
_YES, _NO = ("yes", "true", "y"), ("no", "false", "n")


def read_name(written: object) -> str:
    """A short name on one line: letters, figures, and plain punctuation. Raises Unreadable."""
    text = read_line(written)
    if len(text) > LONGEST_NAME:
        raise Unreadable(
            f"`{text[:30]}...` is too long for a name.", f"Keep it to {LONGEST_NAME} characters."
        )
    if _NAME.fullmatch(text) is None:
        raise Unreadable(
            f"`{text}` is not a plain name.",
            "Use letters, figures, spaces, hyphens and underscores only.",
        )
    return text


def read_line(written: object) -> str:
    """Text on one line, with single spaces. Raises Unreadable."""
    text = " ".join(_text(written).split())
    if not text:
        raise Unreadable("there is nothing here.", "Write a few words, or leave the field out.")
    if len(text) > LONGEST_LINE:
        raise Unreadable("this is too long for one line.", "Put the long version into `story`.")
    return text


def read_story(written: object) -> str:
    """A keeper's own words; line breaks are kept. Raises Unreadable."""
    text = _text(written).replace("\r\n", "\n").strip()
    if len(text) > LONGEST_STORY:
        raise Unreadable("the story is too long.", f"Keep it to {LONGEST_STORY} characters.")
    return text


def read_names(written: object) -> tuple[str, ...]:
    """A name or a list of names. Raises Unreadable."""
    if written is None:
        return ()
    if isinstance(written, str):
        return (read_name(written),)
    if isinstance(written, list | tuple):
        return tuple(in_part(index, read_name, item) for index, item in enumerate(written))
    raise Unreadable("this is not a list of names.", "Write one name on each line, after a hyphen.")


def read_yes_or_no(written: object) -> bool:
    """Yes or no. Raises Unreadable."""
    if isinstance(written, bool):
        return written
    said = written.strip().lower() if isinstance(written, str) else None
    if said in _YES or said in _NO:
        return said in _YES
    raise Unreadable(f"`{written}` is neither yes nor no.", "Write yes or no.")


def read_asked_at(written: object) -> datetime:
    """The date (and time) of asking, without a zone; noon if no time is written.

    Raises Unreadable.
    """
    moment = read_moment(written)
    if moment.at is None:
        raise Unreadable(
            f"`{written}` is no date; the other times are counted from this one.",
            f"Write it as 2026-03-14 21:30 (without a time it is {NOON:g}:00).",
        )
    return moment.at


def read_told(written: object) -> dict[str, str | float | bool]:
    """Answers by the name of what was asked: a word, a number (with or without unit), yes or no."""
    if not isinstance(written, dict):
        raise Unreadable("these are not answers by name.", "Write `name: answer` lines.")
    for name, answer in written.items():
        in_part(name, read_name, name)
        if isinstance(answer, list) and answer and all(isinstance(one, str) for one in answer):
            in_part(name, read_line, " or ".join(answer))
        elif isinstance(answer, str):
            in_part(name, read_line, answer)
        elif not isinstance(answer, bool | int | float):
            raise Unreadable(
                f"`{name}` has no plain answer.", "Write a word, a number, yes or no.", name
            )
    return {
        name: " or ".join(answer) if isinstance(answer, list) else answer
        for name, answer in written.items()
    }


def read_death_counts(written: object) -> tuple[tuple[Moment, int], ...]:
    """Bodies found, each count with its time: `{at: 2 days ago, dead: 3}`. Raises Unreadable."""
    if not isinstance(written, list | tuple):
        raise Unreadable("this is not a list of counts.", RIGHT_DEATH_COUNT)
    return tuple(in_part(index, _death_count, item) for index, item in enumerate(written))


def in_part(part: str | int, read: Callable[[Any], Read], written: object) -> Read:
    """What `read` makes of the written value; if it cannot be read, the error names the part."""
    try:
        return read(written)
    except Unreadable as error:
        raise Unreadable(error.problem, error.hint, part) from None


def _death_count(item: Any) -> tuple[Moment, int]:
    if isinstance(item, dict) and set(item) == {"at", "dead"}:
        return read_moment(item["at"]), read_count(item["dead"])
    if isinstance(item, list | tuple) and len(item) == 2:
        return read_moment(item[0]), read_count(item[1])
    raise Unreadable(f"`{item}` is not a count of bodies with its time.", RIGHT_DEATH_COUNT)


def _text(written: object) -> str:
    if isinstance(written, bool) or not isinstance(written, str | int | float):
        raise Unreadable(f"`{written}` is not text.", "Put it in quotes if it is meant as text.")
    text = str(written)
    found = STEERING_CODES.search(text)
    if found is not None:
        raise Unreadable(
            f"the text holds a hidden control code (U+{ord(found.group()):04X}).",
            "Type the text anew.",
        )
    return text
