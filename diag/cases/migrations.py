"""The shape of the store, as ordered steps that each store remembers having taken.

A step that has once been shipped is never changed; a new shape is a new step at the end.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from diag.errors import StoreError

if TYPE_CHECKING:
    from sqlite3 import Connection

APPLICATION_ID = 0x62747231
"""Marks a SQLite file as a store of ours; "btr1" in ASCII."""

MIGRATIONS: Mapping[str, tuple[str, ...]] = {
    "2026_11_events": (
        """
        CREATE TABLE events (
            case_id TEXT NOT NULL,
            number INTEGER NOT NULL CHECK (number > 0),
            kind TEXT NOT NULL,
            at TEXT NOT NULL,
            body TEXT NOT NULL,
            PRIMARY KEY (case_id, number)
        ) WITHOUT ROWID
        """,
        # Append-only, whoever writes.
        "CREATE TRIGGER never_changed BEFORE UPDATE ON events "
        "BEGIN SELECT RAISE(ABORT, 'events are never changed'); END",
        "CREATE TRIGGER never_deleted BEFORE DELETE ON events "
        "BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END",
    ),
}


def migrate(connection: Connection) -> None:
    """Take the steps that the store has not taken; the caller holds the write transaction.

    Raises:
        StoreError: the file belongs to another program, or a newer version has written it.
    """
    if _is_empty(connection):
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("CREATE TABLE migrations (name TEXT PRIMARY KEY) WITHOUT ROWID")
    elif _application_id(connection) != APPLICATION_ID:
        raise StoreError(
            "This is a database of another program.", do="Name another file for the store."
        )
    taken = {name for (name,) in connection.execute("SELECT name FROM migrations")}
    if taken - set(MIGRATIONS):
        raise StoreError(
            "A newer version of benchtrail has written this store.", do="Update benchtrail."
        )
    for name, statements in MIGRATIONS.items():
        if name not in taken:
            for statement in statements:
                connection.execute(statement)
            connection.execute("INSERT INTO migrations VALUES (?)", (name,))


def is_current(connection: Connection) -> bool:
    """Whether there is nothing to do; needs no write lock."""
    if _application_id(connection) != APPLICATION_ID:
        return False
    taken = {name for (name,) in connection.execute("SELECT name FROM migrations")}
    return taken == set(MIGRATIONS)


def _application_id(connection: Connection) -> int:
    return int(connection.execute("PRAGMA application_id").fetchone()[0])


def _is_empty(connection: Connection) -> bool:
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    return tables == 0 and _application_id(connection) == 0
