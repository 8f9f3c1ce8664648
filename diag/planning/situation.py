"""All that the next step depends on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import prod

from diag.inference.network import Network
from diag.inference.posterior import Posterior
from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck
from diag.planning.access import Access, access
from diag.planning.blocks import LEAST_MINUTES
from diag.planning.open_questions import (
    Answers,
    answers,
    open_checks,
    open_remedies,
    pointless,
    told_there,
)
from diag.planning.outside import Unexplained, unexplained


@dataclass(frozen=True)
class Situation:
    """A deck on the bench, as far as the next step depends on it.

    `put_aside` are checks that couldn't be told or were skipped; `done` are remedies that were
    carried out or given up.
    """

    book: Book
    deck: Deck
    history: History
    network: Network
    now: Posterior
    open_layers: tuple[str, ...] = ()
    put_aside: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()

    @cached_property
    def ways(self) -> Mapping[str, Access]:
        """What it costs to get at each layer from here."""
        return {layer: access(self.book, self.open_layers, layer) for layer in self.book.layers}

    @cached_property
    def answers(self) -> Answers:
        """The answers so far, standing and stale."""
        return answers(self.book, self.history)

    @cached_property
    def open_checks(self) -> tuple[str, ...]:
        """The checks that are not answered for good, put aside, or for other decks."""
        return open_checks(self.book, self.deck, self.history, self.put_aside)

    @cached_property
    def asked(self) -> tuple[str, ...]:
        """Those of them that may be asked now."""
        barred = pointless(self.book, self.history)
        return tuple(check for check in self.open_checks if check not in barred)

    @cached_property
    def hazards(self) -> tuple[str, ...]:
        """The signs for which the deck is not to be powered now."""
        return tuple(s for s in told_there(self.book, self.history) if self.book.signs[s].no_power)

    @cached_property
    def too_dangerous(self) -> frozenset[str]:
        """The checks that would power it."""
        return frozenset(
            check
            for sign in self.hazards
            for check in self.book.bars.get(sign, ())
            if self.book.checks[check].live
        )

    @cached_property
    def remedies(self) -> tuple[str, ...]:
        """The remedies that may still be tried, or tried again."""
        found = open_remedies(self.book, self.deck, self.history, self.done)
        if not self.hazards:
            return found
        return tuple(remedy for remedy in found if not self.book.remedies[remedy].live)

    @cached_property
    def needed(self) -> Mapping[str, float]:
        """For each remedy, the chance that at least one cause that it mends is present."""
        now = self.now.causes
        return {
            remedy: 1.0 - prod(1.0 - now.get(cause, 0.0) for cause in causes)
            for remedy, causes in self.book.mends.items()
        }

    @cached_property
    def well(self) -> float:
        """Chance that no cause is present, the causes taken as independent."""
        return prod(1.0 - p for p in self.now.causes.values())

    def likeliest(self, remedy: str) -> str:
        """The likeliest cause that a remedy mends."""
        return max(self.book.mends[remedy], key=lambda c: self.now.causes.get(c, 0.0))

    def look_minutes(self, check: str) -> float:
        """Minutes of a check with those of the layers on its way, `LEAST_MINUTES` at least."""
        entry = self.book.checks[check]
        return max(float(entry.minutes), LEAST_MINUTES) + self.ways[entry.at].minutes

    @cached_property
    def outside(self) -> tuple[Unexplained, ...]:
        """The signs that probably no cause of the book brought about; one solution a sign."""
        return unexplained(self.network, self.now)
