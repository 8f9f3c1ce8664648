"""The log of one case: its events on disk, and the picture after each of them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from threading import RLock

from diag.cases.events import Event, Struck
from diag.cases.fold import live_events
from diag.cases.store import CaseStore
from diag.model.book import Book
from diag.rules.rulebook import Rulebook
from diag.session.picture import picture
from diag.session.snapshot import Snapshot


def now_utc() -> datetime:
    """The clock of a case, to the second."""
    return datetime.now(UTC).replace(microsecond=0)


class CaseLog:
    """Events of a case, written and taken back. Safe to call from several threads.

    Every call that changes the case writes its event to disk before it returns, and returns the
    new snapshot.
    """

    def __init__(
        self,
        store: CaseStore,
        case: str,
        book: Book,
        *,
        rulebook: Rulebook | None = None,
        clock: Callable[[], datetime] = now_utc,
    ) -> None:
        self.book = book
        self.case = case
        self._store = store
        self._rulebook = rulebook or Rulebook(book)
        self._clock = clock
        self._lock = RLock()
        self._events: list[Event] = list(store.events(case))
        self._snapshot = picture(book, self._rulebook, case, self._events, None)

    @property
    def snapshot(self) -> Snapshot:
        """The case as it stands."""
        return self._snapshot

    @property
    def events(self) -> tuple[Event, ...]:
        """Every event, struck ones included, numbered from 1 by their place."""
        return tuple(self._events)

    def reload(self) -> Snapshot:
        """Read the case anew, after another window has gone on with it."""
        with self._lock:
            self._events = list(self._store.events(self.case))
            return self._draw()

    def write(self, event: Callable[..., Event]) -> Snapshot:
        """Write an event that lacks nothing but its time (`at`)."""
        return self._add(event(at=self._clock()))

    def strike(self, event: int) -> Snapshot:
        """Take an event back; it stays in the log."""
        return self._add(Struck(at=self._clock(), event=event))

    def bring_back(self, event: int) -> Snapshot:
        """Take back the strike of an event; nothing happens when it is not struck."""
        for number, strike in live_events(tuple(enumerate(self._events, start=1))):
            if isinstance(strike, Struck) and strike.event == event:
                return self.strike(number)
        return self.snapshot

    def undo(self) -> Snapshot:
        """Take the last event back; nothing happens when there is none."""
        last = self.snapshot.state.to_undo
        return self.snapshot if last is None else self.strike(last)

    def redo(self) -> Snapshot:
        """Bring back what was last taken back; nothing happens when there is nothing."""
        last = self.snapshot.state.to_redo
        return self.snapshot if last is None else self.strike(last)

    def _add(self, event: Event) -> Snapshot:
        with self._lock:
            self._store.append(self.case, event, after=len(self._events))
            self._events.append(event)
            return self._draw()

    def _draw(self) -> Snapshot:
        last = self._snapshot.assessment
        self._snapshot = picture(self.book, self._rulebook, self.case, self._events, last)
        return self._snapshot
