"""Relaxed signs that pull so strongly that their factors leave the range of floats.

Openings that can bring nothing about cut a sign's time into blocks, each with bits of its own, and
change nothing. So the truth is that of the answers without them, which is narrow.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from oracles import ANY_DECK, answer, book_of

from diag.inference.network import network
from diag.inference.posterior import WIDEST, solve
from diag.inference.weight import conflict, weights
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import Given, History, Opened

SIGNS = [f"s{number}" for number in range(12)]
CAUSES = [f"c{number}" for number in range(12)]


def cut_into_blocks(seed: int, epochs: int) -> tuple[Book, History]:
    """Rare causes that show nearly all their signs, and signs said to be present over and over."""
    draw = Random(seed)
    book = book_of(
        shows={
            c: {s: draw.choice([draw.random(), 0.999, 1.0]) for s in draw.sample(SIGNS, 8)}
            for c in CAUSES
        },
        priors={c: draw.uniform(1e-6, 1e-3) for c in CAUSES},
        leaks=dict.fromkeys(SIGNS, 0.01),
        layers={f"over_{c}": {c: 0.0} for c in CAUSES},
    )
    steps: list[Given | Opened] = [answer(sign, True) for sign in SIGNS]
    for _ in range(epochs):
        steps.append(Opened(f"over_{draw.choice(CAUSES)}"))
        steps += [answer(sign, True) for sign in draw.sample(SIGNS, 8)]
    return book, History((), tuple(steps))


@pytest.mark.parametrize("seed", range(4))
def test_strong_tangents_neither_overflow_nor_miss_the_truth(seed: int) -> None:
    """Every figure is finite, and every interval holds the truth."""
    book, history = cut_into_blocks(seed, 16)
    net = network(book, ANY_DECK, history)
    truth = solve(network(book, ANY_DECK, History((), history.steps[: len(SIGNS)])))
    with np.errstate(over="raise", invalid="raise"):
        found = solve(net)
        guess = what_if(net, [{"s0": True}, {"s1": True, "s2": True}], found)
        why = weights(net, "c0", found)
        conflict(net, found)
    assert found.width > WIDEST
    assert found.bounds is not None
    assert found.log_evidence_bounds is not None
    low, high = found.log_evidence_bounds
    assert -np.inf < low <= truth.log_evidence <= high
    for cause, exact in truth.causes.items():
        low, high = found.bounds[cause]
        assert 0 <= low <= exact <= high <= 1
        assert low <= found.causes[cause] <= high
    assert np.isfinite(guess.posterior).all()
    assert np.isfinite(list(why.values())).all()
