"""Uses of a log: make a container known, jot a line, and open it as a case."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.intake.case_file import read_case
from diagnose.log.as_case import (
    LoggedFile,
    case_of,
    counts_of,
    jots_of,
    split_case,
    yaml_of,
)
from diagnose.log.entry import Jot
from diagnose.log.store import Kept, Store

if TYPE_CHECKING:
    from diagnose.rulebook.terms import Rulebook


@dataclass(frozen=True, slots=True)
class Jotted:
    """What was kept, and what of the words was not understood (kept as a note)."""

    kept: Kept
    jots: tuple[Jot, ...]
    unread: tuple[str, ...] = ()


def make_known(
    store: Store, file: Path, rulebook: Rulebook, *, name: str | None, now: datetime
) -> tuple[str, int]:
    """Makes the container of a case file known; its name and how many entries came with it.

    Raises CaseErrors for a case that cannot be read and LogFault for a name that is taken.
    """
    case = read_case(
        file.read_bytes(),
        str(file),
        now,
        open_beside=lambda beside: (file.parent / beside).read_bytes(),
        vocabulary=rulebook.vocabulary,
    )
    standing, jots = split_case(case, now=now)
    called = name or case.case
    store.begin(called, standing, jots, at=case.asked_at or now, now=now)
    return called, len(jots)


def jot_fields(
    store: Store, name: str, fields: dict[str, Any], rulebook: Rulebook, *, at: str, now: datetime
) -> Jotted:
    """Keeps what was told by options. fields: as a case file has them, times left out; `count` and
    `note` besides. at: the time it is about, as people say it. Raises CaseErrors and LogFault.
    """
    count, note = fields.pop("count", None), fields.pop("note", None)
    timed: dict[str, Any] = {
        key: [{**one, "at": at} for one in fields.pop(key)]
        for key in ("readings", "events")
        if key in fields
    }
    if "deaths" in fields and fields["deaths"].get("dead") not in ("0", 0):
        fields["deaths"] = {**fields["deaths"], "first": at}
    probe = {"case": name, "asked_at": f"{now:%Y-%m-%d %H:%M}", **fields, **timed}
    if count:
        probe["stock"] = count
    when = _moment(name, at, now)
    jots: list[Jot] = []
    if set(probe) - {"case", "asked_at"}:
        case = read_case(
            yaml_of(probe).encode("utf-8"), "this jot", now, vocabulary=rulebook.vocabulary
        )
        found = jots_of(case, now=now)
        jots += [
            Jot(j.kind, when if j.kind == "sign" else j.at or when, j.content, j.words)
            for j in found
        ]
        if count:
            jots.append(Jot("count", when, dict(counts_of(case))))
    if note:
        jots.append(Jot("note", when, {"text": note}))
    return Jotted(store.keep(name, jots, now=now), tuple(jots))


def jot_words(
    store: Store,
    name: str,
    words: str,
    rulebook: Rulebook,
    folders: Iterable[Path],
    *,
    at: str,
    now: datetime,
) -> Jotted:
    """Keeps what a keeper said in plain words; what is no fact is kept as a note."""
    from diagnose.uses.story import read_text

    when = _moment(name, at, now)
    read = read_text(words.encode("utf-8"), name, rulebook, folders, now=when)
    jots: list[Jot] = []
    unread = read.story.unread
    if read.story.readings:
        data = read.text.encode("utf-8")
        case = read_case(data, "these words", when, vocabulary=rulebook.vocabulary)
        untimed = jots_of(case, now=when, words=words)
        jots += [Jot(j.kind, j.at or when, j.content, j.words) for j in untimed]
        if counts_of(case):
            jots.append(Jot("count", when, dict(counts_of(case)), words))
    if not jots or unread:
        jots.append(Jot("note", when, {"text": "; ".join(unread) if jots else words}, words))
        unread = unread if len(jots) > 1 else (words,)
    return Jotted(store.keep(name, jots, now=now), tuple(jots), unread)


def _moment(name: str, at: str, now: datetime) -> datetime:
    """The time that people named, checked as a case file's is."""
    from datetime import timedelta

    from diagnose.intake.moments import hours_before_asking, read_moment
    from diagnose.intake.problems import Unreadable

    if at == "now":
        return now
    try:
        hours = hours_before_asking(read_moment(at), asked_at=now, first_death=None)
    except Unreadable as error:
        raise ValueError(f"--at: {error}") from None
    if hours is None:
        raise ValueError(f"--at: `{at}` names no time of its own. Write a date or `2 days ago`.")
    if hours < -24:
        raise ValueError(f"--at: `{at}` lies in the future.")
    return (now - timedelta(hours=hours)).replace(second=0, microsecond=0)


def logged_file(store: Store, name: str, *, now: datetime) -> LoggedFile:
    """A logged container as a case file of now. Raises LogFault."""
    content = case_of(store.described(name), store.entries(name), now=now)
    return LoggedFile(name, yaml_of(content))
