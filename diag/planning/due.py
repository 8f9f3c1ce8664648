"""Which remedies are due: likely enough, with no look that would cost less than mending in vain.

A remedy is due while both hold:

- Mending in vain would cost no more than looking first: (1 - p) * its minutes are at most those of
  the cheapest check that decides on its likeliest cause, opening and closing counted in both. A
  look that costs less leads to the same deck with more known. Where no such look is left, this
  always holds.
- The cause is likely (`LIKELY`), or mending is a good insurance: p * cures * what it costs to miss
  the cause is at least its minutes.

Of several remedies for one cause only that with the fewest expected minutes can be due: its minutes
and those of seeing whether it worked, over `cures`.

Source: observe before repair (Heckerman, Breese, Rommelse, Communications of the ACM 38, 1995);
cost over probability for the order (Kadane and Simon, Annals of Statistics 5, 1977).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf, prod

from diag.planning.access import access
from diag.planning.final_test import final_checks, retest_minutes
from diag.planning.next_step import NextStep
from diag.planning.situation import Situation

LIKELY = 0.5
"""Probability from which a cause is mended."""
LIKELY_WHEN_OPEN = 0.35
"""The same where its layer is open already."""
SEEING = 2.0
"""Minutes to see whether a remedy worked."""
FOUND_AGAIN = 20.0
"""Minutes that a missed cause costs when the final test brings it up: tuned in simulation, where
10 and 40 made no difference that 60 decks could show."""


@dataclass(frozen=True)
class Due:
    """Tells which of the remedies that may be done are due."""

    at: Situation
    remedies: Sequence[NextStep]

    def is_due(self, step: NextStep) -> bool:
        """Whether a remedy is to be done without another look."""
        # The cheap questions first: hardly any of some hundred remedies gets past them.
        p = self.at.needed[step.id]
        if p < (LIKELY if step.access.opens else LIKELY_WHEN_OPEN):
            entry = self.at.book.remedies[step.id]
            worth = p * entry.cures
            if worth * max(self._back[entry.at], FOUND_AGAIN) < step.all_minutes:
                return False  # no cause is dearer to miss than one that is always, or never, silent
            if worth * self._missed(self.at.likeliest(step.id), entry.at) < step.all_minutes:
                return False
        cause = self.at.likeliest(step.id)
        if self._cheapest.get(cause) != step.id:
            return False
        return (1.0 - p) * step.all_minutes <= self.look_minutes(cause)

    def look_minutes(self, cause: str) -> float:
        """Minutes of the cheapest look that decides on a cause; infinite if none is left."""
        decide = self.at.book.deciding[cause]
        looks = (self.at.look_minutes(check) for check, _ in decide if check in self._asked)
        return min(looks, default=inf)

    @cached_property
    def _asked(self) -> frozenset[str]:
        return frozenset(self.at.asked)

    @cached_property
    def _cheapest(self) -> Mapping[str, str]:
        """For each cause, the remedy with the fewest expected minutes."""
        price = {
            step.id: (step.all_minutes + SEEING) / self.at.book.remedies[step.id].cures
            for step in self.remedies
        }
        fitting = {
            cause: [r for r in self.at.book.causes[cause].mended_by if r in price]
            for cause in self.at.now.causes
        }
        return {c: min(rs, key=lambda r: price[r]) for c, rs in fitting.items() if rs}

    @cached_property
    def _tested(self) -> frozenset[str]:
        """The signs that the final test asks for."""
        book = self.at.book
        return frozenset(s for c in final_checks(book, self.at.deck) for s in book.checks[c].signs)

    @cached_property
    def _back(self) -> Mapping[str, float]:
        """For each layer, the minutes to open the closed deck to it and to test it once more."""
        book, retest = self.at.book, retest_minutes(self.at)
        return {layer: access(book, (), layer).minutes + retest for layer in book.layers}

    def _missed(self, cause: str, layer: str) -> float:
        """Minutes that it costs to miss a cause whose remedy is at a layer.

        It comes up in the final test, or the deck comes back with it and is opened and tested
        once more.
        """
        book = self.at.book
        shows = book.causes[cause].shows
        silent = prod(1.0 - q for s, q in shows.items() if s in self._tested)
        return silent * self._back[layer] + (1.0 - silent) * FOUND_AGAIN
