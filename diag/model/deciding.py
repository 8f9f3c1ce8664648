"""Which checks decide on a cause, worked out from the links and leaks of a book."""

from __future__ import annotations

from collections.abc import Mapping
from math import log2, prod
from typing import TYPE_CHECKING

from diag.model.figures import SignId

if TYPE_CHECKING:
    from diag.model.book import Book

TYPICAL_AGE_YEARS = 40.0
"""Age taken for a deck of unknown age; from memory: most decks on benches date from the 1980s."""

LEAST_BITS = 0.3
"""Bits from which a check decides: with less, a second look would be due."""


def deciding_checks(book: Book) -> Mapping[str, tuple[tuple[str, float], ...]]:
    """For each cause, the checks that decide on it, with the bits that each tells of it.

    Bits are those of the best sign of the check, were the cause as likely as not and all other
    causes as likely as in any deck: from 0, nothing, to 1, all.
    """
    prior = typical_priors(book)
    bits = {
        (sign, cause): _bits(chance_without(book, prior, sign, cause), link)
        for cause, entry in book.causes.items()
        for sign, link in entry.shows.items()
    }
    found: dict[str, dict[str, float]] = {cause: {} for cause in book.causes}
    for check in book.checks.values():
        for sign in check.signs:
            for cause in book.causes_of[sign]:
                told = bits[SignId(sign), cause]
                if told >= LEAST_BITS:
                    found[cause][check.id] = max(told, found[cause].get(check.id, 0.0))
    return {cause: tuple(checks.items()) for cause, checks in found.items()}


def typical_priors(book: Book) -> Mapping[str, float]:
    """The prior of every cause in a deck of `TYPICAL_AGE_YEARS`."""
    return {c.id: float(c.prior.at(TYPICAL_AGE_YEARS)) for c in book.causes.values()}


def chance_without(book: Book, prior: Mapping[str, float], sign: str, cause: str) -> float:
    """Chance of a sign by anything but this cause."""
    others = (other for other in book.causes_of[sign] if other != cause)
    quiet = prod(1.0 - prior[c] * book.causes[c].shows[SignId(sign)] for c in others)
    return 1.0 - (1.0 - book.signs[sign].leak) * quiet


def _bits(background: float, link: float) -> float:
    """Information between an even cause and a sign with this chance without it, and this link."""
    present = 1.0 - (1.0 - background) * (1.0 - link)
    mean = (present + background) / 2
    return _entropy(mean) - (_entropy(present) + _entropy(background)) / 2


def _entropy(p: float) -> float:
    return -sum(q * log2(q) for q in (p, 1.0 - p) if q > 0)
