"""A story as a case file: what was read, each line with the words it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

import yaml
from pydantic import ValidationError

from diagnose.intake.case import Case
from diagnose.intake.contradictions import contradictions
from diagnose.intake.names import in_the_vocabulary
from diagnose.intake.problems import CaseErrors, Unreadable
from diagnose.intake.yaml_document import PLAIN_WORDS
from diagnose.rulebook.terms import Term
from diagnose.story.case_content import content_of
from diagnose.story.facts import EVENT_AT, PART_OF
from diagnose.story.reader import Reading, Story

#: Longer words beside a line are cut here.
LONGEST_COMMENT = 60
#: What stands in lists and mappings of one line each, in the order of the form.
SECTIONS = (
    "container", "stock", "deaths", "events", "not_done", "seen", "not_seen", "readings", "told",
)  # fmt: skip


class _Dumper(yaml.SafeDumper):
    """Quotes every text that a YAML reader would take for something else."""


for _tag, _pattern, _first in PLAIN_WORDS:
    _Dumper.add_implicit_resolver(_tag, _pattern, _first)


def standing(
    readings: Iterable[Reading], vocabulary: Mapping[str, Term], now: datetime
) -> tuple[Reading, ...]:
    """Those that can stand together in one case; where they cannot, what was said first stays."""
    readings = tuple(readings)
    if _stands(readings, vocabulary, now):
        return readings
    kept: list[Reading] = []
    for reading in readings:
        if _stands((*kept, reading), vocabulary, now):
            kept.append(reading)
    return tuple(kept)


def _stands(readings: tuple[Reading, ...], vocabulary: Mapping[str, Term], now: datetime) -> bool:
    told = {name: value for reading in readings for name, value in reading.tells}
    content = {"case": "story", "asked_at": f"{now:%Y-%m-%d %H:%M}"} | content_of(told, vocabulary)
    try:
        case = Case.model_validate(content, context="metric", by_alias=True, by_name=False)
        case, faults = in_the_vocabulary(case, vocabulary)
        return not faults and not contradictions(case, now)
    except (ValidationError, CaseErrors, Unreadable, ValueError):
        return False


def case_text(
    story: Story, text: str, name: str, vocabulary: Mapping[str, Term], now: datetime
) -> str:
    """The text of the case file, with the words of each line as a comment, and at its end what was
    not understood.
    """
    readings = standing(story.readings, vocabulary, now)
    told = {n: value for reading in readings for n, value in reading.tells}
    words = {n: reading.words for reading in readings for n, _ in reading.tells}
    content = content_of(told, vocabulary)
    places: dict[tuple[str, str], str] = {}
    for fact, value in told.items():
        if not fact.startswith((EVENT_AT, PART_OF)):
            for place in _places(content_of({fact: value}, vocabulary)):
                places.setdefault(place, words[fact])
    lines = [f"case: {_flow(name)}", f"asked_at: {now:%Y-%m-%d %H:%M}"]
    lines += ["story: |", *(f"  {line}" for line in _plain_lines(text))] if text.strip() else []
    for section in SECTIONS:
        if section in content:
            lines.append(f"{section}:")
            lines += _lines_of(section, content[section], places)
    for title, clauses in (("not understood", story.unread), ("no fact", story.set_aside)):
        lines += [f"# {title}: {_comment(clause)}" for clause in clauses]
    return "\n".join(lines) + "\n"


def _plain_lines(text: str) -> Iterator[str]:
    from diagnose.intake.written_text import LONGEST_STORY, STEERING_CODES

    kept = STEERING_CODES.sub(" ", text[:LONGEST_STORY].replace("\r\n", "\n"))
    kept = kept.replace("\t", " ").replace("\u2028", " ").replace("\u2029", " ").strip()
    for line in kept.encode("utf-8", "replace").decode().split("\n"):
        yield " ".join(line.split())


def _places(content: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for section, part in content.items():
        if isinstance(part, Mapping):
            for key, value in part.items():
                yield section, key
                if isinstance(value, list):
                    yield from ((section, _key_of(item)) for item in value)
        elif isinstance(part, list):
            yield from ((section, _key_of(item)) for item in part)


def _key_of(item: Any) -> str:
    if isinstance(item, Mapping):
        return str(item.get("what", item.get("kind")))
    return str(item)


def _lines_of(section: str, part: Any, places: Mapping[tuple[str, str], str]) -> Iterator[str]:
    if isinstance(part, Mapping):
        for key, value in part.items():
            said = places.get((section, key))
            if isinstance(value, list):
                yield f"  {key}:"
                for item in value:
                    yield f"    - {_flow(item)}{_said(places.get((section, _key_of(item)), said))}"
            else:
                yield f"  {key}: {_flow(value)}{_said(said)}"
    else:
        for item in part:
            yield f"  - {_flow(item)}{_said(places.get((section, _key_of(item))))}"


def _said(words: str | None) -> str:
    return f"  # {_comment(words)}" if words else ""


def _comment(words: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in words)
    plain = " ".join(plain.encode("utf-8", "replace").decode().split())
    return plain if len(plain) <= LONGEST_COMMENT else f"{plain[:LONGEST_COMMENT]}..."


def _flow(value: Any) -> str:
    text = yaml.dump(value, Dumper=_Dumper, default_flow_style=True, allow_unicode=True,
                     sort_keys=False, width=10_000)  # fmt: skip
    return text.removesuffix("\n").removesuffix("\n...").strip()
