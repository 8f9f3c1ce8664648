"""The parts that a deck needs, and the order list of all decks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from diag.cases.events import Remedied
from diag.cases.fold import CaseState
from diag.cases.part_kept import PartKept, PartState
from diag.model.book import Book
from diag.workshop.sheet import Cell, as_csv

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.snapshot import Snapshot

TO_ORDER: tuple[PartState, ...] = ("wanted", "ordered", "arrived")
"""What an order list is about; the rest is done with."""
LIKELY_CAUSES = 8
"""For how many causes parts are offered."""
COLUMNS = ("case", "deck", "part", "for", "state", "count", "price", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """A part of a deck; `remedy` is an id, `work` what it says, both empty for other work.

    `is_kept` tells whether a person has said what became of it; else it follows from the remedy.
    """

    part: str
    remedy: str
    work: str
    state: PartState
    count: int = 1
    price: float | None = None
    note: str = ""
    is_kept: bool = False


@dataclass(frozen=True, slots=True)
class DeckPart:
    """A part on the order list, with its deck."""

    case: str
    deck: str
    line: PartLine


def parts_of(book: Book, state: CaseState) -> tuple[PartLine, ...]:
    """The parts of the remedies on the trail, then those that a person added.

    Until told otherwise, what a finished remedy took is fitted, and what one that was given up
    takes is wanted.
    """
    found: dict[tuple[str, str], PartLine] = {}
    for _, event in state.live:
        if isinstance(event, Remedied) and event.remedy in book.remedies:
            told: PartState = "fitted" if event.outcome == "done" else "wanted"
            entry = book.remedies[event.remedy]
            for part in entry.parts:
                line = PartLine(part=part, remedy=entry.id, work=entry.says, state=told)
                found[entry.id, part] = line
    for (remedy, part), kept in state.parts.items():
        work = book.remedies[remedy].says if remedy in book.remedies else remedy
        found[remedy, part] = PartLine(
            part=part,
            remedy=remedy,
            work=work,
            state=kept.state,
            count=kept.count,
            price=kept.price,
            note=kept.note,
            is_kept=True,
        )
    return tuple(found.values())


def offered_parts(snapshot: Snapshot) -> tuple[PartLine, ...]:
    """Parts of the remedies for the likeliest causes that are not on the list yet."""
    book, found = snapshot.book, snapshot.assessment
    ranking = found.ranking[:LIKELY_CAUSES] if found else ()
    here = {(line.remedy, line.part) for line in parts_of(book, snapshot.state)}
    names = dict.fromkeys(name for c in ranking for name in book.causes[c.id].mended_by)
    return tuple(
        PartLine(part=part, remedy=name, work=book.remedies[name].says, state="wanted")
        for name in names
        for part in book.remedies[name].parts
        if (name, part) not in here
    )


def part_words(line: PartLine) -> str:
    """`ordered 2 x belt, 4.50 each, for: Renew the belt (70 mm)`."""
    price = "" if line.price is None else f", {line.price:.2f} each"
    work = f", for: {line.work}" if line.work else ""
    note = f" ({line.note})" if line.note else ""
    return f"{line.state.replace('_', ' '):10} {line.count} x {line.part}{price}{work}{note}"


def cost(lines: Iterable[PartLine]) -> float:
    """The sum of the prices that are known."""
    return sum((line.price or 0.0) * line.count for line in lines if line.state != "not_needed")


def parts_csv(parts: Iterable[DeckPart]) -> bytes:
    """The list for a spreadsheet, which finds no formula in it."""
    rows: list[list[Cell]] = []
    for found in parts:
        line = found.line
        told = [line.part, line.work, line.state.replace("_", " ")]
        rows.append([found.case, found.deck, *told, float(line.count), line.price, line.note])
    return as_csv(COLUMNS, rows)


def keep_part(session: Session, line: PartLine) -> Snapshot:
    """Write down how a part stands."""
    return session.write(
        partial(PartKept, line.part, line.remedy, line.state, line.count, line.price, line.note)
    )
