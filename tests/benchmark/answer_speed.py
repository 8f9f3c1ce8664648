"""How long an answer takes on the shipped book: posterior, and all that a screen is handed.

Decks are drawn from the book itself: faults by their priors, signs by their links and leaks. Each
is asked the intake and a dozen more checks, one answer in ten being fairly sure only.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from statistics import quantiles

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History
from diag.model.trait import Deck, fits
from diag.reading.book import read_book
from diag.reading.location import shipped
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Standing, assess

DECKS = 40
MORE_CHECKS = 12
SEED = 20260301


def main() -> None:
    """Print medians and 99th percentiles; goals: 10 ms for the posterior, 50 ms for all."""
    begin = time.perf_counter()
    book = read_book(shipped(), "cassette")
    print(f"reading the cassette book        {(time.perf_counter() - begin) * 1e3:8.0f} ms")
    rulebook, draw = Rulebook(book), random.Random(SEED)
    posterior, whole = [], []
    for _ in range(DECKS):
        deck, symptoms, steps = drawn(book, draw)
        for count in range(len(steps) + 1):
            history = History(symptoms, steps[:count])
            posterior.append(timed(lambda d=deck, h=history: solve(network(book, d, h))))
            whole.append(timed(lambda d=deck, h=history: assess(book, rulebook, d, h, Standing())))
    for name, taken, goal in (("posterior", posterior, 10), ("whole answer", whole, 50)):
        cuts = quantiles(taken, n=100)
        print(
            f"{name:32} {cuts[49] * 1e3:8.1f} ms median, {cuts[98] * 1e3:.1f} ms 99th percentile "
            f"(goal: {goal})"
        )


def drawn(book: Book, draw: random.Random) -> tuple[Deck, tuple[str, ...], tuple[Given, ...]]:
    """A deck with its true answers, and one complaint of what is wrong with it if there is any."""
    traits = {t.id: draw.choice(t.one_of) for t in book.traits.values() if draw.random() < 0.5}
    deck = Deck(age_years=draw.uniform(20, 55), traits=traits)
    faults = [
        cause
        for cause in book.causes.values()
        if fits(cause.where, traits) and draw.random() < cause.prior.at(deck.age_years or 0.0)
    ]
    there = {
        sign.id: draw.random() < sign.leak
        or any(draw.random() < cause.shows.get(sign.id, 0.0) for cause in faults)
        for sign in book.signs.values()
    }
    told = [s.id for s in book.symptoms.values() if any(there[sign] for sign in s.signs)]
    fitting = [c.id for c in book.checks.values() if fits(c.where, traits)]
    asked = dict.fromkeys([c for c in book.intake if c in fitting])
    asked |= dict.fromkeys(draw.sample(fitting, MORE_CHECKS))
    steps = []
    for number, name in enumerate(asked, start=1):
        said = book.checks[name].evidence
        answer = next(a for a in said if all(there[s] is v for s, v in said[a].items()))
        steps.append(Given(name, answer, "fairly" if draw.random() < 0.1 else "certain", number))
    return deck, tuple(draw.sample(told, min(1, len(told)))), tuple(steps)


def timed(work: Callable[[], object]) -> float:
    """Seconds that a piece of work takes."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin
