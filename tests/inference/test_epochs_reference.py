"""Repairs and time against a reference library: all epochs unrolled into one network of it."""

from __future__ import annotations

from random import Random

import pytest
from oracles import ANY_DECK, answer, book_of
from unrolled_net import unrolled

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened

CAUSES, SIGNS, PARENTS = 7, 8, 3


def repairable_book(drawn: Random) -> Book:
    """Seven causes and eight signs; two remedies of two causes each and two layers likewise."""
    causes = [f"c{number}" for number in range(CAUSES)]
    signs = [f"s{number}" for number in range(SIGNS)]
    shows: dict[str, dict[str, float]] = {cause: {} for cause in causes}
    for sign in signs:
        for cause in drawn.sample(causes, PARENTS):
            shows[cause][sign] = drawn.uniform(0.2, 0.95)
    return book_of(
        shows=shows,
        priors={cause: drawn.choice([1e-3, 0.05, 0.3, 0.6]) for cause in causes},
        leaks={sign: drawn.uniform(0.001, 0.1) for sign in signs},
        remedies={
            name: (drawn.uniform(0.3, 1.0), drawn.sample(causes, 2)) for name in ("mend", "tune")
        },
        layers={
            name: {cause: drawn.uniform(0.02, 0.4) for cause in drawn.sample(causes, 2)}
            for name in ("lid", "chassis")
        },
    )


class Deck:
    """One deck drawn from a book: which causes are there, and what they have fired."""

    def __init__(self, book: Book, drawn: Random) -> None:
        """Draw a deck as it comes to the bench."""
        self.book, self.drawn = book, drawn
        self.fired: dict[str, set[str]] = {}
        self.leaks = {sign.id for sign in book.signs.values() if drawn.random() < sign.leak}
        for cause in book.causes.values():
            self._begin(cause.id, cause.prior.at(0))

    def touch(self, touch: Mended | Opened) -> set[str]:
        """Mend or open it; the signs that may have changed."""
        if isinstance(touch, Mended):
            causes = set(self.book.mends[touch.remedy])
            for cause in sorted(causes & set(self.fired)):
                if self.drawn.random() < self.book.remedies[touch.remedy].cures:
                    del self.fired[cause]
        else:
            upsets = self.book.layers[touch.layer].upsets
            causes = {str(cause) for cause in upsets}
            for cause, chance in upsets.items():
                if cause not in self.fired:
                    self._begin(cause, chance)
        return {str(sign) for cause in causes for sign in self.book.causes[cause].shows}

    def answer(self, sign: str) -> Given:
        """What is said of a sign: certain and true, or fairly sure and wrong one time in five."""
        there = sign in self.leaks or any(sign in fired for fired in self.fired.values())
        if self.drawn.random() < 0.5:
            return answer(sign, there)
        return answer(sign, there ^ (self.drawn.random() < 0.2), "fairly")

    def _begin(self, cause: str, chance: float) -> None:
        """Let a cause be there with this chance, and fire its links."""
        if self.drawn.random() < chance:
            shows = self.book.causes[cause].shows
            self.fired[cause] = {sign for sign, q in shows.items() if self.drawn.random() < q}


def repaired(book: Book, drawn: Random, epochs: int) -> History:
    """Answers in each epoch, half of them fairly sure; a sign again only if touched since."""
    deck = Deck(book, drawn)
    steps: list[Given | Mended | Opened] = []
    fresh = set(book.signs)
    for epoch in range(epochs):
        if epoch:
            touch = drawn.choice([Mended("mend"), Mended("tune"), Opened("lid"), Opened("chassis")])
            steps.append(touch)
            fresh |= deck.touch(touch)
        for sign in sorted(fresh):
            if drawn.random() < 0.6:
                steps.append(deck.answer(sign))
                fresh.remove(sign)
    return History((), tuple(steps))


def check_against_unrolled(seed: int, epochs: int) -> None:
    """Compare every marginal and the log evidence."""
    drawn = Random(seed)
    book = repairable_book(drawn)
    history = repaired(book, drawn, epochs)
    found, expected = solve(network(book, ANY_DECK, history)), unrolled(book, history)
    assert found.log_evidence == pytest.approx(expected.log_evidence, rel=0, abs=1e-12)
    assert found.causes == pytest.approx(expected.causes, rel=0, abs=1e-12)


@pytest.mark.parametrize("epochs", [1, 2, 3, 4])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_posterior_equals_that_of_the_unrolled_network(seed: int, epochs: int) -> None:
    """Through remedies and openings every figure is the library's, found from explicit tables."""
    check_against_unrolled(seed, epochs)


@pytest.mark.proof
@pytest.mark.parametrize("seed", range(100, 160))
def test_posterior_of_many_histories_equals_the_unrolled_network(seed: int) -> None:
    """The same on sixty more books and histories of two to four epochs."""
    check_against_unrolled(seed, 2 + seed % 3)


def test_complaint_is_of_the_deck_as_it_came() -> None:
    """A complaint stays evidence on the first epoch when its sign is asked for after a repair."""
    book = book_of(
        shows={"idler": {"dead": 0.7, "noisy": 0.2}, "belt": {"dead": 0.5}},
        priors={"idler": 0.3, "belt": 0.2},
        leaks={"dead": 0.01, "noisy": 0.1},
        remedies={"mend": (0.9, ["idler"])},
    )
    steps = (answer("noisy", True), Mended("mend"), answer("dead", True))
    history = History(("told_dead",), steps)
    found, expected = solve(network(book, ANY_DECK, history)), unrolled(book, history)
    assert found.causes == pytest.approx(expected.causes, rel=0, abs=1e-12)
    assert found.log_evidence == pytest.approx(expected.log_evidence, rel=0, abs=1e-12)
