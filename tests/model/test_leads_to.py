"""Which answers lead to a cause: against enumeration of a book with two causes."""

from __future__ import annotations

from itertools import product
from math import inf

import pytest

from diag.model.book import Book
from diag.model.cause import Cause, Sign
from diag.model.check import Answer, Check
from diag.model.figures import Prior
from diag.model.leads_to import leads_to

LEAK, PRIOR, LINK, OTHER_PRIOR, OTHER_LINK = 0.05, 0.3, 0.8, 0.2, 0.4


def book(leak: float = LEAK) -> Book:
    """One sign that two causes show, and the check that asks for it."""
    return Book(
        family="f",
        says="F",
        signs={"slow": Sign(id="slow", says="slow", leak=leak)},
        causes={
            "tight": Cause(id="tight", says="", prior=Prior(((0.0, PRIOR),)), shows={"slow": LINK}),
            "dry": Cause(
                id="dry", says="", prior=Prior(((0.0, OTHER_PRIOR),)), shows={"slow": OTHER_LINK}
            ),
        },
        checks={
            "look": Check(
                id="look",
                ask="?",
                at="outside",
                minutes=1.0,
                answers={"yes": Answer(id="yes", present=("slow",)), "no": Answer(id="no")},
            )
        },
    )


def odds_factor() -> float:
    """Odds of the cause after the answer over those before, by summing over all decks."""
    mass = {True: 0.0, False: 0.0}
    for tight, dry in product((True, False), repeat=2):
        p = (PRIOR if tight else 1 - PRIOR) * (OTHER_PRIOR if dry else 1 - OTHER_PRIOR)
        quiet = (1 - LEAK) * (1 - LINK * tight) * (1 - OTHER_LINK * dry)
        mass[tight] += p * (1 - quiet)
    return mass[True] / mass[False] / (PRIOR / (1 - PRIOR))


def test_factor_is_that_of_the_exact_posterior() -> None:
    """With one sign nothing is left out."""
    (lead,) = leads_to(book(), "tight")
    assert (lead.check, lead.answer) == ("look", "yes")
    assert lead.factor == pytest.approx(odds_factor(), rel=1e-12)


def test_sign_that_nothing_else_shows_settles_it() -> None:
    """No leak and no other cause: the factor is infinite."""
    whole = book(leak=0.0)
    alone = Book(
        family="f",
        says="F",
        signs=whole.signs,
        causes={"tight": whole.causes["tight"]},
        checks=whole.checks,
    )
    assert leads_to(alone, "tight")[0].factor == inf


def test_answers_that_hardly_speak_are_left_out() -> None:
    """A sign that half of all decks show anyhow says too little of a weak link."""
    assert [lead.check for lead in leads_to(book(leak=0.6), "dry")] == []
