"""The deciding look of each cause: the check that tells most about that cause by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import log, prod

from diag.model.book import Book
from diag.model.figures import SignId
from diag.model.trait import Deck, fits


@dataclass(frozen=True)
class Looks:
    """How a technician with the service papers looks for each cause, and what he would do."""

    book: Book
    deck: Deck

    @cached_property
    def by_cause(self) -> Mapping[str, str]:
        """The check that tells a cause best from all else, were it as likely as not."""
        found = {}
        for cause in self.book.causes.values():
            if not fits(cause.where, self.deck.traits):
                continue
            told = [(self._told(cause.id, check), check) for check in self._asking[cause.id]]
            if told:
                found[cause.id] = max(told, key=lambda t: (t[0], t[1]))[1]
        return found

    @cached_property
    def _asking(self) -> Mapping[str, tuple[str, ...]]:
        """For each cause, the checks of one of its signs that fit the deck."""
        found: dict[str, list[str]] = {cause: [] for cause in self.book.causes}
        for check in self.book.checks.values():
            if not fits(check.where, self.deck.traits):
                continue
            for cause in dict.fromkeys(c for s in check.signs for c in self.book.causes_of[s]):
                found[cause].append(check.id)
        return {cause: tuple(checks) for cause, checks in found.items()}

    @cached_property
    def _background(self) -> Mapping[str, float]:
        """Chance of each sign by anything at all."""
        age = self.deck.age_years or 0.0
        prior = {c.id: float(c.prior.at(age)) for c in self.book.causes.values()}
        return {
            sign.id: 1.0
            - (1.0 - sign.leak)
            * prod(
                1.0 - prior[c] * self.book.causes[c].shows[SignId(sign.id)]
                for c in self.book.causes_of[sign.id]
            )
            for sign in self.book.signs.values()
        }

    def _told(self, cause: str, check: str) -> float:
        """Nats that the best sign of a check tells about a cause that is as likely as not."""
        shows = self.book.causes[cause].shows
        return max(
            _information(self._background[sign], shows[SignId(sign)])
            for sign in self.book.checks[check].signs
            if sign in shows
        )


def _information(background: float, link: float) -> float:
    """Nats between an even cause and a sign with this chance without it, and this link from it."""
    present = 1.0 - (1.0 - background) * (1.0 - link)
    mean = (present + background) / 2
    return _entropy(mean) - (_entropy(present) + _entropy(background)) / 2


def _entropy(p: float) -> float:
    return -sum(q * log(q) for q in (p, 1.0 - p) if q > 0)
