"""What a recording was found to hold: which checks it answers, and how a case keeps it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from diag.cases.events import Captured
from diag.measure.result import Measurement
from diag.model.book import Book
from diag.model.trait import Deck
from diag.session.listening import Heard
from diag.session.measured import (
    is_told,
    kept_curves,
    kept_figures,
    kept_likely,
    kept_name,
    readings_of,
)


def heard_of(book: Book, deck: Deck, found: Measurement, path: Path, asked: str) -> Heard:
    """What was found, with the checks that it answers, the one that was asked first.

    The recording is made: what it tells needs no cover off and puts no hand near a danger.
    """
    answered = [asked] if asked else []
    answered += [c for c, check in book.checks.items() if c != asked and is_told(check)]
    readings = readings_of(map(book.checks.__getitem__, answered), deck, found)
    return Heard(found.what, kept_name(path.name), found, readings)


def captured(at: datetime, heard: Heard, *, with_answers: bool) -> Captured:
    """The event that keeps what was heard, with the answers that it gives or without."""
    return Captured(
        at=at,
        what=heard.what,
        file=heard.file,
        figures=kept_figures(heard.found),
        curves=kept_curves(heard.found),
        remarks=heard.found.remarks,
        likely=kept_likely(heard.found),
        source=heard.found.source,
        readings=heard.readings if with_answers else (),
    )
