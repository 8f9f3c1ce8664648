"""Which checks and remedies still make sense for a deck."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck, fits

TRIES = 3
"""How often a remedy is offered: whoever did the same thrice in vain does not count on it again.

Common practice. It also keeps a fault that the book doesn't know from being mended for ever as one
that it does: a leak of one in a thousand is less likely than four failures of a remedy."""


@dataclass(frozen=True, slots=True)
class Answers:
    """The answers of a history: which still stand, and which a later remedy has put in question."""

    standing: Mapping[str, Given]
    stale: Mapping[str, Given]


def answers(book: Book, history: History) -> Answers:
    """Sort the latest answer of each check.

    An answer is stale once a remedy was done after it that mends a cause of one of its signs, or a
    layer was opened whose opening can bring such a cause about: the deck may behave differently
    now, so the check is worth asking again.
    """
    latest: dict[str, Given] = {}
    stale: set[str] = set()
    for step in history.steps:
        if isinstance(step, Given):
            latest[step.check] = step
            stale.discard(step.check)
            continue
        touched = {s for c in _touched(book, step) for s in book.causes[c].shows}
        stale |= {
            check
            for check in latest
            if check in book.checks and touched & set(book.checks[check].signs)
        }
    return Answers(
        {check: given for check, given in latest.items() if check not in stale},
        {check: given for check, given in latest.items() if check in stale},
    )


def _touched(book: Book, step: Mended | Opened) -> Collection[str]:
    """The causes that a repair may have ended or an opening brought about."""
    if isinstance(step, Mended):
        return book.mends.get(step.remedy, ())
    return book.layers[step.layer].upsets if step.layer in book.layers else ()


def open_checks(
    book: Book, deck: Deck, history: History, put_aside: Collection[str] = ()
) -> tuple[str, ...]:
    """Checks that fit the deck, are not answered for good and were not put aside."""
    settled = {*answers(book, history).standing, *put_aside}
    return tuple(
        check.id
        for check in book.checks.values()
        if check.id not in settled and fits(check.where, deck.traits)
    )


def last_words(book: Book, steps: Iterable[Step]) -> dict[str, bool]:
    """What the latest answer that speaks of it says of each sign: whether it is there."""
    found: dict[str, bool] = {}
    for step in steps:
        if isinstance(step, Given) and step.check in book.checks:
            found |= book.checks[step.check].evidence.get(step.answer, {})
    return found


def told_there(book: Book, history: History) -> tuple[str, ...]:
    """The signs of which the last word says that they are there.

    That may be a complaint's, if it can mean no other sign. A remedy is no word: whether it helped
    is for an answer to say.
    """
    complaints = (book.symptoms[name].signs for name in history.symptoms if name in book.symptoms)
    told = {str(signs[0]): True for signs in complaints if len(signs) == 1}
    told |= last_words(book, history.steps)
    return tuple(sign for sign, is_there in told.items() if is_there)


def pointless(book: Book, history: History) -> frozenset[str]:
    """Checks that are not tried now, as a sign that bars them was said to be there."""
    there = told_there(book, history)
    return frozenset(check for sign in there for check in book.bars.get(sign, ()))


def open_remedies(
    book: Book, deck: Deck, history: History, done: Collection[str] = ()
) -> tuple[str, ...]:
    """Remedies that fit the deck and mend something.

    One that is in `done` is left out until something was looked at after it was last carried out:
    then the answers tell whether it worked, and it may be tried again, up to `TRIES` times in all.
    One that was given up, and so is in `done` but not in the history, stays out.
    """
    tried = Counter(step.remedy for step in history.steps if isinstance(step, Mended))
    worn_out = {remedy for remedy, times in tried.items() if times >= TRIES}
    out = ({*done} - _looked_at_since(history)) | worn_out
    return tuple(
        remedy.id
        for remedy in book.remedies.values()
        if remedy.id not in out and book.mends[remedy.id] and fits(remedy.where, deck.traits)
    )


def _looked_at_since(history: History) -> set[str]:
    """Remedies after whose last time something was answered."""
    found: set[str] = set()
    waiting: set[str] = set()
    for step in history.steps:
        if isinstance(step, Mended):
            waiting.add(step.remedy)
            found.discard(step.remedy)
        elif isinstance(step, Given):
            found |= waiting
            waiting.clear()
    return found
