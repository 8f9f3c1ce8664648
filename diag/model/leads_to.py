"""Which answers lead to a cause, worked out from the links and leaks of a book."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, prod
from typing import TYPE_CHECKING

from diag.model.deciding import chance_without, typical_priors
from diag.model.figures import SignId

if TYPE_CHECKING:
    from diag.model.book import Book

SPEAKS = 1.5
"""Factor on the odds from which an answer is said to lead to a cause."""


@dataclass(frozen=True, slots=True)
class Lead:
    """An answer that multiplies the odds of a cause by `factor` in a deck of 40 years.

    Infinite where nothing but the cause can bring the answer about.
    """

    check: str
    answer: str
    factor: float


def leads_to(book: Book, cause: str) -> tuple[Lead, ...]:
    """The answers that speak for a cause, the strongest first, the best answer of each check.

    Every other cause is taken to be as likely as in any deck of that age, the signs of one answer
    as independent but for the cause.
    """
    shows = book.causes[cause].shows
    prior = typical_priors(book)
    without = {sign: chance_without(book, prior, sign, cause) for sign in shows}
    found = []
    for check in book.checks.values():
        if not any(SignId(sign) in shows for sign in check.signs):
            continue
        factors = {
            answer: prod(
                _factor(without[SignId(sign)], shows[SignId(sign)], is_present)
                for sign, is_present in said.items()
                if sign in shows
            )
            for answer, said in check.evidence.items()
        }
        best = max(factors, key=lambda answer: factors[answer])
        if factors[best] >= SPEAKS:
            found.append(Lead(check.id, best, factors[best]))
    return tuple(sorted(found, key=lambda lead: (-lead.factor, lead.check)))


def _factor(without: float, link: float, is_present: bool) -> float:
    """What a sign, present or absent, does to the odds of a cause that has a link to it."""
    if not is_present:
        return 1.0 - link
    given = 1.0 - (1.0 - without) * (1.0 - link)
    return given / without if without > 0 else inf
