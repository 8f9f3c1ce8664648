"""The chance of the evidence without single answers, all in one batch.

To leave out what was said of a bit is to give it other likelihoods. To leave out that a sign was
absent is to take its links' silence out of the weights again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from diag.inference.ground import Ground
from diag.inference.joint import log_mass_rows
from diag.inference.network import Network, Spot
from diag.inference.posterior import Posterior, log_evidence
from diag.model.figures import SignId

NOTHING = (1.0, 1.0)
"""Likelihoods of what was not spoken of."""


@dataclass(frozen=True, slots=True)
class _Change:
    """New likelihoods of bits, factors of modes, and what the logarithm of the whole gains."""

    pairs: tuple[tuple[int, tuple[float, float]], ...]
    factors: tuple[tuple[int, float], ...]
    constant: float


def log_evidence_less(whole: Posterior, rests: Sequence[Network]) -> list[float]:
    """Natural logarithm of the probability of the evidence of each of these networks.

    They are the network of the exact posterior `whole` with less evidence each. One whose
    structure differs is solved by itself.
    """
    changes = [_change(whole.ground, rest) for rest in rests]
    problem = whole.ground.problem
    rows = 1 + len(rests)
    weights = np.repeat(problem.weights[:, None], rows, axis=1)
    fires = np.repeat(problem.fires[:, None], rows, axis=1)
    pairs = np.repeat(np.array(problem.pairs).reshape(-1, 2, 1), rows, axis=2)
    for row, change in enumerate(changes, start=1):
        for mode, factor in change.factors if change else ():
            weights[mode, row] *= factor
        for bit, pair in change.pairs if change else ():
            pairs[bit, :, row] = pair
    log_mass = log_mass_rows(problem, weights, fires, pairs)
    less = (log_mass[1:] - log_mass[0] + whole.log_evidence).tolist()
    return [
        value + change.constant if change else log_evidence(rest)
        for value, change, rest in zip(less, changes, rests, strict=True)
    ]


def _change(ground: Ground, rest: Network) -> _Change | None:
    """What less evidence changes; None if it takes other bits or modes."""
    network = ground.network
    if not rest.pairs.keys() <= network.pairs.keys():
        return None
    pairs: list[tuple[int, tuple[float, float]]] = []
    gone: set[Spot] = set()
    constant = rest.log_implied - network.log_implied
    for spot, pair in network.pairs.items():
        left = rest.pairs.get(spot, NOTHING)
        if left == pair:
            continue
        if spot in ground.bits:
            pairs.append((ground.bits[spot], left))
            continue
        constant += log(left[0]) - log(pair[0])
        if left == NOTHING:
            gone.add(spot)
        elif left[1]:
            return None
    factors = _factors(ground, gone)
    return None if factors is None else _Change(tuple(pairs), factors, constant)


def _factors(ground: Ground, gone: set[Spot]) -> tuple[tuple[int, float], ...] | None:
    """Factors of modes that take the silence of links out again where these spots forced it.

    None if a link is certain or reaches a bit, too, so that the problem lacks what it would take.
    """
    left = ground.absent - gone
    factors: list[tuple[int, float]] = []
    for sign in {sign for sign, _ in gone}:
        for mode, chance, spots in _links(ground, sign):
            if gone.isdisjoint(spots) or not left.isdisjoint(spots):
                continue
            if chance == 1 or not ground.bits.keys().isdisjoint(spots):
                return None
            factors.append((mode, 1 / (1 - chance)))
    return tuple(factors)


def _links(ground: Ground, sign: str) -> Iterator[tuple[int, float, tuple[Spot, ...]]]:
    """Every link to a sign as (mode, probability, spots), that of its leak included."""
    network, begins = ground.network, ground.problem.begins
    spoken = network.spoken[sign]
    yield begins[ground.leaks[sign]], network.leaks[sign], spoken
    for cause in network.shown_by.get(sign, ()):
        chance, first = network.shows[cause][SignId(sign)], begins[ground.order[cause]]
        if cause not in network.touches:
            yield first + 1, chance, spoken
            continue
        for mode, course in enumerate(network.courses_of(cause), start=first):
            for link in course.links:
                if link.sign == sign:
                    yield mode, chance, link.spots
