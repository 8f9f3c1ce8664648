"""The steps of a trail: every event with its cautions, thumbs and the ranking around it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diag.cases.codec import kind_of
from diag.cases.events import Acknowledged, Event, Opened, Remedied, Struck, SymptomTold
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


def _entry(book: Book, event: Event) -> Check | Remedy | Layer | None:
    """What the event is about, if the book has it."""
    if isinstance(event, Remedied):
        return book.remedies.get(event.remedy)
    if isinstance(event, Opened):
        return book.layers.get(event.layer)
    return book.checks.get(getattr(event, "check", ""))


def _is_addition(book: Book, event: Event) -> bool:
    symptom = book.symptoms.get(event.symptom) if isinstance(event, SymptomTold) else None
    entry = symptom or _entry(book, event)
    return entry is not None and entry.origin.is_addition


def _cautions(book: Book, state: CaseState, number: int, event: Event) -> tuple[CautionTold, ...]:
    """The cautions that stand before the step, and those that were read for it besides."""
    entry = _entry(book, event)
    if entry is None:
        return ()
    read = [
        (told.caution, told.before)
        for at, told in state.live
        if isinstance(told, Acknowledged) and at < number
    ]
    # A layer is opened on the way to a step, and its dangers are read before that step.
    here = [name for name, before in read if before == entry.id or isinstance(entry, Layer)]
    besides = [name for name, before in read if before == entry.id and name in book.cautions]
    return tuple(
        CautionTold(caution.says, caution.severity, caution.id in here)
        for caution in map(book.cautions.__getitem__, dict.fromkeys((*entry.cautions, *besides)))
    )


def _thumbs(book: Book, event: Event) -> tuple[ThumbTold, ...]:
    entry = _entry(book, event)
    if entry is None or isinstance(entry, Layer):
        return ()
    return tuple(thumb_told(book, name) for name in entry.cites)
