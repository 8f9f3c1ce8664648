"""The case store: every event of every case, in one SQLite file.

Each operation has its own connection and each event its own transaction, with a write-ahead log
and full synchronisation: what `append` has returned for is on disk.
"""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diag.cases.case_file import CaseFile, read_case_file, write_case_file
from diag.cases.codec import dump_event, kind_of, load_event, time_text, told_at
from diag.cases.events import Event, TakenIn
from diag.cases.fold import admit, live_events
from diag.cases.migrations import is_current, migrate
from diag.cases.text import check_line, visible
from diag.cases.troubles import explain, torn
from diag.errors import CaseError, StoreError

WAIT_S = 5.0
"""How long to wait for another window that is writing."""

# Without 0, 1, i, l and o, which are mistaken for each other on paper.
_ID_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class CaseSummary:
    """A case on the shelf; `events` counts them all, struck ones and strikes too."""

    id: str
    name: str
    family: str
    created: datetime
    touched: datetime
    events: int


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
            _insert(connection, case_id, 1, intake)
        return case_id

    def append(self, case_id: str, event: Event, *, after: int) -> int:
        """Add an event and return its number; it is on disk by then.

        `after` is the number of the last event that the caller knows of. When another window has
        added one since, nothing is written and `CaseError` says so.
        """
        with self._writing() as connection:
            last = _last_number(connection, case_id)
            if last != after:
                raise CaseError(
                    f"Another window has gone on with this case: it has {last} events, "
                    f"and {after} are shown here.",
                    where=case_id,
                    do="Open the case again, then repeat the step.",
                )
            with told_at(case_id):
                admit(event, last + 1)
            _insert(connection, case_id, last + 1, event)
        return last + 1

    def events(self, case_id: str) -> tuple[Event, ...]:
        """All events of a case in order; the first has number 1."""
        with self._reading() as connection:
            return _events(connection, case_id)

    def cases(self) -> tuple[CaseSummary, ...]:
        """Every case, the one touched last first."""
        with self._reading() as connection:
            found = [
                _summary(connection, case_id, count)
                for case_id, count in connection.execute(
                    "SELECT case_id, count(*) FROM events GROUP BY case_id"
                ).fetchall()
            ]
        return tuple(sorted(found, key=lambda case: (case.touched, case.id), reverse=True))

    def import_file(self, path: Path) -> Imported:
        """Take in the case of a case file, as a case of its own.

        The case keeps its id if that is free. A case with exactly the same events is not taken in
        twice.
        """
        case = read_case_file(path)
        with self._writing() as connection:
            known = _same_case(connection, case.events)
            if known is not None:
                return Imported(known, was_here=True)
            free = case.case_id and _last_number_or_none(connection, case.case_id) is None
            case_id = case.case_id if free else self._free_id(connection)
            for number, event in enumerate(case.events, start=1):
                _insert(connection, case_id, number, event)
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
            if _last_number_or_none(connection, case_id) is None:
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


def _insert(connection: sqlite3.Connection, case_id: str, number: int, event: Event) -> None:
    connection.execute(
        "INSERT INTO events (case_id, number, kind, at, body) VALUES (?, ?, ?, ?, ?)",
        (case_id, number, kind_of(event), time_text(event.at), dump_event(event)),
    )


def _last_number_or_none(connection: sqlite3.Connection, case_id: str) -> int | None:
    check_line(case_id, "id of the case")
    query = "SELECT max(number) FROM events WHERE case_id = ?"
    last: int | None = connection.execute(query, (case_id,)).fetchone()[0]
    return last


def _last_number(connection: sqlite3.Connection, case_id: str) -> int:
    last = _last_number_or_none(connection, case_id)
    if last is None:
        raise CaseError(
            "There is no such case in this store.",
            where=case_id,
            do="Look up its id in the list of cases.",
        )
    return last


def _events(connection: sqlite3.Connection, case_id: str) -> tuple[Event, ...]:
    last = _last_number(connection, case_id)
    rows = connection.execute(
        "SELECT number, body FROM events WHERE case_id = ? ORDER BY number", (case_id,)
    ).fetchall()
    if len(rows) != last:
        raise StoreError(
            f"Of {last} events only {len(rows)} are there.",
            where=case_id,
            do="Import the case from its latest export.",
        )
    return tuple(event for _, event in _decoded(case_id, rows))


def _decoded(case_id: str, rows: Iterable[tuple[int, str]]) -> Iterator[tuple[int, Event]]:
    for number, body in rows:
        with told_at(f"{case_id}, event {number}"):
            yield number, load_event(body)


def _summary(connection: sqlite3.Connection, case_id: str, count: int) -> CaseSummary:
    rows = connection.execute(
        "SELECT number, body FROM events WHERE case_id = ? "
        "AND (kind IN ('taken_in', 'struck') OR number = ?) ORDER BY number",
        (case_id, count),
    ).fetchall()
    events = tuple(_decoded(case_id, rows))
    intakes = [event for _, event in live_events(events) if isinstance(event, TakenIn)]
    return CaseSummary(
        case_id,
        intakes[-1].name,
        intakes[-1].family,
        created=events[0][1].at,
        touched=events[-1][1].at,
        events=count,
    )


def _same_case(connection: sqlite3.Connection, events: Sequence[Event]) -> str | None:
    candidates = connection.execute(
        "SELECT case_id FROM events WHERE number = 1 AND at = ?", (time_text(events[0].at),)
    ).fetchall()
    return next((name for (name,) in candidates if _events(connection, name) == events), None)
