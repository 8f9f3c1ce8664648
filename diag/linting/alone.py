"""How a deck answers that has one cause alone, or none at all: from links and leaks only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.model.book import Book
from diag.model.check import Check

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Alone:
    """The chances of signs with one cause alone.

    Attributes:
        column: the number of each sign.
        chances: chance of every sign, shape (causes + 1, signs): a row for each cause of the book
            in its order, and the last for a deck without any.
        shown: whether each cause shows each sign, shape (causes, signs).
    """

    column: Mapping[str, int]
    chances: Array
    shown: NDArray[np.bool_]

    def answers(self, check: Check) -> Array:
        """Chance of every answer of a check, shape (causes + 1, answers); a row adds up to one."""
        return np.stack([self.of(said) for said in check.evidence.values()], axis=1)

    def of(self, said: Mapping[str, bool]) -> Array:
        """Chance of these signs being present or absent, shape (causes + 1,)."""
        found = np.ones(len(self.chances))
        for sign, is_present in said.items():
            chance = self.chances[:, self.column[sign]]
            found *= chance if is_present else 1.0 - chance
        return found

    def showing(self, check: Check) -> NDArray[np.intp]:
        """The rows of the causes that show a sign of a check."""
        columns = [self.column[sign] for sign in check.signs]
        return np.flatnonzero(self.shown[:, columns].any(axis=1))


def alone(book: Book) -> Alone:
    """The chances of a book's signs with each cause alone: 1 - (1 - leak) (1 - link)."""
    column = {sign: at for at, sign in enumerate(book.signs)}
    links = np.zeros((len(book.causes) + 1, len(column)))
    for row, cause in enumerate(book.causes.values()):
        for sign, link in cause.shows.items():
            links[row, column[sign]] = link
    leaks = np.array([sign.leak for sign in book.signs.values()])
    return Alone(column, 1.0 - (1.0 - leaks) * (1.0 - links), links[:-1] > 0)
