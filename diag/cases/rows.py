"""What the store's one table is asked and told; every function is given the connection."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from diag.cases.codec import dump_event, kind_of, load_event, time_text, told_at
from diag.cases.events import Event, TakenIn
from diag.cases.fold import live_events
from diag.cases.text import check_line
from diag.errors import CaseError, StoreError

if TYPE_CHECKING:
    from sqlite3 import Connection


@dataclass(frozen=True, slots=True)
class CaseSummary:
    """A case on the shelf; `events` counts them all, struck ones and strikes too."""

    id: str
    name: str
    family: str
    created: datetime
    touched: datetime
    events: int


def insert(connection: Connection, case_id: str, number: int, event: Event) -> None:
    """Write one event."""
    connection.execute(
        "INSERT INTO events (case_id, number, kind, at, body) VALUES (?, ?, ?, ?, ?)",
        (case_id, number, kind_of(event), time_text(event.at), dump_event(event)),
    )


def last_number_or_none(connection: Connection, case_id: str) -> int | None:
    """The number of a case's last event; None when there is no such case."""
    check_line(case_id, "id of the case")
    query = "SELECT max(number) FROM events WHERE case_id = ?"
    last: int | None = connection.execute(query, (case_id,)).fetchone()[0]
    return last


def last_number(connection: Connection, case_id: str) -> int:
    """The same; raises `CaseError` when there is no such case."""
    last = last_number_or_none(connection, case_id)
    if last is None:
        raise CaseError(
            "There is no such case in this store.",
            where=case_id,
            do="Look up its id in the list of cases.",
        )
    return last


def events_of(connection: Connection, case_id: str) -> tuple[Event, ...]:
    """All events of a case; raises `StoreError` when one is missing between others."""
    last = last_number(connection, case_id)
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


def summaries(connection: Connection) -> list[CaseSummary]:
    """Every case, in no order."""
    counts = connection.execute("SELECT case_id, count(*) FROM events GROUP BY case_id").fetchall()
    return [_summary(connection, case_id, count) for case_id, count in counts]


def _summary(connection: Connection, case_id: str, count: int) -> CaseSummary:
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


def same_case(connection: Connection, events: Sequence[Event]) -> str | None:
    """The id of a case that has exactly these events."""
    candidates = connection.execute(
        "SELECT case_id FROM events WHERE number = 1 AND at = ?", (time_text(events[0].at),)
    ).fetchall()
    return next((name for (name,) in candidates if events_of(connection, name) == events), None)
