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
    cautions of every layer on its way and of every other that is open. Those that rules have
    `raised` count for it, too.
    """
    names: list[str] = list(step.cautions)
    way = book.ways[step.at]
    bare = (*way, *open_layers) if step.live else [name for name in way if name not in open_layers]
    for layer in bare:
        names += book.layers[layer].cautions
    if step.live:
        names += [caution for caution in raised if caution in book.cautions]
    return tuple(dict.fromkeys(names))
