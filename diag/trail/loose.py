"""What was taken off a deck and has not gone back on, layer by layer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diag.cases.fold import CaseState
from diag.cases.taken_apart import PutBack, Return, TakenOff
from diag.model.book import Book
from diag.model.words import layer_says


@dataclass(frozen=True, slots=True)
class Loose:
    """Things that one event took off; `number` is that of the event, and stands on their label.

    `returns` tells what became of them, in order.
    """

    number: int
    taken: TakenOff
    returns: tuple[PutBack, ...] = ()

    @property
    def left(self) -> int:
        """How many are not accounted for."""
        return max(0, self.taken.count - sum(event.count for event in self.returns))

    def returned(self, how: Return) -> int:
        """How many went this way."""
        return sum(event.count for event in self.returns if event.how == how)


@dataclass(frozen=True, slots=True, kw_only=True)
class StrippedLayer:
    """A layer with what was taken off there, in order; `depth` counts from 0, the closed deck."""

    id: str
    says: str
    depth: int
    is_open: bool
    things: tuple[Loose, ...]

    @property
    def loose(self) -> tuple[Loose, ...]:
        """What is not accounted for, the last one first: in the order of reassembly."""
        return tuple(thing for thing in reversed(self.things) if thing.left)


def stripped(book: Book, state: CaseState) -> tuple[StrippedLayer, ...]:
    """Every layer of the book, each after the one over it; then what it no longer has."""
    things = _things_by_layer(book, state)
    known = list(_in_order(book, book.outside))
    gone = [name for name in things if name not in book.layers]
    return tuple(
        StrippedLayer(
            id=name,
            says=layer_says(book, name),
            depth=len(book.ways.get(name, ())),
            is_open=name in state.open_layers,
            things=tuple(things.get(name, ())),
        )
        for name in (*known, *gone)
    )


def reassembly_order(layers: tuple[StrippedLayer, ...]) -> tuple[StrippedLayer, ...]:
    """The layers that are open or have something loose, the deepest first."""
    due = [layer for layer in layers if layer.is_open or layer.loose]
    return tuple(sorted(due, key=lambda layer: -layer.depth))


def _things_by_layer(book: Book, state: CaseState) -> Mapping[str, list[Loose]]:
    found: dict[str, list[Loose]] = {}
    for number, taken in state.taken_off.items():
        returns = tuple(event for _, event in state.put_back if event.item == number)
        found.setdefault(_now(book, taken.layer), []).append(Loose(number, taken, returns))
    return found


def _now(book: Book, layer: str) -> str:
    """The id that a layer has in the book of today; its old one if it has none."""
    name, retired = layer, book.retired.get("layers", {})
    for _ in range(len(retired)):
        name = retired.get(name, name)
    return name if name in book.layers else layer


def _in_order(book: Book, layer: str) -> Iterator[str]:
    yield layer
    for name, entry in book.layers.items():
        if entry.under == layer:
            yield from _in_order(book, name)
