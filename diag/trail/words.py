"""Events, answers and figures of a case in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import assert_never

from diag.cases.events import (
    Acknowledged,
    Answered,
    Closed,
    Event,
    Measured,
    Noted,
    Opened,
    Remedied,
    Struck,
    SymptomTold,
    TakenIn,
)
from diag.model.book import Book
from diag.model.words import answer_says, layer_says

SURE_WORDS = {"certain": "", "fairly": " (fairly sure)"}
NO_ANSWER = {"cant_tell": "Can't tell", "skipped": "Left for later"}


def event_words(book: Book, events: Sequence[Event], number: int) -> str:
    """What happened in the event of this number (counted from 1), in one line."""
    event = events[number - 1]
    match event:
        case TakenIn():
            return f"{'Taken in' if number == 1 else 'The deck told anew'}: {event.name}"
        case SymptomTold():
            symptom = book.symptoms.get(event.symptom)
            return f"The owner: {symptom.says if symptom else event.symptom}"
        case Answered() | Measured():
            return _answer_words(book, event)
        case Opened():
            return f"Opened: {layer_says(book, event.layer)}"
        case Closed():
            return f"Closed: {layer_says(book, event.layer)}"
        case Remedied():
            remedy = book.remedies.get(event.remedy)
            note = f" ({event.note})" if event.note else ""
            told = "Done" if event.outcome == "done" else "Given up"
            return f"{told}: {remedy.says if remedy else event.remedy}{note}"
        case Acknowledged():
            caution = book.cautions.get(event.caution)
            return f"Danger read: {caution.says if caution else event.caution}"
        case Noted():
            return f"Note: {event.text}"
        case Struck():
            back = isinstance(events[event.event - 1], Struck)
            return f"{'Brought back' if back else 'Took back'} event {struck_event(events, number)}"
        case _:
            assert_never(event)


def struck_event(events: Sequence[Event], number: int) -> int:
    """The event proper that a strike, or a strike of a strike, is about."""
    event = events[number - 1]
    while isinstance(event, Struck):
        number = event.event
        event = events[number - 1]
    return number


def _answer_words(book: Book, event: Answered | Measured) -> str:
    check = book.checks.get(event.check)
    ask = check.ask if check else event.check
    if event.sure == "cant_tell" or event.sure == "skipped":
        return f"{ask} {NO_ANSWER[event.sure]}."
    known = check is not None and event.answer in check.answers
    says = answer_says(check, event.answer) if check and known else event.answer
    value = ""
    if isinstance(event, Measured):
        value = f"{f'{event.value:g} {event.unit}'.strip()}, "
    return f"{ask} {value}{says}{SURE_WORDS[event.sure]}."
