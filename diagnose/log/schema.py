"""The tables of a log, version by version. Only ever add a step; a step that was is not changed."""

from __future__ import annotations

import sqlite3

from diagnose.log.faults import LogFault

#: Marks an SQLite file as a log of this program ("bwls" in ASCII).
APPLICATION_ID = 0x62776C73
#: The steps: number n of this list brings a log of schema n to schema n + 1.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE container (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE CHECK (name <> '')
        ) STRICT""",
        """CREATE TABLE description (
            id INTEGER PRIMARY KEY,
            container INTEGER NOT NULL REFERENCES container (id),
            entered_at TEXT NOT NULL,
            about TEXT NOT NULL,
            content TEXT NOT NULL CHECK (json_valid(content))
        ) STRICT""",
        """CREATE TABLE act (
            id INTEGER PRIMARY KEY,
            container INTEGER NOT NULL REFERENCES container (id),
            entered_at TEXT NOT NULL,
            corrects INTEGER REFERENCES act (id)
        ) STRICT""",
        """CREATE TABLE entry (
            id INTEGER PRIMARY KEY,
            act INTEGER NOT NULL REFERENCES act (id),
            kind TEXT NOT NULL
                CHECK (kind IN ('reading', 'event', 'count', 'death', 'sign', 'note')),
            about TEXT,
            content TEXT NOT NULL CHECK (json_valid(content)),
            words TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX act_of_container ON act (container)",
        "CREATE UNIQUE INDEX corrected_once ON act (corrects) WHERE corrects IS NOT NULL",
        "CREATE INDEX entry_of_act ON entry (act)",
        *(
            f"CREATE TRIGGER {table}_stays_{deed.lower()} BEFORE {deed} ON {table} "
            "BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END"
            for table in ("container", "description", "act", "entry")
            for deed in ("UPDATE", "DELETE")
        ),
    ),
    (
        """CREATE TABLE mapping (
            id INTEGER PRIMARY KEY,
            header TEXT NOT NULL,
            entered_at TEXT NOT NULL,
            holds TEXT NOT NULL CHECK (json_valid(holds))
        ) STRICT""",
        *(
            f"CREATE TRIGGER mapping_stays_{deed.lower()} BEFORE {deed} ON mapping "
            "BEGIN SELECT RAISE(ABORT, 'a log is only added to'); END"
            for deed in ("UPDATE", "DELETE")
        ),
    ),
)
#: The tables with their columns, in an order in which each points only to those before it.
TABLES = {
    "container": ("id", "name"),
    "description": ("id", "container", "entered_at", "about", "content"),
    "act": ("id", "container", "entered_at", "corrects"),
    "entry": ("id", "act", "kind", "about", "content", "words"),
    "mapping": ("id", "header", "entered_at", "holds"),
}
NEWEST = len(STEPS)


def bring_up_to_date(connection: sqlite3.Connection, file: str) -> None:
    """Makes the tables of a new log, or brings an older log to the newest schema, in one
    transaction. Raises LogFault for a newer one and for a file that is no log.
    """
    version = _version(connection, file)
    if version == NEWEST:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        for step in STEPS[_version(connection, file) :]:  # another terminal may have been first
            for statement in step:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {NEWEST}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _version(connection: sqlite3.Connection, file: str) -> int:
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = int(connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if mark != APPLICATION_ID and (mark or version or tables):
        raise LogFault(f"{file}: this is a database of something else. Name another with --log.")
    if version > NEWEST:
        raise LogFault(
            f"{file}: this log was written by a newer bowlside (schema {version}, this one reads "
            f"up to {NEWEST}). Update bowlside; the log was not touched."
        )
    return version
