"""Checks of what keepers read: plain, short, calm, and without blame."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject

#: Longest text of each field, in characters: what fits the place where it is shown.
LONGEST = {
    "title": 75,
    "because": 180,
    "tell": 180,
    "finding": 180,
    "asks": 130,
    "look": 160,
    "summary": 420,
    "in_the_water": 420,
    "in_the_animal": 420,
    "do": 320,
    "why": 180,
    "text": 320,
}
#: Words in capitals that are names of institutions or measures, not shouts.
QUIET_CAPITALS = frozenset(
    {"ASTM", "ANSES", "DIN", "EPA", "FAO", "GBIF", "NACA", "NIOSH", "OECD", "TDS", "USDA", "USFWS",
     "WHO", "LC50", "EC50", "PLOS"}
)  # fmt: skip
SHOUT = re.compile(r"\b[A-Z]{4,}\b")
#: Words that tell a keeper off. The animals are lost already.
BLAME = re.compile(
    r"\b(your (own )?fault|you should have|should have known|you failed|you forgot|you neglected"
    r"|careless(ly|ness)?|negligen\w*|neglected|irresponsib\w+|stupid\w*|lazy|laziness|foolish\w*"
    r"|ignoran\w+|cruel\w*|incompeten\w*|sloppy|idiot\w*)\b",
    re.IGNORECASE,
)
#: A sentence ends so.
END = (".", "?", ":", ")")


def texts(subject: Subject) -> Iterator[tuple[At, str, str]]:
    """Every text that a keeper may read: where, in which field, and the text."""
    book = subject.rulebook
    for term in book.vocabulary.values():
        for key in ("asks", "look"):
            yield At("vocabulary", term.name, (key,)), key, getattr(term, key)
        for word, text in term.choices.items():
            yield At("vocabulary", term.name, ("choices", word)), "choices", text
    for condition in book.conditions.values():
        for key in ("title", "because"):
            yield At("conditions", condition.id, (key,)), key, getattr(condition, key)
    for found in book.mechanisms.values():
        for key in ("title", "summary", "in_the_water", "in_the_animal"):
            yield At("mechanisms", found.id, (key,)), key, getattr(found, key)
    for cause in book.causes.values():
        for key in ("title", "summary"):
            yield At("causes", cause.id, (key,)), key, getattr(cause, key)
        for like in cause.looks_like:
            yield At("causes", cause.id, ("looks_like", like.cause, "tell")), "tell", like.tell
        for item in cause.confirm:
            at = At("causes", cause.id, ("confirm", item.check, "finding"))
            yield at, "finding", item.finding
    for at, argument in subject.arguments():
        yield At(at.kind, at.entry, (*at.path, "because")), "because", argument.because
    for step in book.steps.values():
        for key in ("title", "do", "why"):
            yield At("steps", step.id, (key,)), key, getattr(step, key)
    for caution in book.cautions.values():
        yield At("cautions", caution.id, ("text",)), "text", caution.text


def _shouts(subject: Subject) -> Iterable[Problem]:
    for at, _key, text in texts(subject):
        loud = [word for word in SHOUT.findall(text) if word not in QUIET_CAPITALS]
        if loud:
            yield Problem(at, f"`{loud[0]}` is written in capitals.")
        if "!" in text:
            yield Problem(at, "it ends in an exclamation mark.")


def _blames(subject: Subject) -> Iterable[Problem]:
    for at, _key, text in texts(subject):
        found = BLAME.search(text)
        if found is not None:
            yield Problem(at, f"`{found.group(0)}` blames the reader.")


def _too_long(subject: Subject) -> Iterable[Problem]:
    for at, key, text in texts(subject):
        limit = LONGEST.get(key)
        if limit is not None and len(text) > limit:
            yield Problem(at, f"{len(text)} characters, where {limit} can be taken in at a glance.")


def _no_sentence(subject: Subject) -> Iterable[Problem]:
    for at, key, text in texts(subject):
        if key in ("because", "do", "why", "tell", "text", "summary") and not text.endswith(END):
            yield Problem(at, "it does not end as a sentence does.")


def _empty(subject: Subject) -> Iterable[Problem]:
    for at, key, text in texts(subject):
        if not text.strip() and key != "look":
            yield Problem(at, f"`{key}` is empty.")


CHECKS = (
    Check("text-empty", "error", "Write a sentence.", _empty),
    Check("text-shouts", "advice", "Say it calmly, in small letters.", _shouts),
    Check("text-blames", "error", "Say what happened, not whose doing it was.", _blames),
    Check("text-too-long", "advice", "Shorten it; details belong in the source's note.", _too_long),
    Check("text-no-sentence", "advice", "End it with a full stop.", _no_sentence),
)
