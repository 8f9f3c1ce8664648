"""What strip-down has come to: minutes, trays, and the thing that an event took off."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import partial
from typing import TYPE_CHECKING, Any

from diag.cases.events import Opened
from diag.cases.fold import CaseState
from diag.cases.taken_apart import MOST, PutBack, Return, TakenOff, Thing
from diag.errors import CaseError, UnknownId
from diag.model.book import Book
from diag.model.nearest import nearest
from diag.planning.access import closing
from diag.session.minutes import minutes_of
from diag.trail.loose import Loose, StrippedLayer, stripped

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class OpenMinutes:
    """Minutes by the book: spent on opening so far, and owed until the deck is closed."""

    spent: float
    owed: float


def open_minutes(book: Book, state: CaseState) -> OpenMinutes:
    """What opening has cost, and what closing will."""
    spent = sum(minutes_of(book, event) for _, event in state.live if isinstance(event, Opened))
    return OpenMinutes(spent, closing(book, [n for n in state.open_layers if n in book.layers]))


def taken_off_by(book: Book, state: CaseState, number: int) -> Loose:
    """What the event of this number took off.

    Raises:
        CaseError: that event took nothing off, or was taken back.
    """
    things = (thing for layer in stripped(book, state) for thing in layer.things)
    found = next((thing for thing in things if thing.number == number), None)
    if found is None:
        raise CaseError(
            "It took nothing off.", where=f"event {number}", do="Name one that took something off."
        )
    return found


def tray_at(layers: tuple[StrippedLayer, ...], layer: str) -> int:
    """The tray in use at a layer: that of the last thing there, else the first empty one."""
    trays = [
        (thing.number, thing.taken.tray)
        for each in layers
        for thing in each.things
        if thing.taken.tray and each.id == layer
    ]
    return max(trays)[1] if trays else empty_tray(layers)


def empty_tray(layers: tuple[StrippedLayer, ...]) -> int:
    """The first tray behind all that were used."""
    used = [thing.taken.tray for layer in layers for thing in layer.things]
    return min(1 + max(used, default=0), MOST)


def take_off(session: Session, layer: str, what: Thing, **told: Any) -> Snapshot:
    """Write down what came off or out of place at a layer; `told` are fields of `TakenOff`."""
    if layer not in session.book.layers:
        raise UnknownId(f"the book has no layer '{layer}'.", do=nearest(layer, session.book.layers))
    return session.write(partial(TakenOff, layer, what, **told))


def say_anew(session: Session, number: int, **told: Any) -> Snapshot:
    """Correct what an event says was taken off."""
    taken = taken_off_by(session.book, session.snapshot.state, number).taken
    changed = {**_fields(taken), **told, "corrects": number}
    return session.write(partial(TakenOff, **changed))


def put_back(session: Session, number: int, count: int, how: Return = "back") -> Snapshot:
    """Write down what became of some of the things that an event took off.

    Raises:
        CaseError: so many are not left of them.
    """
    left = taken_off_by(session.book, session.snapshot.state, number).left
    if count > left:
        raise CaseError(
            f"Only {left} of them {'is' if left == 1 else 'are'} left.",
            where=f"event {number}",
            do="Count again, or correct how many came off.",
        )
    return session.write(partial(PutBack, number, count, how))


def _fields(taken: TakenOff) -> dict[str, Any]:
    return {field.name: getattr(taken, field.name) for field in fields(taken) if field.name != "at"}
