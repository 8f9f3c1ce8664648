"""Books whose figures are off."""

from __future__ import annotations

from statistics import pstdev

import pytest

from diag.model.figures import log_odds
from diag.planning.simulation.chance import Chance
from diag.planning.simulation.misjudged import misjudged
from diag.reading.book import read_book
from diag.reading.location import shipped


@pytest.fixture(scope="module")
def pairs() -> list[tuple[float, float]]:
    """Log-odds of every link of the shipped book, as they are and off by a deviation of 1."""
    book = read_book(shipped(), "cassette")
    wrong = misjudged(book, 1.0, Chance("errors"))
    return [
        (log_odds(q), log_odds(wrong.causes[cause.id].shows[sign]))
        for cause in book.causes.values()
        for sign, q in cause.shows.items()
        if 1e-6 < q < 1 - 1e-6
    ]


def test_errors_have_the_asked_deviation(pairs: list[tuple[float, float]]) -> None:
    """Over all links of the book the errors have a mean of 0 and a deviation of 1."""
    errors = [wrong - true for true, wrong in pairs]
    assert len(errors) > 1000
    assert sum(errors) / len(errors) == pytest.approx(0.0, abs=4 / len(errors) ** 0.5)
    assert pstdev(errors) == pytest.approx(1.0, abs=0.1)


def test_no_deviation_is_the_same_book() -> None:
    """Figures that are right stay as they are."""
    book = read_book(shipped(), "cassette")
    assert misjudged(book, 0.0, Chance("errors")) is book
