"""How the session asks, from `knowledge/asking.yaml`: topics, equipment, first signs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diagnose.rulebook.terms import Rulebook

FILE = "asking.yaml"
#: The topic of a question from a file of the vocabulary that `topics` does not name.
ELSEWHERE = "other"
_SafeLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Equipment:
    """Something to measure with: the question whether it is there, what would do, and the share of
    keepers who have it at hand.
    """

    name: str
    chance: float
    asks: str
    look: str


@dataclass(frozen=True, slots=True)
class Together:
    """Things a keeper remembers in one go: the question, its minutes, and the observations with
    their words as a choice.
    """

    name: str
    asks: str
    minutes: float
    of: dict[str, str]


@dataclass(frozen=True, slots=True)
class Asking:
    """topics: id to words, in questionnaire order; topic_of: observation to topic; first_signs: the
    choices of how the living behave; can_tell: the share of keepers who can answer, where that is
    not nearly all.
    """

    topics: dict[str, str]
    topic_of: dict[str, str]
    equipment: dict[str, Equipment]
    first_signs: dict[str, str]
    together: dict[str, Together]
    can_tell: dict[str, float]


def load_asking(folders: Iterable[Path], rulebook: Rulebook) -> Asking:
    """How to ask, read from each folder that says so; later folders add to earlier ones.

    Raises ValueError with the file and what would be right.
    """
    topics: dict[str, str] = {}
    equipment: dict[str, Equipment] = {}
    first_signs: dict[str, str] = {}
    can_tell: dict[str, float] = {}
    together: dict[str, Together] = {}
    for folder in folders:
        file = folder / FILE
        if not file.is_file():
            continue
        content = read_mapping(file)
        topics |= {str(k): str(v) for k, v in _mapping(file, content, "topics").items()}
        for name, entry in _mapping(file, content, "equipment").items():
            if not isinstance(entry, dict) or not {"asks", "chance"} <= set(entry):
                raise ValueError(
                    f"{file}: equipment, {name}: write {{asks: ..., look: ..., chance: 0.3}}."
                )
            equipment[str(name)] = Equipment(
                str(name), float(entry["chance"]), str(entry["asks"]), str(entry.get("look", ""))
            )
        first_signs |= {str(k): str(v) for k, v in _mapping(file, content, "first_signs").items()}
        for name, entry in _mapping(file, content, "together").items():
            together[str(name)] = _together(file, str(name), entry)
        shares = _mapping(file, content, "can_tell")
        can_tell |= {str(name): _share(file, str(name), share) for name, share in shares.items()}
    named = {*first_signs, *can_tell, *(n for item in together.values() for n in item.of)}
    unknown = sorted(named - set(rulebook.vocabulary))
    if unknown:
        raise ValueError(f"{FILE}: {', '.join(unknown)}: not in the vocabulary. Mend the name.")
    topic_of = {
        name: stem if (stem := Path(rulebook.where.get(name, "")).stem) in topics else ELSEWHERE
        for name in rulebook.vocabulary
    }
    return Asking(topics, topic_of, equipment, first_signs, together, can_tell)


def read_mapping(file: Path) -> dict[str, Any]:
    """A YAML file that holds a mapping. Raises ValueError with the file and line."""
    try:
        content = _SafeLoader(file.read_text(encoding="utf-8")).get_single_data()
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        mark = getattr(error, "problem_mark", None)
        line = f", line {mark.line + 1}" if mark is not None else ""
        raise ValueError(f"{file}{line}: not readable as YAML text in UTF-8.") from None
    if not isinstance(content, dict):
        raise ValueError(f"{file}: holds no mapping. Start with `key: value` lines.")
    return content


def _mapping(file: Path, content: dict[str, Any], key: str) -> dict[str, Any]:
    found = content.get(key) or {}
    if not isinstance(found, dict):
        raise ValueError(f"{file}: {key}: not a mapping. Write `key: value` lines.")
    return found


def _together(file: Path, name: str, entry: Any) -> Together:
    if not isinstance(entry, dict) or set(entry) != {"asks", "minutes", "of"}:
        raise ValueError(f"{file}: together, {name}: write asks, minutes and of.")
    words = {str(sign): str(text) for sign, text in _mapping(file, entry, "of").items()}
    return Together(name, str(entry["asks"]), float(entry["minutes"]), words)


def _share(file: Path, name: str, share: Any) -> float:
    if isinstance(share, int | float) and not isinstance(share, bool) and 0.0 < share <= 1.0:
        return float(share)
    raise ValueError(f"{file}: can_tell, {name}: write a share above 0 and up to 1.")
