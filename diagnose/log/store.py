"""The log on disk: one SQLite file to which entries are only ever added.

What a keeper enters at once is an act; it is kept whole or not at all, and is on disk when `keep`
returns. A correction is a further act that points to the old one.
"""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from diagnose.log.entry import Described, Entry, Jot, Kind
from diagnose.log.faults import LogFault, told_plainly
from diagnose.log.schema import NEWEST, TABLES, bring_up_to_date

#: How long a writer waits for another one, s: nobody at a terminal is kept longer than a second.
PATIENCE_S = 0.9
#: The word by which an archive is known.
ARCHIVE = "bowlside log"


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

    def mapping(self, header: str) -> dict[str, str]:
        """What the columns of a table with this header were last said to hold."""
        with told_plainly(self.file):
            row = self._db.execute(
                "SELECT holds FROM mapping WHERE header = ? ORDER BY id DESC LIMIT 1", (header,)
            ).fetchone()
        return dict(json.loads(row[0])) if row else {}

    def take_new(
        self, name: str, jots: Sequence[Jot], header: str, holds: dict[str, str], *, now: datetime
    ) -> int:
        """Keeps, as one act, those jots that the log does not hold yet, and what the columns of
        their table hold; how many were new. Raises LogFault.
        """
        with told_plainly(self.file), self._writing():
            container = self._container(name)
            there = Counter(_content(entry.jot) for entry in self._entries(container))
            new: list[Jot] = []
            for jot in jots:
                if there[_content(jot)] > 0:
                    there[_content(jot)] -= 1
                else:
                    new.append(jot)
            if new:
                self._enter(container, new, now=now, corrects=None)
            if self.mapping(header) != holds:
                self._db.execute(
                    "INSERT INTO mapping (header, entered_at, holds) VALUES (?, ?, ?)",
                    (header, _stamp(now), _json(holds)),
                )
            return len(new)

    def packed(self) -> str:
        """The whole log as text: a first line that says what it is, then one row a line."""
        lines = [json.dumps({ARCHIVE: NEWEST})]
        with told_plainly(self.file):
            self._db.execute("BEGIN")
            for table, columns in TABLES.items():
                rows = self._db.execute(f"SELECT {', '.join(columns)} FROM {table} ORDER BY id")
                lines += [json.dumps([table, *row], ensure_ascii=False) for row in rows]
            self._db.execute("COMMIT")
        return "\n".join(lines) + "\n"

    def unpack(self, text: str) -> None:
        """Fills an empty log from an archive, whole or not at all. Raises LogFault."""
        first, *rest = text.removesuffix("\n").split("\n")
        try:
            version = int(json.loads(first)[ARCHIVE])
            rows = [json.loads(line) for line in rest]
        except (ValueError, KeyError, TypeError):
            raise LogFault("the archive: this is no archive of a log, or it is damaged.") from None
        if version > NEWEST:
            raise LogFault("the archive: it was written by a newer bowlside. Update bowlside.")
        with told_plainly(self.file), self._writing():
            if self._db.execute("SELECT 1 FROM container").fetchone():
                raise LogFault(f"{self.file}: this log is not empty. Name a new one with --log.")
            for number, row in enumerate(rows, start=2):
                self._unpack_row(row, f"the archive, line {number}")

    def _unpack_row(self, row: Any, place: str) -> None:
        columns = TABLES.get(str(row[0])) if isinstance(row, list) and row else None
        if columns is None or len(row) != len(columns) + 1:
            raise LogFault(f"{place}: this is no row of a log.")
        marks = ", ".join("?" * len(columns))
        try:
            self._db.execute(
                f"INSERT INTO {row[0]} ({', '.join(columns)}) VALUES ({marks})", row[1:]
            )
        except (sqlite3.IntegrityError, sqlite3.ProgrammingError, OverflowError) as error:
            raise LogFault(f"{place}: {error}.") from None

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


def _content(jot: Jot) -> tuple[str, str | None, str]:
    return jot.kind, _stamp(jot.at) if jot.at else None, _json(jot.content)


def _json(content: dict[str, Any]) -> str:
    return json.dumps(content, ensure_ascii=False, sort_keys=True)
