"""The chance of the evidence without single answers, all in one batch.

To leave out what was said of a bit is to give it other likelihoods. To leave out that a sign was
absent is to take its links' silence out of the weights again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import log

from diag.inference.evidence import Piece, Ref
from diag.inference.ground import Ground
from diag.inference.joint import log_mass_rows, repeated
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


def log_evidence_less(whole: Posterior) -> dict[Ref, float]:
    """For each answer and complaint, the natural logarithm of the chance of all the others.

    The posterior must be exact. What can't be left out without other bits or modes is solved by
    itself.
    """
    changes = _changes(whole.ground)
    problem = whole.ground.problem
    weights, fires, pairs = repeated(problem, 1 + len(changes))
    for row, change in enumerate(changes.values(), start=1):
        for mode, factor in change.factors if change else ():
            weights[mode, row] *= factor
        for bit, pair in change.pairs if change else ():
            pairs[bit, :, row] = pair
    log_mass = log_mass_rows(problem, weights, fires, pairs)
    less = (log_mass[1:] - log_mass[0] + whole.log_evidence).tolist()
    network = whole.ground.network
    return {
        ref: value + change.constant if change else log_evidence(network.without(ref))
        for value, (ref, change) in zip(less, changes.items(), strict=True)
    }


def _changes(ground: Ground) -> dict[Ref, _Change | None]:
    """What leaving out each answer changes; None if it takes other bits or modes.

    Only what was said of the same signs is looked at, as nothing else can change.
    """
    network = ground.network
    said: dict[Ref, dict[str, None]] = {}
    of: dict[str, list[Piece]] = {}
    for piece in network.pieces:
        said.setdefault(piece.ref, {})[piece.sign] = None
        of.setdefault(piece.sign, []).append(piece)
    found = {}
    for ref, signs in said.items():
        left = tuple(piece for sign in signs for piece in of[sign] if piece.ref != ref)
        found[ref] = _change(ground, signs, network.with_pieces(left))
    return found


def _change(ground: Ground, signs: Collection[str], rest: Network) -> _Change | None:
    """The change to a network whose evidence on these signs is that of the rest."""
    network = ground.network
    spots = [spot for sign in signs for spot in network.spoken.get(sign, ())]
    if not rest.pairs.keys() <= set(spots):
        return None
    pairs: list[tuple[int, tuple[float, float]]] = []
    gone: set[Spot] = set()
    was_implied = (log(network.implied[spot]) for spot in network.implied if spot[0] in signs)
    constant = rest.log_implied - sum(was_implied)
    for spot in spots:
        pair, left = network.pairs[spot], rest.pairs.get(spot, NOTHING)
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
    for sign in sorted({sign for sign, _ in gone}):
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
