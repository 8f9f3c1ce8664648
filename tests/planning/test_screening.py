"""The quick estimate keeps the checks that tell most."""

from __future__ import annotations

import random

import pytest
from oracles import ANY_DECK, random_book, random_history

from diag.inference.network import network
from diag.inference.posterior import solve
from diag.planning.access import access
from diag.planning.gain import check_gains
from diag.planning.screening import SHORTLIST, promising


@pytest.mark.parametrize("seed", range(6))
def test_best_check_is_kept(seed: int) -> None:
    """Of many more checks than are kept, the one that tells most for its minutes is among them."""
    book = random_book(seed, causes=60, signs=3 * SHORTLIST, parents=4, top=0.2)
    history = random_history(book, seed, present=6, absent=10)
    net = network(book, ANY_DECK, history)
    now = solve(net)
    ways = {layer: access(book, (), layer) for layer in book.layers}
    checks = random.Random(seed).sample(list(book.checks), len(book.checks))
    kept = promising(book, now, checks, ways)
    best = max(check_gains(book, net, now, checks), key=lambda gain: gain.nats)
    assert len(kept) == SHORTLIST
    assert best.check in kept
