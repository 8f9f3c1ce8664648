"""Situations of small books: what the planner would see after these steps."""

from __future__ import annotations

from collections.abc import Sequence

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import History, Mended, Step
from diag.model.trait import Deck
from diag.planning.next_step import NextStep
from diag.planning.situation import Situation


def situation(
    book: Book,
    *steps: Step,
    symptoms: tuple[str, ...] = (),
    open_layers: tuple[str, ...] = (),
    aside: frozenset[str] = frozenset(),
    given_up: frozenset[str] = frozenset(),
) -> Situation:
    """A deck of unknown make and age after these steps."""
    deck, history = Deck(), History(symptoms, steps)
    net = network(book, deck, history)
    done = given_up | {step.remedy for step in steps if isinstance(step, Mended)}
    return Situation(book, deck, history, net, solve(net), open_layers, aside, done)


def ids(steps: Sequence[NextStep]) -> list[str]:
    """What is done, in order."""
    return [step.id for step in steps]
