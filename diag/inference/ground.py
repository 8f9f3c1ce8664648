"""From a network to the problem that is solved: absent signs absorbed, the rest made bits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray

from diag.inference.network import Course, Link, Network, Spot
from diag.inference.problem import Mode, Problem
from diag.model.figures import SignId


@dataclass(frozen=True, slots=True)
class Silencing:
    """What changes if a sign is absent now: factors of modes, and triggers that can't fire."""

    factors: tuple[tuple[int, float], ...]
    slots: tuple[int, ...]


@dataclass(frozen=True)
class Ground:
    """A network's problem with what its numbers stand for.

    The problem's causes are the network's, in order, and then the leaks of the signs in `leaks`.
    `absent` are certainly absent spots, which have no bit: they went into the weights. `constant`
    is the natural logarithm of the likelihoods taken out with them. `is_now` tells by mode
    whether its cause is present now.
    """

    network: Network
    problem: Problem
    bits: Mapping[Spot, int]
    absent: frozenset[Spot]
    constant: float
    is_now: NDArray[np.bool_]
    leaks: Mapping[str, int]

    @cached_property
    def order(self) -> Mapping[str, int]:
        """The number of each cause in the problem."""
        return {cause: number for number, cause in enumerate(self.network.courses)}

    def silencing(self, sign: str) -> Silencing:
        """What the absence now of a sign without a bit of the present block would change."""
        found: list[tuple[int, float]] = []
        slots: list[int] = []
        for cause in self.network.shown_by.get(sign, ()):
            chance = self.network.shows[cause][SignId(sign)]
            numbered = self.problem.numbered[self.order[cause]]
            for course, (mode, links) in zip(self.network.courses[cause], numbered, strict=True):
                if not course.is_now:
                    continue
                spots = _now_spots(course, sign)
                if self.absent.isdisjoint(spots):
                    found.append((mode, 1 - chance))
                    mask = _mask(spots, self.bits)
                    slots += [slot for slot, bits in links if bits == mask]
        if sign in self.leaks:
            ((mode, links),) = self.problem.numbered[self.leaks[sign]]
            if links:
                found.append((mode, 1 - self.network.leaks[sign]))
                slots += [slot for slot, _ in links]
        return Silencing(tuple(found), tuple(slots))


def ground(network: Network) -> Ground:
    """Absorb what is certainly absent, and number the rest."""
    absent = {spot for spot, (if_absent, if_present) in network.pairs.items() if not if_present}
    absent -= {spot for spot in absent if not network.pairs[spot][0]}
    open_spots = [spot for spot in network.pairs if spot not in absent]
    bits = {spot: number for number, spot in enumerate(open_spots)}
    spots_of: dict[str, list[Spot]] = {}
    for spot in network.pairs:
        spots_of.setdefault(spot[0], []).append(spot)
    causes = [
        tuple(_mode(course, bits, absent) for course in courses)
        for courses in network.courses.values()
    ]
    leaks = {sign: len(causes) + number for number, sign in enumerate(spots_of)}
    for sign, spots in spots_of.items():
        whole = Course(1.0, False, (Link(sign, network.leaks[sign], tuple(spots), False),))
        causes.append((_mode(whole, bits, absent),))
    is_now = [course.is_now for courses in network.courses.values() for course in courses]
    return Ground(
        network=network,
        problem=Problem(tuple(causes), tuple(network.pairs[spot] for spot in open_spots)),
        bits=bits,
        absent=frozenset(absent),
        constant=sum(log(network.pairs[spot][0]) for spot in absent),
        is_now=np.array([*is_now, *[False] * len(leaks)], dtype=bool),
        leaks=leaks,
    )


def _mode(course: Course, bits: Mapping[Spot, int], absent: set[Spot]) -> Mode:
    """A course with what is known not to have fired in its weight, and the rest as triggers."""
    weight = course.weight
    if not course.links:
        return Mode(weight)
    triggers = []
    for link in course.links:
        if not absent.isdisjoint(link.spots):
            weight *= 1 - link.chance
        elif link.chance:
            triggers.append((link.chance, _mask(link.spots, bits)))
    return Mode(weight, tuple(triggers) if weight else ())


def _now_spots(course: Course, sign: str) -> tuple[Spot, ...]:
    """The spots that a cause's present time reaches through its link to a sign."""
    for link in course.links:
        if link.is_now and link.sign == sign:
            return link.spots
    return ()


def _mask(spots: tuple[Spot, ...], bits: Mapping[Spot, int]) -> int:
    mask = 0
    for spot in spots:
        mask |= 1 << bits[spot]
    return mask
