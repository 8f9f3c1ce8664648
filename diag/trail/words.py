"""Events, answers and figures of a case in words."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, isfinite, log10
from typing import assert_never

from diag.cases.captured import Reading
from diag.cases.events import (
    Acknowledged,
    Answered,
    Captured,
    Certainty,
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
from diag.cases.held_against import HeldAgainst
from diag.cases.part_kept import PartKept
from diag.cases.taken_apart import PutBack, TakenOff
from diag.model.book import Book
from diag.model.quantity import figure
from diag.model.trait import Deck
from diag.model.words import answer_says, layer_says
from diag.trail.loose_words import return_words, taken_words

SURE_WORDS = {"certain": "", "fairly": " (fairly sure)"}
MOST_DECIMALS = 4
"""Behind the point of a figure; no tape deck is worth more."""
DIGITS = 3
"""Of a figure whose uncertainty isn't known."""
NO_ANSWER = {"cant_tell": "Can't tell", "skipped": "Left for later"}


def event_words(book: Book, events: Sequence[Event], number: int) -> str:
    """What happened in the event of this number (counted from 1), in one line."""
    event = events[number - 1]
    match event:
        case TakenIn():
            return _taken_in_words(book, events, number)
        case SymptomTold():
            symptom = book.symptoms.get(event.symptom)
            return f"The owner: {symptom.says if symptom else event.symptom}"
        case Answered() | Measured() | Captured():
            return _answer_words(book, event)
        case Opened() | Closed():
            told = "Opened" if isinstance(event, Opened) else "Closed"
            return f"{told}: {layer_says(book, event.layer)}"
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
        case TakenOff() | PutBack() | PartKept() | HeldAgainst():
            return _kept_words(events, event)
        case Struck():
            back = isinstance(events[event.event - 1], Struck)
            return f"{'Brought back' if back else 'Took back'} event {struck_event(events, number)}"
        case _:
            assert_never(event)


def known_words(book: Book, deck: Deck) -> list[tuple[str, str]]:
    """What is known of a deck, in the book's words."""
    known = [] if deck.age_years is None else [("Age", f"{deck.age_years:g} years")]
    for name, value in deck.traits.items():
        ask = book.traits[name].ask if name in book.traits else name
        known.append((ask, value.replace("_", " ")))
    for name, fact in deck.facts.items():
        entry = book.facts.get(name)
        words = f"{fact:g} {entry.unit if entry else ''}" if isinstance(fact, float) else fact
        known.append((entry.ask if entry else name, words.strip()))
    return known


def _taken_in_words(book: Book, events: Sequence[Event], number: int) -> str:
    """The intake; of a later one, what it says otherwise than the one before."""
    first, *later = (event for event in events[:number] if isinstance(event, TakenIn))
    if not later:
        return f"Taken in: {first.name}"
    *_, before, now = first, *later
    was, known = dict(known_words(book, before.deck)), dict(known_words(book, now.deck))
    told = [f"{ask} {value}." for ask, value in known.items() if was.get(ask) != value]
    told += [f"{ask} Not known any more." for ask in was if ask not in known]
    told += ["The story of its owner."] if now.story != before.story else []
    return " ".join([f"The deck told anew: {now.name}.", *told])


def part_words(part: PartKept) -> str:
    """What became of a part: `Part ordered: 2 x belt, 4.50 each`."""
    which = f"{part.count} x {part.part}" if part.count > 1 else part.part
    price = "" if part.price is None else f", {part.price:.2f}{' each' * (part.count > 1)}"
    note = f" ({part.note})" if part.note else ""
    return f"Part {part.state.replace('_', ' ')}: {which}{price}{note}"


def _kept_words(events: Sequence[Event], event: TakenOff | PutBack | PartKept | HeldAgainst) -> str:
    if isinstance(event, HeldAgainst):
        return f"Figures held against: {event.says}"
    if isinstance(event, PartKept):
        return part_words(event)
    if isinstance(event, TakenOff):
        anew = f"Event {event.corrects} told anew" if event.corrects else "Taken off"
        return f"{anew}: {taken_words(event)}"
    item = events[event.item - 1] if event.item <= len(events) else None
    return return_words(event, item if isinstance(item, TakenOff) else None)


def figure_words(value: float, uncertainty: float, unit: str = "") -> str:
    """A figure as far as it is known: `-1.63 ± 0.02 %`; a bound, which has none, as `31.2 dB`.

    The uncertainty keeps one digit, two where the first is 1 or 2, and the value as many behind the
    point as that. It is rounded up, so that what is told is never narrower than what is known.
    """
    told = value_words(value, uncertainty)
    if not uncertainty:
        return f"{told} {unit}".strip()
    places = _places(uncertainty)
    steps = max(ceil(round(uncertainty * 10**places, 6)), 1)
    return f"{told} ± {steps / 10**places:.{places}f} {unit}".strip()


def value_words(value: float, uncertainty: float) -> str:
    """A value with no more digits than its uncertainty leaves it; without one, with three."""
    if not isfinite(value):
        return str(value)
    if not uncertainty:
        return figure(round(value, MOST_DECIMALS), DIGITS)
    places = _places(uncertainty)
    # Adding zero makes nothing of a minus before nothing.
    return f"{round(value, places) + 0.0:.{places}f}"


def _places(uncertainty: float) -> int:
    """Digits behind the point that an uncertainty above nought leaves."""
    power = floor(log10(uncertainty))
    digits = 1 if uncertainty >= 3 * 10.0**power else 2
    return min(max(digits - 1 - power, 0), MOST_DECIMALS)


def struck_event(events: Sequence[Event], number: int) -> int:
    """The event proper that a strike, or a strike of a strike, is about."""
    event = events[number - 1]
    while isinstance(event, Struck):
        number = event.event
        event = events[number - 1]
    return number


def _capture_words(book: Book, event: Captured) -> str:
    told = "; ".join(
        f"{figure.says} {figure_words(figure.value, figure.uncertainty, figure.unit)}"
        for figure in event.figures
    )
    answers = [
        _asked_words(book, r.check, _reading_value(event, r), r.answer, r.sure)
        for r in event.readings
    ]
    return " ".join([f"Recording of {event.what} ({event.file}): {told}.", *answers])


def _reading_value(event: Captured, reading: Reading) -> str:
    """The value of a reading, as far as the figure that it was taken from is known."""
    # A reading may be without the sign of its figure.
    within = (each.uncertainty for each in event.figures if abs(each.value) == abs(reading.value))
    return f"{value_words(reading.value, next(within, 0.0))} {reading.unit}".strip()


def _answer_words(book: Book, event: Answered | Measured | Captured) -> str:
    if isinstance(event, Captured):
        return _capture_words(book, event)
    # What a person has typed has the digits that they meant.
    value = f"{event.value:g} {event.unit}".strip() if isinstance(event, Measured) else ""
    return _asked_words(book, event.check, value, event.answer, event.sure)


def _asked_words(book: Book, name: str, value: str, answer: str, sure: Certainty) -> str:
    """What a check asked, and what was found."""
    check = book.checks.get(name)
    ask = check.ask if check else name
    if sure == "cant_tell" or sure == "skipped":
        return f"{ask} {NO_ANSWER[sure]}."
    says = answer_says(check, answer) if check and answer in check.answers else answer
    return f"{ask} {f'{value}, ' if value else ''}{says}{SURE_WORDS[sure]}."
