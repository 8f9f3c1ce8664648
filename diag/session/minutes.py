"""Minutes spent on a case, by the figures of the book."""

from __future__ import annotations

from diag.cases.events import Answered, Captured, Closed, Event, Measured, Opened, Remedied
from diag.cases.fold import CaseState
from diag.model.book import Book


def minutes_of(book: Book, event: Event) -> float:
    """What one event took; zero for what takes no time or is not in the book any more."""
    match event:
        case Captured():
            return sum(_minutes_of_check(book, reading.check) for reading in event.readings)
        case Measured():
            return _minutes_of_check(book, event.check)
        case Answered(sure=sure) if sure != "skipped":
            return _minutes_of_check(book, event.check)
        case Opened():
            layer = book.layers.get(event.layer)
            return layer.open_minutes if layer else 0.0
        case Closed():
            layer = book.layers.get(event.layer)
            return layer.close_minutes if layer else 0.0
        case Remedied():
            return book.remedies[event.remedy].minutes if event.remedy in book.remedies else 0.0
    return 0.0


def _minutes_of_check(book: Book, check: str) -> float:
    return book.checks[check].minutes if check in book.checks else 0.0


def minutes_spent(book: Book, state: CaseState) -> float:
    """The sum over all that still holds."""
    return sum(minutes_of(book, event) for _, event in state.live)
