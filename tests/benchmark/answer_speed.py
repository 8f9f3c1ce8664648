"""How long an answer takes on the shipped book: posterior, and all that a screen is handed."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from statistics import quantiles

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.history import Given, History
from diag.model.trait import Deck
from diag.reading.book import read_book
from diag.reading.location import shipped
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Standing, assess

DECKS = 40
ANSWERS = 12
SEED = 20260301


def main() -> None:
    """Print medians and 99th percentiles; goals: 10 ms for the posterior, 50 ms for all."""
    begin = time.perf_counter()
    book = read_book(shipped(), "cassette")
    print(f"reading the cassette book        {(time.perf_counter() - begin) * 1e3:8.0f} ms")
    rulebook, draw = Rulebook(book), random.Random(SEED)
    posterior, whole = [], []
    for _ in range(DECKS):
        deck = Deck(
            age_years=draw.uniform(20, 55),
            traits={
                t.id: draw.choice(t.one_of) for t in book.traits.values() if draw.random() < 0.5
            },
        )
        symptoms = tuple(draw.sample(sorted(book.symptoms), 2))
        asked = draw.sample(sorted(book.checks), ANSWERS)
        steps = [
            Given(check, draw.choice(sorted(book.checks[check].answers)), "fairly", number)
            for number, check in enumerate(asked, start=1)
        ]
        for count in range(ANSWERS + 1):
            history = History(symptoms, tuple(steps[:count]))
            posterior.append(timed(lambda d=deck, h=history: solve(network(book, d, h))))
            whole.append(timed(lambda d=deck, h=history: assess(book, rulebook, d, h, Standing())))
    for name, taken, goal in (("posterior", posterior, 10), ("whole answer", whole, 50)):
        cuts = quantiles(taken, n=100)
        print(
            f"{name:32} {cuts[49] * 1e3:8.1f} ms median, {cuts[98] * 1e3:.1f} ms 99th percentile "
            f"(goal: {goal})"
        )


def timed(work: Callable[[], object]) -> float:
    """Seconds that a piece of work takes."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin
