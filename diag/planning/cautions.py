"""What must be read before a step."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from diag.model.book import Book
from diag.model.check import Check
from diag.model.remedy import Remedy


def cautions_before(
    book: Book, step: Check | Remedy, open_layers: Collection[str], raised: Iterable[str]
) -> tuple[str, ...]:
    """The cautions of a check or a remedy, and of the layers to open on its way.

    What an open layer lays bare can hurt again once the deck is powered: a live step repeats the
    cautions of every layer on its way, open or not. Those that rules have `raised` count for it,
    too.
    """
    names: list[str] = list(step.cautions)
    for layer in book.ways[step.at]:
        if step.live or layer not in open_layers:
            names += book.layers[layer].cautions
    if step.live:
        names += [caution for caution in raised if caution in book.cautions]
    return tuple(dict.fromkeys(names))


def cautions_within_reach(
    book: Book, step: Check | Remedy, open_layers: Collection[str]
) -> tuple[str, ...]:
    """The cautions of all that is open beside the way of a live step.

    They were read when it was opened, and stand by the step without being asked for again: one who
    has to say yes to the same danger thirty times no longer reads it.
    """
    beside = [layer for layer in open_layers if layer not in book.ways[step.at]]
    names = [name for layer in beside for name in book.layers[layer].cautions] if step.live else []
    return tuple(dict.fromkeys(names))
