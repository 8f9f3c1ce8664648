"""Speed of inference beside the reference library's; `python -m tests.benchmark.inference_speed`.

Times are medians over several random networks, the best of a few runs each, as other work on the
machine only ever adds time. Ours include building the network from the book and the answers;
theirs begin with a built network. The reference is asked for the causes only. It does not absorb
absent signs, so they cost it much: every goal is with 30 of them, and what it is without is told.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import cycle
from statistics import median, quantiles
from time import perf_counter
from typing import Any

from diag.inference.network import Network, network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from tests.oracles import ANY_DECK, random_book, random_history
from tests.reference_engines import hard_evidence, pyagrum_engine, pyagrum_net

NETWORKS = 5
RUNS = 5


def main() -> None:
    """Print every ratio with the times behind it."""
    for present, absent, cold, aim in (
        (12, 30, True, 50),
        (10, 30, False, 20),
        (12, 0, True, 0),
        (10, 0, False, 0),
    ):
        seeds = range(NETWORKS)
        compared = [_compare(seed, (present, absent), cold=cold) for seed in seeds]
        start = "from a cold start" if cold else "with its tree re-used"
        _print(f"pyAgrum {start}, {present} present and {absent} absent", compared, aim)
    _print_deck_size()
    _print_large("300 causes x 600 signs, 5 causes a sign", 300, 600, 5, aim=1.0)
    _print_large("60 causes x 120 signs, 20 causes a sign", 60, 120, 20, aim=3.0)


def _best(work: Callable[[], object], runs: int = RUNS) -> float:
    """Seconds of the fastest run."""
    times = []
    for _ in range(runs):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def _compare(seed: int, answers: tuple[int, int], *, cold: bool) -> tuple[float, float, float]:
    """Seconds of theirs and of ours on one network, and the greatest difference."""
    book = random_book(seed, causes=60, signs=120, parents=4)
    history = random_history(book, seed, *answers)
    net = pyagrum_net(book)
    said = network(book, ANY_DECK, history)
    engine = pyagrum_engine(net, book)
    found = _infer(engine, book, said)

    states = cycle((0, 1))
    sign = next(iter(hard_evidence(said)))

    def again() -> None:
        # One answer changes between runs, so that its potentials are stale and its tree is not.
        engine.chgEvidence(sign, next(states))
        engine.makeInference()
        for cause in book.causes:
            engine.posterior(cause)

    def new() -> None:
        _infer(pyagrum_engine(net, book), book, said)

    theirs = _best(new if cold else again, runs=2)
    ours = _best(lambda: solve(network(book, ANY_DECK, history)))
    answered = solve(said).causes
    return theirs, ours, max(abs(answered[cause] - found[cause]) for cause in answered)


def _infer(engine: Any, book: Book, said: Network) -> dict[str, float]:
    """The library's posterior of every cause."""
    engine.setEvidence(hard_evidence(said))
    engine.makeInference()
    return {cause: float(engine.posterior(cause)[1]) for cause in book.causes}


def _print(name: str, compared: list[tuple[float, float, float]], aim: int) -> None:
    ratio = median(theirs / ours for theirs, ours, _ in compared)
    low = min(theirs / ours for theirs, ours, _ in compared)
    theirs, ours = (median(pair[side] for pair in compared) * 1e3 for side in (0, 1))
    apart = max(difference for *_, difference in compared)
    wanted = f"aim {aim}; " if aim else ""
    print(f"posterior, 60 causes x 120 signs, against {name}:")
    print(f"  {ratio:.1f} times as fast ({wanted}least {low:.1f}): {theirs:.1f} / {ours:.2f} ms")
    print(f"  greatest difference {apart:.1e} (aim 1e-9)")


def _print_deck_size() -> None:
    """Posterior and what-if on a book of a deck's size."""
    posterior, future, rows = [], [], []
    for seed in range(4 * NETWORKS):
        book = random_book(seed, causes=100, signs=200, parents=4, top=0.3)
        history = random_history(book, seed, present=10, absent=20)
        posterior.append(_best(lambda b=book, h=history: solve(network(b, ANY_DECK, h)), 3))
        net = network(book, ANY_DECK, history)
        rows = [{sign: there} for sign in book.signs for there in (True, False)]
        now = solve(net)
        future.append(_best(lambda n=net, r=rows, p=now: what_if(n, r, p), 3))
    for name, times in (("posterior", posterior), (f"what-if of {len(rows)} rows", future)):
        late = quantiles(times, n=20)[-1] * 1e3
        print(f"{name}, 100 x 200, 10 present and 20 absent of 4 causes each:")
        print(f"  median {median(times) * 1e3:.1f} ms, 95th percentile {late:.1f} ms")


def _print_large(name: str, causes: int, signs: int, parents: int, aim: float) -> None:
    """Old decks with many signs: the exact answer, or the bounded one where it is too wide."""
    times, wide, apart = [], 0, 0.0
    for seed in range(NETWORKS):
        book = random_book(seed, causes, signs, parents, top=0.6, least=0.05)
        net = network(book, ANY_DECK, random_history(book, seed, present=25, absent=30))
        times.append(_best(lambda n=net: solve(n), 1))
        bounds = solve(net).bounds
        if bounds is not None:
            wide += 1
            apart = max(apart, max(high - low for low, high in bounds.values()))
    print(f"posterior, {name}, priors 0.05 to 0.6, 25 present and 30 absent:")
    print(
        f"  at most {max(times) * 1e3:.0f} ms (aim {aim * 1e3:.0f}); {wide} of {NETWORKS} bounded",
        end="",
    )
    print(f", widest interval {apart:.2f}" if wide else "")


if __name__ == "__main__":
    main()
