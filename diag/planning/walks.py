"""Authored walks: where the answers so far have led."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from itertools import dropwhile

from diag.model.book import Book
from diag.model.figures import Name
from diag.model.history import History, Mended, Opened
from diag.model.symptom import Symptom, WalkStep
from diag.model.trait import Deck, fits
from diag.planning.open_questions import answers, last_words, pointless


@dataclass(frozen=True, slots=True)
class Led:
    """The step that a symptom's walk has come to."""

    symptom: str
    step: WalkStep


def walk_step(
    book: Book, deck: Deck, history: History, put_aside: Collection[str] = ()
) -> Led | None:
    """The next step of the first symptom whose walk still has one.

    A walk ends where no branch was written for an answer, at a check that doesn't fit the deck,
    that was put aside, that there is no point in now, or whose answer a repair has put in question;
    and with the complaint, once nothing of it is found after a repair. An opening puts no answer in
    question here: the walk itself leads through it, and its author knew.
    """
    closed = tuple(step for step in history.steps if not isinstance(step, Opened))
    standing = answers(book, replace(history, steps=closed)).standing
    out, gone = pointless(book, history).union(put_aside), _gone_since_a_repair(book, history)
    for name in history.symptoms:
        symptom = book.symptoms.get(name)
        step = book.walks[symptom.walk] if symptom and symptom.walk else None
        while step is not None and step.check in standing:
            step = step.then.get(Name(standing[step.check].answer))
        if step is None or step.check in out or _is_over(symptom, gone):
            continue
        asked_before = any(getattr(done, "check", None) == step.check for done in history.steps)
        if not asked_before and fits(book.checks[step.check].where, deck.traits):
            return Led(name, step)
    return None


def _is_over(symptom: Symptom | None, gone: set[str]) -> bool:
    """Whether nothing is left of a complaint."""
    return symptom is not None and bool(symptom.signs) and gone.issuperset(symptom.signs)


def _gone_since_a_repair(book: Book, history: History) -> set[str]:
    """Signs that the last word on them since the first repair calls absent."""
    since = dropwhile(lambda step: not isinstance(step, Mended), history.steps)
    return {sign for sign, is_there in last_words(book, since).items() if not is_there}
