"""A book whose figures are off, to see how much that matters."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

from diag.model.book import Book
from diag.model.figures import Prior, Probability, log_odds, probability
from diag.planning.simulation.chance import Chance

SURE = (1e-6, 1 - 1e-6)
"""Figures at or beyond these stay: they stand for what can't be or must be."""


def misjudged(book: Book, deviation: float, chance: Chance) -> Book:
    """The book with every prior, link and leak off by a normal error on its log-odds.

    Args:
        book: the true book; it is not changed.
        deviation: standard deviation of the errors, natural log-odds.
        chance: draws the errors. A prior is off by the same at every age.
    """
    if not deviation:
        return book
    normal = NormalDist(0.0, deviation)

    def off(p: float, *name: object) -> Probability:
        if not SURE[0] < p < SURE[1]:
            return Probability(p)
        error = normal.inv_cdf(min(max(chance.number(*name), 1e-12), 1 - 1e-12))
        return Probability(probability(log_odds(p) + error))

    return replace(
        book,
        signs={s.id: replace(s, leak=off(s.leak, "leak", s.id)) for s in book.signs.values()},
        causes={
            cause.id: replace(
                cause,
                prior=Prior(
                    tuple((age, off(p, "prior", cause.id)) for age, p in cause.prior.by_age)
                ),
                shows={s: off(q, "link", cause.id, s) for s, q in cause.shows.items()},
            )
            for cause in book.causes.values()
        },
    )
