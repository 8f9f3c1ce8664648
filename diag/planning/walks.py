"""Authored walks: where the answers so far have led."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from diag.model.book import Book
from diag.model.figures import Name
from diag.model.history import History, Opened
from diag.model.symptom import WalkStep
from diag.model.trait import Deck, fits
from diag.planning.open_questions import answers, pointless


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
    that was put aside, that there is no point in now, or whose answer a repair has put in question.
    An opening puts none in question here: the walk itself leads through it, and its author knew.
    """
    closed = tuple(step for step in history.steps if not isinstance(step, Opened))
    standing = answers(book, replace(history, steps=closed)).standing
    out = pointless(book, history).union(put_aside)
    for name in history.symptoms:
        symptom = book.symptoms.get(name)
        step = book.walks[symptom.walk] if symptom and symptom.walk else None
        while step is not None and step.check in standing:
            step = step.then.get(Name(standing[step.check].answer))
        if step is None or step.check in out:
            continue
        asked_before = any(getattr(done, "check", None) == step.check for done in history.steps)
        if not asked_before and fits(book.checks[step.check].where, deck.traits):
            return Led(name, step)
    return None
