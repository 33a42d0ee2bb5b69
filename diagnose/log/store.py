"""The log on disk: one SQLite file to which entries are only ever added.

What a keeper enters at once is an act; it is kept whole or not at all, and is on disk when `keep`
returns. A correction is a further act that points to the old one.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from diagnose.log.entry import Described, Entry, Jot, Kind
from diagnose.log.faults import LogFault, told_plainly
from diagnose.log.schema import bring_up_to_date

#: How long a writer waits for another one, s: nobody at a terminal is kept longer than a second.
PATIENCE_S = 0.9


@dataclass(frozen=True, slots=True)
class Kept:
    """An act that is on disk. clock_back: the clock stood before the act kept last."""

    act: int
    clock_back: bool


class Store:
    """An open log. Use `opened`; all times are local ones without a zone, to the second."""

    def __init__(self, connection: sqlite3.Connection, file: Path) -> None:
        self._db, self.file = connection, file

    def names(self) -> tuple[str, ...]:
        """The containers, in the order in which they became known."""
        with told_plainly(self.file):
            return tuple(row[0] for row in self._db.execute("SELECT name FROM container"))

    def describe(self, name: str, content: dict[str, Any], *, at: datetime, now: datetime) -> None:
        """Makes a container known, or tells anew what it is. Raises LogFault."""
        with told_plainly(self.file), self._writing():
            self._describe(name, content, at=at, now=now)

    def begin(
        self,
        name: str,
        content: dict[str, Any],
        jots: Sequence[Jot],
        *,
        at: datetime,
        now: datetime,
    ) -> None:
        """Makes a new container known with its first entries. Raises LogFault for a known name."""
        with told_plainly(self.file), self._writing():
            if self._db.execute("SELECT 1 FROM container WHERE name = ?", (name,)).fetchone():
                raise LogFault(
                    f"{self.file}: `{name}` is known already. Choose another name with --name."
                )
            self._describe(name, content, at=at, now=now)
            if jots:
                self._enter(self._container(name), jots, now=now, corrects=None)

    def described(self, name: str) -> Described:
        """What is told last of a container. Raises LogFault if it is not known."""
        with told_plainly(self.file):
            row = self._db.execute(
                "SELECT about, content FROM description WHERE container = ? "
                "ORDER BY id DESC LIMIT 1",
                (self._container(name),),
            ).fetchone()
        return Described(name, datetime.fromisoformat(row[0]), json.loads(row[1]))

    def keep(
        self, name: str, jots: Sequence[Jot], *, now: datetime, corrects: int | None = None
    ) -> Kept:
        """Keeps jots as one act. corrects: the act whose entries they stand for from now on.

        Raises LogFault.
        """
        with told_plainly(self.file), self._writing():
            return self._enter(self._container(name), jots, now=now, corrects=corrects)

    def undo(self, name: str, *, now: datetime) -> tuple[Entry, ...]:
        """Takes the last act back by an act without entries; what it had told. Raises LogFault."""
        with told_plainly(self.file), self._writing():
            container = self._container(name)
            row = self._db.execute(
                "SELECT max(act.id) FROM act JOIN entry ON entry.act = act.id "
                "WHERE container = ? AND act.id NOT IN "
                "(SELECT corrects FROM act WHERE corrects IS NOT NULL)",
                (container,),
            ).fetchone()
            if row[0] is None:
                raise LogFault(f"{self.file}: nothing of `{name}` is left to take back.")
            taken = tuple(one for one in self._entries(container) if one.act == row[0])
            self._enter(container, (), now=now, corrects=int(row[0]))
            return taken

    def entries(self, name: str) -> tuple[Entry, ...]:
        """The entries that stand, by the time they are about; those without a time come first."""
        with told_plainly(self.file):
            found = self._entries(self._container(name))
        return tuple(sorted(found, key=lambda one: (one.jot.at or datetime.min, one.number)))

    def _describe(self, name: str, content: dict[str, Any], *, at: datetime, now: datetime) -> None:
        self._db.execute("INSERT OR IGNORE INTO container (name) VALUES (?)", (name,))
        self._db.execute(
            "INSERT INTO description (container, entered_at, about, content) VALUES (?, ?, ?, ?)",
            (self._container(name), _stamp(now), _stamp(at), _json(content)),
        )

    def _enter(
        self, container: int, jots: Sequence[Jot], *, now: datetime, corrects: int | None
    ) -> Kept:
        last = self._db.execute("SELECT entered_at FROM act ORDER BY id DESC LIMIT 1").fetchone()
        act = self._db.execute(
            "INSERT INTO act (container, entered_at, corrects) VALUES (?, ?, ?)",
            (container, _stamp(now), corrects),
        ).lastrowid
        self._db.executemany(
            "INSERT INTO entry (act, kind, about, content, words) VALUES (?, ?, ?, ?, ?)",
            [
                (act, jot.kind, _stamp(jot.at) if jot.at else None, _json(jot.content), jot.words)
                for jot in jots
            ],
        )
        return Kept(int(act or 0), last is not None and last[0] > _stamp(now))

    def _entries(self, container: int) -> list[Entry]:
        rows = self._db.execute(
            "SELECT entry.id, act, entered_at, kind, about, content, words "
            "FROM entry JOIN act ON act.id = entry.act "
            "WHERE container = ? AND act NOT IN "
            "(SELECT corrects FROM act WHERE corrects IS NOT NULL)",
            (container,),
        )
        return [_entry(row) for row in rows]

    def _container(self, name: str) -> int:
        row = self._db.execute("SELECT id FROM container WHERE name = ?", (name,)).fetchone()
        if row is None:
            known = ", ".join(one[0] for one in self._db.execute("SELECT name FROM container"))
            raise LogFault(
                f"{self.file}: no container is called `{name}`. "
                + (f"Known are: {known}." if known else "`bowlside log know CASE` makes one known.")
            )
        return int(row[0])

    @contextmanager
    def _writing(self) -> Iterator[None]:
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise


@contextmanager
def opened(file: Path, *, create: bool = True) -> Iterator[Store]:
    """The log in a file; a new one is made unless `create` is false. Raises LogFault."""
    if not create and not file.exists():
        raise LogFault(f"{file}: there is no log yet. `bowlside log know CASE` begins one.")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise LogFault(
            f"{file}: its folder cannot be made ({reason}). Choose with --log."
        ) from None
    with told_plainly(file):
        connection = sqlite3.connect(file, timeout=PATIENCE_S, isolation_level=None)
        try:
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA synchronous = FULL")
            bring_up_to_date(connection, str(file))
            yield Store(connection, file)
        finally:
            connection.close()


def _entry(row: tuple[Any, ...]) -> Entry:
    number, act, entered_at, kind, about, content, words = row
    at = datetime.fromisoformat(about) if about else None
    jot = Jot(cast(Kind, kind), at, json.loads(content), words)
    return Entry(number, act, datetime.fromisoformat(entered_at), jot)


def _stamp(moment: datetime) -> str:
    return moment.replace(tzinfo=None).isoformat(" ", "seconds")


def _json(content: dict[str, Any]) -> str:
    return json.dumps(content, ensure_ascii=False, sort_keys=True)
