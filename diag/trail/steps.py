"""The steps of a trail: every event with its cautions, thumbs and the ranking around it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diag.cases.codec import kind_of
from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
    Event,
    Measured,
    Opened,
    Remedied,
    Struck,
    SymptomTold,
)
from diag.cases.fold import CaseState
from diag.model.book import Book
from diag.model.check import Check
from diag.model.layer import Layer
from diag.model.remedy import Remedy
from diag.trail.trail import Belief, CautionTold, ThumbTold, TrailStep
from diag.trail.words import event_words

TOP = 5
"""Causes told around each step."""


def steps_of(
    book: Book,
    events: Sequence[Event],
    state: CaseState,
    beliefs: Mapping[int, tuple[Belief, ...]],
    minutes: Mapping[int, float],
) -> tuple[TrailStep, ...]:
    """One step for each event, in order.

    Args:
        book: the book of today.
        events: all events, numbered from 1 by their place.
        state: what they fold to.
        beliefs: the ranking after an event by its number, and by 0 the one before all; an event
            without one has moved nothing.
        minutes: what each event took; one without took none.
    """
    live = {number for number, _ in state.live}
    steps, before = [], beliefs.get(0, ())
    for number, event in enumerate(events, start=1):
        after = beliefs.get(number, before)
        moved = after != before
        steps.append(
            TrailStep(
                number=number,
                at=event.at,
                kind=kind_of(event),
                says=event_words(book, events, number),
                sure=getattr(event, "sure", ""),
                minutes=minutes.get(number, 0.0),
                struck=number not in live and not isinstance(event, Struck),
                before=before[:TOP] if moved else (),
                after=after[:TOP] if moved else (),
                cautions=_cautions(book, state, number, event),
                thumbs=_thumbs(book, event),
                is_addition=_is_addition(book, event),
            )
        )
        before = after
    return tuple(steps)


def thumb_told(book: Book, name: str) -> ThumbTold:
    """A thumb with where it comes from."""
    thumb = book.thumbs[name]
    source = book.sources[thumb.source]
    return ThumbTold(thumb.says, source.standing, source.title, thumb.origin.is_addition)


def _entries(book: Book, event: Event) -> tuple[Check | Remedy | Layer, ...]:
    """What the event is about, as far as the book has it."""
    found: Sequence[Check | Remedy | Layer | None] = ()
    match event:
        case Remedied():
            found = [book.remedies.get(event.remedy)]
        case Opened():
            found = [book.layers.get(event.layer)]
        case Answered() | Measured():
            found = [book.checks.get(event.check)]
        case Captured():
            found = [book.checks.get(reading.check) for reading in event.readings]
    return tuple(entry for entry in found if entry is not None)


def _is_addition(book: Book, event: Event) -> bool:
    if isinstance(event, SymptomTold):
        symptom = book.symptoms.get(event.symptom)
        return symptom is not None and symptom.origin.is_addition
    return any(entry.origin.is_addition for entry in _entries(book, event))


def _cautions(book: Book, state: CaseState, number: int, event: Event) -> tuple[CautionTold, ...]:
    """The cautions that stand before the step, and those that were read for it besides."""
    read = [
        (told.caution, told.before)
        for at, told in state.live
        if isinstance(told, Acknowledged) and at < number
    ]
    told = [each for entry in _entries(book, event) for each in _cautions_of(book, entry, read)]
    return tuple(dict.fromkeys(told))


def _cautions_of(
    book: Book, entry: Check | Remedy | Layer, read: Sequence[tuple[str, str]]
) -> Iterator[CautionTold]:
    # A layer is opened on the way to a step, and its dangers are read before that step.
    here = [name for name, before in read if before == entry.id or isinstance(entry, Layer)]
    besides = [name for name, before in read if before == entry.id and name in book.cautions]
    for name in dict.fromkeys((*entry.cautions, *besides)):
        caution = book.cautions[name]
        yield CautionTold(caution.says, caution.severity, caution.id in here)


def _thumbs(book: Book, event: Event) -> tuple[ThumbTold, ...]:
    names = [
        name
        for entry in _entries(book, event)
        if not isinstance(entry, Layer)
        for name in entry.cites
    ]
    return tuple(thumb_told(book, name) for name in dict.fromkeys(names))
