"""How long an answer takes on the shipped book: posterior, and all that a screen is handed.

Decks are drawn from the book itself: faults by their priors, signs by their links and leaks. Each
is asked the intake and a dozen more checks, one answer in ten being fairly sure only. Then up to
three times a remedy is done or a layer opened, and a third of the checks are asked again, so that
there are up to four epochs. As on a bench, each answer is handed the one before it.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path
from statistics import quantiles
from tempfile import TemporaryDirectory

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck, fits
from diag.reading.location import shipped
from diag.rules.rulebook import Rulebook
from diag.session.assessment import Standing, assess
from diag.session.shelf import Shelf

DECKS = 40
MORE_CHECKS = 12
MORE_EPOCHS = 3
SEED = 20260301


def main() -> None:
    """Print medians and 99th percentiles; goals: 10 ms for the posterior, 50 ms for all."""
    with TemporaryDirectory() as folder:
        for times in ("from its files", "as it was kept"):
            shelf = Shelf(Path(folder) / "cases", shipped(), cache=Path(folder) / "cache")
            begin = time.perf_counter()
            book = shelf.book("cassette")
            took = (time.perf_counter() - begin) * 1e3
            print(f"cassette book and rules, {times:14} {took:8.0f} ms (goal: 150)")
    rulebook, draw = Rulebook(book), random.Random(SEED)
    posterior, whole = [], []
    for _ in range(DECKS):
        deck, symptoms, steps = drawn(book, draw)
        last = before = None
        for count in range(len(steps) + 1):
            history = History(symptoms, steps[:count])
            posterior.append(
                timed(lambda d=deck, h=history, b=before: solve(network(book, d, h, like=b)))
            )
            before = before or network(book, deck, history)
            begin = time.perf_counter()
            last = assess(book, rulebook, deck, history, Standing(), last)
            whole.append(time.perf_counter() - begin)
    for name, taken, goal in (("posterior", posterior, 10), ("whole answer", whole, 50)):
        cuts = quantiles(taken, n=100)
        print(
            f"{name:32} {cuts[49] * 1e3:8.1f} ms median, {cuts[98] * 1e3:.1f} ms 99th percentile "
            f"(goal: {goal})"
        )


def drawn(book: Book, draw: random.Random) -> tuple[Deck, tuple[str, ...], tuple[Step, ...]]:
    """A deck with its true answers, and one complaint of what is wrong with it if there is any."""
    traits = {t.id: draw.choice(t.one_of) for t in book.traits.values() if draw.random() < 0.5}
    deck = Deck(age_years=draw.uniform(20, 55), traits=traits)
    true = _Truth(book, draw)
    for cause in book.causes.values():
        if fits(cause.where, traits) and draw.random() < cause.prior.at(deck.age_years or 0.0):
            true.add(cause.id)
    told = [s.id for s in book.symptoms.values() if any(true.shows(sign) for sign in s.signs)]
    fitting = [c.id for c in book.checks.values() if fits(c.where, traits)]
    asked = dict.fromkeys([c for c in book.intake if c in fitting])
    asked |= dict.fromkeys(draw.sample(fitting, MORE_CHECKS))
    steps: list[Step] = [true.answer(name, number) for number, name in enumerate(asked, start=1)]
    for _ in range(draw.randint(0, MORE_EPOCHS)):
        steps.append(true.touched())
        again = draw.sample(list(asked), len(asked) // 3)
        steps += [true.answer(name, len(steps) + at) for at, name in enumerate(again, start=1)]
    return deck, tuple(draw.sample(told, min(1, len(told)))), tuple(steps)


class _Truth:
    """The faults that are there, and what they and the leaks bring about."""

    def __init__(self, book: Book, draw: random.Random) -> None:
        self._book = book
        self._draw = draw
        self._leaked = {s.id for s in book.signs.values() if draw.random() < s.leak}
        self._shown: dict[str, set[str]] = {}

    def add(self, cause: str) -> None:
        """A fault comes, and fires its links once for as long as it lasts."""
        shows = self._book.causes[cause].shows
        self._shown[cause] = {s for s, chance in shows.items() if self._draw.random() < chance}

    def shows(self, sign: str) -> bool:
        """Whether a sign is present now."""
        return sign in self._leaked or any(sign in shown for shown in self._shown.values())

    def answer(self, check: str, event: int) -> Given:
        """The true answer to a check."""
        said = self._book.checks[check].evidence
        true = next(a for a in said if all(self.shows(s) is v for s, v in said[a].items()))
        return Given(check, true, "fairly" if self._draw.random() < 0.1 else "certain", event)

    def touched(self) -> Mended | Opened:
        """A remedy of a fault that is there is done, or a layer opened, with what comes of it."""
        mends = [r for c in self._shown for r in self._book.causes[c].mended_by]
        if mends and self._draw.random() < 0.7:
            remedy = self._book.remedies[self._draw.choice(mends)]
            for cause in self._book.mends[remedy.id]:
                if self._draw.random() < remedy.cures:
                    self._shown.pop(cause, None)
            return Mended(remedy.id)
        layer = self._draw.choice([la for la in self._book.layers.values() if la.under])
        for upset, chance in layer.upsets.items():
            if upset not in self._shown and self._draw.random() < chance:
                self.add(upset)
        return Opened(layer.id)


def timed(work: Callable[[], object]) -> float:
    """Seconds that a piece of work takes."""
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin
