"""What a case knows that the measurement of a recording asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from diag.cases.fold import CaseState
from diag.model.book import Book
from diag.session.of_deck import OfDeck, of_deck

if TYPE_CHECKING:
    # Only its name: screens use this before numpy is read in.
    from diag.measure.sound import Sound
    from diag.model.test_tape import TestTape

SPEED_KEY, SPEED_QUANTITY = "speed_error_percent", "speed_error"
DOUBT_KEY = "speed_error_otherwise_percent"
"""A recording with this figure does not tell which tone is on its tape."""
READ_WITHIN = 0.3
"""Half the 95 % interval, in percent, of a speed error read off a counter (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a person says besides a recording; None is not said. It counts before what a case knows.

    Attributes:
        tape: what the test tape holds, for the response; our own signals need none.
        nominal_hz: the tone that is on the tape.
        speed_error_percent: as in `Beside`.
        mains_hz: 50 or 60 where the deck stands.
        reference: a recording of the reference level, at the same setting of the recorder.
        reference_dbfs: or that level itself, in dB re a sine that fills the scale.
        card: the tone from the card's output into its input, for distortion.
        sizes: of turning parts, and the drive, by the keys of `diag.measure.geometry.Geometry`.
        channel: the one that is taken alone, from 0.
    """

    tape: TestTape | None = None
    nominal_hz: float | None = None
    speed_error_percent: tuple[float, float] | None = None
    mains_hz: float | None = None
    reference: Sound | None = None
    reference_dbfs: float | None = None
    card: Sound | None = None
    sizes: Mapping[str, Any] = field(default_factory=dict)
    channel: int | None = None


NOTHING_GIVEN = Given()


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What is known besides a recording; None is not known.

    Attributes:
        speed_error_percent: how much too fast the deck runs, and half the 95 % interval of that,
            for the azimuth.
        deck: its drive, its sizes and the mains, for flutter and hum.
        given: what a person said.
    """

    speed_error_percent: tuple[float, float] | None = None
    deck: OfDeck = OfDeck()
    given: Given = NOTHING_GIVEN


def beside(book: Book, state: CaseState, given: Given = NOTHING_GIVEN) -> Beside:
    """What a case knows, and what the person said."""
    found = max(_speed_errors(book, state), default=None)
    return Beside(
        speed_error_percent=found[1:] if found else None,
        deck=of_deck(book, state),
        given=given,
    )


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
