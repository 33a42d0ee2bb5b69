"""Keeps a session on disk, so that Ctrl-C, a closed terminal or a power cut loses nothing.

Every answer is written before the next question: the whole session into a new file beside, flushed
to the disk, then moved into place, so that a reader finds the old one or the new one, never half.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from diagnose.dialogue.state import Given, Session
from diagnose.story.facts import PLACES

FORMAT = "bowlside-session/1"
ENDING = ".session.json"
#: Only its owner may read a session: it holds a person's own words.
MODE = 0o600
MAX_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Kept:
    """A session as it was left: the file, what was said, and whether it came to its end."""

    file: Path
    session: Session
    finished: bool


def new_file(folder: Path, session: Session) -> Path:
    """Where a new session is to be kept: one file each, named by its time."""
    stem = f"{session.started_at:%Y-%m-%d-%H%M%S}"
    file, number = folder / f"{stem}{ENDING}", 1
    while file.exists():
        number += 1
        file = folder / f"{stem}-{number}{ENDING}"
    return file


def keep(session: Session, file: Path, *, finished: bool = False) -> None:
    """Writes the session. Raises OSError where the folder cannot be written."""
    file.parent.mkdir(parents=True, exist_ok=True)
    content = {
        "format": FORMAT,
        "finished": finished,
        "started_at": session.started_at.isoformat(),
        "name": session.name,
        "story": session.story,
        "given": [[g.question, [list(pair) for pair in g.tells], g.said] for g in session.given],
        "skipped": list(session.skipped),
        "pinned": session.pinned,
    }
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, MODE)
    with open(handle, "w", encoding="utf-8") as stream:
        json.dump(content, stream, ensure_ascii=True, indent=1)
        stream.flush()
        os.fsync(stream.fileno())
    os.replace(beside, file)


def read_kept(file: Path, names: Collection[str]) -> Kept:
    """The session kept in a file; answers to names the rulebook no longer has are left out.

    Raises ValueError for a file that is no kept session, and OSError if it cannot be read.
    """
    try:
        if file.stat().st_size > MAX_BYTES:
            raise ValueError
        content = json.loads(file.read_bytes())
        if not isinstance(content, dict) or content.get("format") != FORMAT:
            raise ValueError
        given = tuple(_given(item, names) for item in content["given"])
        session = Session(
            started_at=datetime.fromisoformat(content["started_at"]),
            name=str(content["name"]),
            story=str(content["story"]),
            given=given,
            skipped=tuple(map(str, content["skipped"])),
            pinned=str(content["pinned"]),
        )
        return Kept(file, session, content["finished"] is True)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise ValueError(
            f"{file}: this is no session that can be gone on with. Start anew: bowlside triage."
        ) from None


def _given(item: Any, names: Collection[str]) -> Given:
    question, tells, said = item
    pairs = []
    for name, value in tells:
        if not isinstance(name, str) or not isinstance(value, str | float | int | bool):
            raise ValueError
        if ":" in name or name.startswith(PLACES) or name in names:
            pairs.append((name, value))
    return Given(str(question), tuple(pairs), str(said))


def last_unfinished(folder: Path, names: Collection[str]) -> Kept | None:
    """The newest session of a folder that did not come to its end; files that are none are passed
    over.
    """
    if not folder.is_dir():
        return None
    for file in sorted(folder.glob(f"*{ENDING}"), reverse=True):
        try:
            kept = read_kept(file, names)
        except (ValueError, OSError):
            continue
        if not kept.finished and (kept.session.given or kept.session.story):
            return kept
    return None
