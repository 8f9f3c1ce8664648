"""The deciding look of each cause, as a technician with the service papers knows it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from diag.model.book import Book
from diag.model.trait import Deck, fits


@dataclass(frozen=True)
class Looks:
    """How one looks for each cause of a deck."""

    book: Book
    deck: Deck

    @cached_property
    def by_cause(self) -> Mapping[str, str]:
        """The check that tells most of a cause; causes on which no check decides are left out."""
        found = {}
        for cause in self.book.causes.values():
            if not fits(cause.where, self.deck.traits):
                continue
            fitting = [
                (bits, check)
                for check, bits in self.book.deciding[cause.id]
                if fits(self.book.checks[check].where, self.deck.traits)
            ]
            if fitting:
                found[cause.id] = max(fitting)[1]
        return found
