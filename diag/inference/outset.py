"""What is known of a deck when it comes to the bench: the causes that it can have at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log

from diag.model.book import Book
from diag.model.cause import Cause
from diag.model.deciding import TYPICAL_AGE_YEARS
from diag.model.figures import Probability, SignId, log_odds, probability
from diag.model.trait import Deck, fits, share


@dataclass(frozen=True)
class Outset:
    """A deck before anything was asked of it; nothing that is done later changes it.

    Attributes:
        book: the book that it is worked out from.
        deck: the deck.
        raised: factors on the prior odds of causes.
        priors: the probability of each cause that the deck can have.
        shows: for each of these, the chance that it brings each of its signs about.
        shown_by: for each sign, the causes of `priors` that can show it.
        leaks: the leak of every sign of the book.
    """

    book: Book
    deck: Deck
    raised: Mapping[str, float]
    priors: Mapping[str, float]
    shows: Mapping[str, Mapping[SignId, Probability]]
    shown_by: Mapping[str, tuple[str, ...]]
    leaks: Mapping[str, float]

    def is_of(self, book: Book, deck: Deck, raised: Mapping[str, float]) -> bool:
        """Whether it is what these come to."""
        return self.book is book and self.deck == deck and self.raised == raised


def outset(book: Book, deck: Deck, raised: Mapping[str, float]) -> Outset:
    """Work out what a deck can have.

    Causes that its known traits rule out are left out; one that needs a trait which is not known
    is weighed by the share of decks that have it, where the book tells that.
    """
    causes = [c for c in book.causes.values() if not c.where or fits(c.where, deck.traits)]
    age = TYPICAL_AGE_YEARS if deck.age_years is None else deck.age_years
    priors = {}
    for c in causes:
        prior = _raised(c.prior.at(age), raised.get(c.id, 1.0))
        priors[c.id] = prior * share(c.where, deck.traits, book.traits) if c.where else prior
    return Outset(
        book=book,
        deck=deck,
        raised=raised,
        priors=priors,
        shows={c.id: c.shows for c in causes},
        shown_by=_shown_by(book, priors),
        leaks={sign.id: sign.leak for sign in book.signs.values()},
    )


def _shown_by(book: Book, priors: Mapping[str, float]) -> Mapping[str, tuple[str, ...]]:
    """The causes that can show each sign; only those signs are gone through that lose some."""
    shown_by = dict(book.causes_of)
    ruled_out: list[Cause] = [cause for cause in book.causes.values() if cause.id not in priors]
    for sign in {sign for cause in ruled_out for sign in cause.shows}:
        shown_by[sign] = tuple(cause for cause in shown_by[sign] if cause in priors)
    return shown_by


def _raised(prior: float, factor: float) -> float:
    return prior if factor == 1 else probability(log_odds(prior) + log(factor))
