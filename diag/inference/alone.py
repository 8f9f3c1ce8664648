"""The chance of a few signs, without an elimination: for an answer by itself."""

from __future__ import annotations

from itertools import combinations
from math import log, prod

from diag.inference.network import Course, Network, Spot
from diag.inference.posterior import log_evidence
from diag.model.figures import SignId

FEW = 3
"""Signs not certainly absent, up to which sums over all their subsets are short and safe."""


def log_chance(network: Network) -> float:
    """Natural logarithm of the probability of the evidence, as `solve` gives it.

    Written out, the likelihood of a sign is L1 + (L0 - L1) [absent]. So the evidence is a sum
    over subsets of signs that are absent together, of which the chance is a product over causes.

    Raises:
        ImpossibleEvidence: no state of the deck gives these answers.
    """
    pairs = network.pairs
    absent = {spot for spot, pair in pairs.items() if not pair[1]}
    doubtful = [spot for spot in pairs if spot not in absent]
    if len(doubtful) > FEW:
        return log_evidence(network)
    touched = [network.courses_of(cause) for cause in network.start if cause in network.touches]
    chance = 0.0
    for count in range(len(doubtful) + 1):
        for gone in combinations(doubtful, count):
            share = prod(pairs[s][0] - pairs[s][1] if s in gone else pairs[s][1] for s in doubtful)
            if share:
                chance += share * _silent(network, touched, absent.union(gone))
    if chance < 1e-9:  # a difference this small has lost digits
        return log_evidence(network)
    return log(chance) + sum(log(pairs[spot][0]) for spot in absent) + network.log_implied


def _silent(network: Network, touched: list[tuple[Course, ...]], spots: set[Spot]) -> float:
    """Chance that all these spots are absent; the courses are those of touched causes."""
    signs = {SignId(sign) for sign, _ in spots}
    chance = prod(1 - network.leaks[sign] for sign in signs)
    for cause, prior in network.start.items():
        if cause not in network.touches:
            shows = network.shows[cause]
            chance *= 1 - prior + prior * prod(1 - shows[sign] for sign in signs if sign in shows)
    for found in touched:
        chance *= sum(
            course.weight
            * prod(1 - link.chance for link in course.links if not spots.isdisjoint(link.spots))
            for course in found
        )
    return chance
