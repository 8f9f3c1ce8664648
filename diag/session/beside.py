"""What a case knows that the measurement of a recording asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diag.cases.fold import CaseState
from diag.model.book import Book
from diag.session.of_deck import OfDeck, of_deck

if TYPE_CHECKING:
    from diag.model.test_tape import TestTape

SPEED_KEY, SPEED_QUANTITY = "speed_error_percent", "speed_error"
DOUBT_KEY = "speed_error_otherwise_percent"
"""A recording with this figure does not tell which tone is on its tape."""
READ_WITHIN = 0.3
"""Half the 95 % interval, in percent, of a speed error read off a counter (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What is known besides a recording; None is not known.

    Attributes:
        tape: what the test tape holds, for the response.
        speed_error_percent: how much too fast the deck runs, and half the 95 % interval of that,
            for the azimuth.
        deck: its drive, its sizes and the mains, for flutter and hum.
    """

    tape: TestTape | None = None
    speed_error_percent: tuple[float, float] | None = None
    deck: OfDeck = OfDeck()


def beside(book: Book, state: CaseState, tape: TestTape | None = None) -> Beside:
    """What a case knows, with the test tape that the person named."""
    found = max(_speed_errors(book, state), default=None)
    speed_error = found[1:] if found else None
    return Beside(tape=tape, speed_error_percent=speed_error, deck=of_deck(book, state))


def _speed_errors(book: Book, state: CaseState) -> Iterator[tuple[int, float, float]]:
    """Event, speed error and its uncertainty, of all since the last repair: that may change it.

    A recording that leaves the speed in doubt tells none.
    """
    repaired = max((step.event for step in state.remedies), default=0)
    for number, event in state.captures:
        if any(figure.key == DOUBT_KEY for figure in event.figures):
            continue
        for figure in event.figures:
            if figure.key == SPEED_KEY and number > repaired:
                yield number, figure.value, figure.uncertainty
    told = {number for number, _ in state.captures}
    for name, typed in state.measured.items():
        check, number = book.checks.get(name), state.answers[name].event
        asks = check is not None and check.measures and check.measures.quantity == SPEED_QUANTITY
        if asks and number > repaired and number not in told:
            yield number, typed.value, READ_WITHIN
