"""Entries of a book, and chances, in words."""

from __future__ import annotations

from diag.model.advice import Caution
from diag.model.book import Book
from diag.model.check import Check
from diag.model.figures import Name


def layer_says(book: Book, layer: str) -> str:
    """What a layer is called."""
    entry = book.layers.get(layer)
    return (entry.says if entry else "") or layer.replace("_", " ")


def caution_says(caution: Caution) -> str:
    """The hazard and what to do about it."""
    return f"{caution.says} {caution.do}".strip()


def step_says(book: Book, kind: str, step: str) -> str:
    """What a check asks, or a remedy does."""
    return book.checks[step].ask if kind == "check" else book.remedies[step].says


def answer_says(check: Check, answer: str) -> str:
    """What an answer says; an answer without words is called by its id."""
    return check.answers[Name(answer)].says or answer.replace("_", " ").capitalize()


def chance_in_words(p: float) -> str:
    """A percentage that never claims certainty by rounding."""
    if p >= 0.995:
        return ">99 %" if p < 1 else "100 %"
    if 0 < p < 0.005:
        return "<1 %"
    return f"{p:.0%}".replace("%", " %")
