"""The case store: every event of every case, in one SQLite file.

Each operation has its own connection and each event its own transaction, with a write-ahead log
and full synchronisation: what `append` has returned for is on disk.
"""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from diag.cases.case_file import CaseFile, read_case_file, write_case_file
from diag.cases.codec import told_at
from diag.cases.events import Event, TakenIn
from diag.cases.fold import admit
from diag.cases.migrations import is_current, migrate
from diag.cases.rows import (
    CaseSummary,
    events_of,
    insert,
    last_number,
    last_number_or_none,
    same_case,
    summaries,
)
from diag.cases.text import visible
from diag.cases.troubles import explain, torn
from diag.errors import CaseError, StoreError

WAIT_S = 5.0
"""How long to wait for another window that is writing."""

# Without 0, 1, i, l and o, which are mistaken for each other on paper.
_ID_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Imported:
    """What became of a case file: the id of its case here, and whether it was here before."""

    case_id: str
    was_here: bool


def random_case_id() -> str:
    """A short id that hardly two of some thousands of cases anywhere share: `c-7kq3m`."""
    return "c-" + "".join(secrets.choice(_ID_LETTERS) for _ in range(5))


class CaseStore:
    """The cases in one file, which is made when it is not there.

    Every method raises `StoreError` when the file can't be read or written, and `CaseError` when
    the case is not there or an event does not fit it. Nothing is kept in memory between calls, so
    any number of windows may use one file.
    """

    def __init__(self, path: Path, *, new_id: Callable[[], str] = random_case_id) -> None:
        self.path = path
        self._new_id = new_id
        with _troubles_told(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            with _connection(path, mode="rwc") as connection:
                _check_whole(connection)
                if not is_current(connection):
                    with _transaction(connection, "BEGIN IMMEDIATE"):
                        migrate(connection)
                connection.execute("PRAGMA journal_mode = WAL")

    def create(self, intake: TakenIn) -> str:
        """Begin a case with its intake; returns the case's id."""
        with self._writing() as connection:
            case_id = self._free_id(connection)
            insert(connection, case_id, 1, intake)
        return case_id

    def append(self, case_id: str, event: Event, *, after: int) -> int:
        """Add an event and return its number; it is on disk by then.

        `after` is the number of the last event that the caller knows of. When another window has
        added one since, nothing is written and `CaseError` says so.
        """
        with self._writing() as connection:
            last = last_number(connection, case_id)
            if last != after:
                raise CaseError(
                    f"Another window has gone on with this case: it has {last} events, "
                    f"and {after} are shown here.",
                    where=case_id,
                    do="Open the case again, then repeat the step.",
                )
            with told_at(case_id):
                admit(event, last + 1)
            insert(connection, case_id, last + 1, event)
        return last + 1

    def events(self, case_id: str) -> tuple[Event, ...]:
        """All events of a case in order; the first has number 1."""
        with self._reading() as connection:
            return events_of(connection, case_id)

    def cases(self) -> tuple[CaseSummary, ...]:
        """Every case, the one touched last first."""
        with self._reading() as connection:
            found = summaries(connection)
        return tuple(sorted(found, key=lambda case: (case.touched, case.id), reverse=True))

    def import_file(self, path: Path) -> Imported:
        """Take in the case of a case file, as a case of its own.

        The case keeps its id if that is free. A case with exactly the same events is not taken in
        twice.
        """
        case = read_case_file(path)
        with self._writing() as connection:
            known = same_case(connection, case.events)
            if known is not None:
                return Imported(known, was_here=True)
            free = case.case_id and last_number_or_none(connection, case.case_id) is None
            case_id = case.case_id if free else self._free_id(connection)
            for number, event in enumerate(case.events, start=1):
                insert(connection, case_id, number, event)
        return Imported(case_id, was_here=False)

    def export_file(self, case_id: str, path: Path) -> None:
        """Write a case to a new case file.

        Raises:
            ExportError: there is such a file already, or it can't be written.
        """
        write_case_file(CaseFile(case_id, self.events(case_id)), path)

    def _reading(self) -> AbstractContextManager[sqlite3.Connection]:
        # In one transaction, so that all that is read is of one moment.
        return self._transaction("BEGIN")

    def _writing(self) -> AbstractContextManager[sqlite3.Connection]:
        return self._transaction("BEGIN IMMEDIATE")

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[sqlite3.Connection]:
        with (
            _troubles_told(self.path),
            _connection(self.path, mode="rw") as connection,
            _transaction(connection, begin),
        ):
            yield connection

    def _free_id(self, connection: sqlite3.Connection) -> str:
        while True:
            case_id = self._new_id()
            if last_number_or_none(connection, case_id) is None:
                return case_id


@contextmanager
def _troubles_told(path: Path) -> Iterator[None]:
    """Turn whatever goes wrong with the file into a `StoreError` that names it."""
    where = visible(str(path))
    try:
        yield
    except sqlite3.Error as error:
        found, do = explain(getattr(error, "sqlite_errorname", ""), str(error))
        raise StoreError(found, where=where, do=do) from error
    except StoreError as error:
        place = f"{where}, {error.where}" if error.where else where
        raise StoreError(error.found, where=place, do=error.do) from error
    except OSError as error:  # of making the folder; SQLite has its own errors
        raise StoreError(
            f"The folder of the case store can't be used: {error.strerror}.",
            where=where,
            do="Name a file in a folder that you may write to.",
        ) from error


@contextmanager
def _connection(path: Path, *, mode: str) -> Iterator[sqlite3.Connection]:
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    # Without an isolation level of its own the module begins no transaction behind our back.
    opened = sqlite3.connect(uri, uri=True, timeout=WAIT_S, isolation_level=None)
    with closing(opened) as connection:
        connection.execute("PRAGMA synchronous = FULL")
        yield connection


@contextmanager
def _transaction(connection: sqlite3.Connection, begin: str) -> Iterator[None]:
    connection.execute(begin)
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        # A full disk has rolled back by itself.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _check_whole(connection: sqlite3.Connection) -> None:
    found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        told, do = torn(str(found).splitlines()[0])
        raise StoreError(told, do=do)
