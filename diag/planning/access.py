"""What it costs to get at a layer, and to get back out."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from diag.model.book import Book


@dataclass(frozen=True, slots=True)
class Access:
    """The layers to open on the way, outermost first, and the minutes of opening and closing them.

    The closing is counted when a layer is opened, since from then on it is owed.
    """

    opens: tuple[str, ...]
    minutes: float


def access(book: Book, open_layers: Collection[str], layer: str) -> Access:
    """The way to a layer from what is open now."""
    opens = tuple(name for name in book.ways[layer] if name not in open_layers)
    return Access(opens, sum(round_trip(book, name) for name in opens))


def round_trip(book: Book, layer: str) -> float:
    """Minutes to open a layer and to close it again."""
    return book.layers[layer].open_minutes + book.layers[layer].close_minutes


def closing(book: Book, open_layers: Collection[str]) -> float:
    """Minutes until a deck that is open to these layers is closed."""
    return sum(book.layers[name].close_minutes for name in open_layers)


def closing_order(book: Book, open_layers: Collection[str]) -> tuple[str, ...]:
    """The open layers, innermost first."""
    return tuple(sorted(open_layers, key=lambda name: -len(book.ways[name])))
