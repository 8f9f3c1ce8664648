"""Which remedies a list of capacitors amounts to, and which causes they mend."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diag.model.remedy import Renews
from diag.model.trait import Where, fits
from diag.session.words import ranked_chance
from diag.workshop.told import Renewed

if TYPE_CHECKING:
    from diag.session.assessment import RankedCause
    from diag.session.snapshot import Snapshot

GENERIC = frozenset(("board", "amplifier", "stage", "the", "of", "pcb", "circuit"))
"""Words of a board's name that tell it from no other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Covered:
    """A remedy whose capacitors are on a list.

    Args:
        remedy: its id.
        references: of the capacitors that belong to it.
        board: where they must be for that, as long as the list doesn't say where they are.
        causes: what it mends in this deck, the likeliest first.
    """

    remedy: str
    references: tuple[str, ...]
    board: str
    causes: tuple[RankedCause, ...]

    @property
    def causes_in_words(self) -> str:
        """Each cause with its probability."""
        return "; ".join(f"{cause.says} ({ranked_chance(cause)})" for cause in self.causes)


def covered(snapshot: Snapshot, renewed: Sequence[Renewed]) -> tuple[Covered, ...]:
    """The remedies that a list covers, those for the likeliest causes first.

    A remedy is covered by the capacitors at one of its places, on its board if the list tells
    boards. What mends nothing this deck can have, or what is mended already, is left out; of
    several that mend the same, one stands for all.
    """
    book, found = snapshot.book, snapshot.assessment
    done = {step.remedy for step in snapshot.state.remedies}
    mended = {book.mends[name] for name in done if name in book.remedies}
    told: dict[tuple[str, ...], tuple[int, Covered]] = {}
    for remedy in book.remedies.values():
        if remedy.renews is None or book.mends[remedy.id] in mended:
            continue
        if not fits(remedy.where, snapshot.state.deck.traits):
            continue
        here = [each for each in renewed if _is_at(remedy.renews, each)]
        mends = set(book.mends[remedy.id])
        causes = tuple(cause for cause in (found.ranking if found else ()) if cause.id in mends)
        here = [each for each in here if each.board] or here
        if here and causes:
            one = Covered(
                remedy=remedy.id,
                references=tuple(name for each in here for name in each.references),
                board="" if any(each.board for each in here) else remedy.renews.board,
                causes=causes,
            )
            ids = tuple(cause.id for cause in causes)
            doubt = _doubt(remedy.where, snapshot.state.deck.traits)
            if ids not in told or doubt < told[ids][0]:
                told[ids] = doubt, one
    return tuple(sorted((one for _, one in told.values()), key=_rank))


def _rank(each: Covered) -> float:
    return -each.causes[0].probability


def _doubt(where: Where, known: Mapping[str, str]) -> int:
    """Of two ways to the same cure, that for this very deck goes first, then that for any."""
    if not where:
        return 1
    return 0 if all(trait in known for trait in where) else 2


def unknown_boards(snapshot: Snapshot, renewed: Iterable[Renewed]) -> tuple[str, ...]:
    """Boards of a list that no remedy of the book is for."""
    known = _boards(snapshot)
    boards = dict.fromkeys(each.board for each in renewed if each.board)
    return tuple(board for board in boards if not any(_alike(board, name) for name in known))


def boards_in_words(snapshot: Snapshot) -> str:
    """What the boards are called for which the book has a remedy."""
    return ", ".join(sorted(_boards(snapshot)))


def _boards(snapshot: Snapshot) -> set[str]:
    remedies = snapshot.book.remedies.values()
    return {each.renews.board for each in remedies if each.renews and each.renews.board}


def _is_at(renews: Renews, part: Renewed) -> bool:
    if part.place not in renews.places:
        return False
    return not part.board or not renews.board or _alike(part.board, renews.board)


def _alike(one: str, other: str) -> bool:
    """Whether two names may be of one board: the words of the shorter are among the longer's."""
    first, second = _words(one), _words(other)
    return bool(first and second) and (first <= second or second <= first)


def _words(board: str) -> set[str]:
    return {word for word in re.findall(r"\w+", board.casefold()) if word not in GENERIC}
