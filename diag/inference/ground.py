"""From a network to the problem that is solved: absent signs absorbed, the rest made bits.

A sign in a block can be relaxed instead: the logarithm of its evidence, as a function of the rate
at which it is set (see `relaxation`), is replaced by its tangent. That, too, goes into the weights.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, log, log1p
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.inference.network import Course, Link, Network, Spot
from diag.inference.problem import Mode, Problem
from diag.inference.relaxation import LEAST_PULL, log_likelihood, rate_of, slope
from diag.model.figures import SignId

Pulled: TypeAlias = tuple[tuple[Mode, ...], tuple[float, ...]]
"""A cause's modes, and the logarithm of what tangents make of the weight of each."""


@dataclass(frozen=True, slots=True)
class Silencing:
    """What changes if a sign is absent now.

    It is factors of modes, triggers that can't fire, and a factor of the whole.
    """

    factors: tuple[tuple[int, float], ...]
    slots: tuple[int, ...]
    whole: float


@dataclass(frozen=True, slots=True)
class Tangent:
    """The line that stands for a relaxed spot's evidence: `level` at rate 0, and its slope.

    It touches at the rate `at`.
    """

    at: float
    level: float
    slope: float


def tangent(pair: tuple[float, float], at: float) -> Tangent:
    """The tangent of the evidence of this pair at a rate above 0."""
    both, rate = np.array(pair), np.array(at)
    steep = float(slope(both, rate))
    return Tangent(at, float(log_likelihood(both, rate)) - steep * at, steep)


@dataclass(frozen=True)
class Ground:
    """A network's problem with what its numbers stand for.

    The problem's causes are the network's, in order, and then the leaks of the signs in `leaks`.
    `absent` are certainly absent spots, which have no bit: they went into the weights. So did the
    tangents of the `relaxed` spots. `constant` is the natural logarithm of the likelihoods taken
    out with both, and of what is implied. `is_now` tells by mode whether its cause is present now;
    `leaks` numbers the leak of each sign that was spoken of.
    """

    network: Network
    problem: Problem
    bits: Mapping[Spot, int]
    absent: frozenset[Spot]
    relaxed: Mapping[Spot, Tangent]
    constant: float
    is_now: NDArray[np.bool_]
    leaks: Mapping[str, int]

    @cached_property
    def order(self) -> Mapping[str, int]:
        """The number of each cause in the problem."""
        return {cause: number for number, cause in enumerate(self.network.start)}

    @property
    def touching(self) -> Mapping[Spot, float]:
        """The rates at which the tangents of the relaxed spots touch."""
        return {spot: line.at for spot, line in self.relaxed.items()}

    def silencing(self, sign: str) -> Silencing:
        """What the absence now of a sign without a bit of the present block would change."""
        found: list[tuple[int, float]] = []
        slots: list[int] = []
        network = self.network
        spoken = network.spoken.get(sign, ())
        shows, touches, name = network.shows, network.touches, SignId(sign)
        is_plain = not spoken and not self.relaxed
        for cause in network.shown_by.get(sign, ()):
            chance, number = shows[cause][name], self.order[cause]
            if cause in touches:
                for at, course in enumerate(network.courses_of(cause)):
                    if course.is_now:
                        spots = _now_spots(course, sign)
                        self._silence((number, at), spots, chance, found, slots)
            elif is_plain:  # most signs: the short way of what `_silence` does
                found.append((self.problem.begins[number] + 1, 1 - chance))
            else:
                self._silence((number, 1), spoken, chance, found, slots)
        leak, whole = network.leaks[sign], 1.0
        if spoken:
            self._silence((self.leaks[sign], 0), spoken, leak, found, slots)
        else:
            whole = 1 - leak
        now = (sign, network.now(sign))
        if now in self.relaxed:
            whole *= network.pairs[now][0] / exp(self.relaxed[now].level)
        return Silencing(tuple(found), tuple(slots), whole)

    def _silence(
        self,
        at: tuple[int, int],
        spots: tuple[Spot, ...],
        chance: float,
        found: list[tuple[int, float]],
        slots: list[int],
    ) -> None:
        """Add what changes if a mode, (cause, its place), leaves its link to these spots silent."""
        cause, place = at
        if not self.absent.isdisjoint(spots):
            return
        factor = 1 - chance
        if self.relaxed and factor:
            factor = exp(log1p(-chance) - _pull(spots, chance, self.relaxed))
        found.append((self.problem.begins[cause] + place, factor))
        if mask := _mask(spots, self.bits):
            _, links = self.problem.laid(cause)[place]
            slots += [slot for slot, bits in links if bits == mask]


def ground(network: Network, relax: Mapping[Spot, float] | None = None) -> Ground:
    """Absorb what is certainly absent, and number the rest.

    `relax` gives spots to be relaxed, if they are not absent, with the rates at which their
    tangents touch.
    """
    absent = {spot for spot, (if_absent, if_present) in network.pairs.items() if not if_present}
    absent -= {spot for spot in absent if not network.pairs[spot][0]}
    relaxed = {
        spot: tangent(pair, (relax or {})[spot])
        for spot, pair in network.pairs.items()
        if relax and spot in relax and pair[1]
    }
    open_spots = [spot for spot in network.pairs if spot not in absent and spot not in relaxed]
    bits = {spot: number for number, spot in enumerate(open_spots)}
    constant = sum(log(network.pairs[spot][0]) for spot in absent) + network.log_implied
    every, is_now = _of_causes(network, bits, absent, relaxed)
    leaks = {sign: len(every) + number for number, sign in enumerate(network.spoken)}
    for sign, spots in network.spoken.items():
        whole = Course(1.0, False, (Link(sign, network.leaks[sign], spots, False),))
        every.append(_modes((whole,), bits, absent, relaxed))
    if relaxed:
        scaled = [_scaled(modes, pulls) for modes, pulls in every]
        causes = tuple(modes for modes, _ in scaled)
        constant += sum(line.level for line in relaxed.values()) + sum(top for _, top in scaled)
    else:
        causes = tuple(modes for modes, _ in every)
    return Ground(
        network=network,
        problem=Problem(causes, tuple(network.pairs[spot] for spot in open_spots)),
        bits=bits,
        absent=frozenset(absent),
        relaxed=relaxed,
        constant=constant,
        is_now=np.array([*is_now, *[False] * len(leaks)], dtype=bool),
        leaks=leaks,
    )


def _of_causes(
    network: Network, bits: Mapping[Spot, int], absent: set[Spot], relaxed: Mapping[Spot, Tangent]
) -> tuple[list[Pulled], list[bool]]:
    """The modes of every cause, and by mode whether the cause is present now."""
    every: list[Pulled] = []
    is_now: list[bool] = []
    present, pulled = _untouched(network, bits, absent, relaxed)
    for cause, prior in network.start.items():
        if cause in network.touches:
            courses = network.courses_of(cause)
            every.append(_modes(courses, bits, absent, relaxed))
            is_now += [course.is_now for course in courses]
        else:
            every.append(((Mode(1 - prior), present[cause]), (0.0, pulled.get(cause, 0.0))))
            is_now += (False, True)
    return every, is_now


def _untouched(
    network: Network, bits: Mapping[Spot, int], absent: set[Spot], relaxed: Mapping[Spot, Tangent]
) -> tuple[dict[str, Mode], dict[str, float]]:
    """The mode of being present of each cause that nothing touched, and its pull.

    It is what `_mode` makes of the cause's course, sign by sign instead of cause by cause, as most
    causes of a book were not touched.
    """
    weights = dict(network.start)
    pulls: dict[str, float] = {}
    triggers: dict[str, list[tuple[float, int]]] = {}
    shows, shown_by, touches = network.shows, network.shown_by, network.touches
    for sign, spots in network.spoken.items():
        name, mask = SignId(sign), _mask(spots, bits)
        is_absent = not absent.isdisjoint(spots)
        for cause in shown_by.get(sign, ()):
            if cause in touches:
                continue
            chance = shows[cause][name]
            if is_absent:
                weights[cause] *= 1 - chance
                continue
            if relaxed:
                pulls[cause] = pulls.get(cause, 0.0) + _pull(spots, chance, relaxed)
            if mask and chance:
                triggers.setdefault(cause, []).append((chance, mask))
    modes = {
        cause: Mode(weight, tuple(triggers.get(cause, ())) if weight else ())
        for cause, weight in weights.items()
    }
    return modes, pulls


def _modes(
    courses: Sequence[Course],
    bits: Mapping[Spot, int],
    absent: set[Spot],
    relaxed: Mapping[Spot, Tangent],
) -> Pulled:
    """The modes of these courses and their pulls."""
    found = [_mode(course, bits, absent, relaxed) for course in courses]
    return tuple(mode for mode, _ in found), tuple(pull for _, pull in found)


def _mode(
    course: Course, bits: Mapping[Spot, int], absent: set[Spot], relaxed: Mapping[Spot, Tangent]
) -> tuple[Mode, float]:
    """A course with what is known not to have fired in its weight, the rest as triggers; its pull.

    The pull is the logarithm of what tangents make of its weight.
    """
    weight, pull = course.weight, 0.0
    if not course.links:
        return Mode(weight), pull
    triggers = []
    for link in course.links:
        if not absent.isdisjoint(link.spots):
            weight *= 1 - link.chance
        elif link.chance:
            if relaxed:
                pull += _pull(link.spots, link.chance, relaxed)
            if mask := _mask(link.spots, bits):
                triggers.append((link.chance, mask))
    return Mode(weight, tuple(triggers) if weight else ()), pull


def _scaled(modes: tuple[Mode, ...], pulls: tuple[float, ...]) -> tuple[tuple[Mode, ...], float]:
    """A cause's modes, pulled as far as they are below the strongest pull, and that pull.

    Tangents of many spots together would overflow.
    """
    top = max((p for mode, p in zip(modes, pulls, strict=True) if mode.weight), default=0.0)
    return tuple(
        Mode(mode.weight * exp(min(max(pull - top, LEAST_PULL), 0.0)), mode.triggers)
        for mode, pull in zip(modes, pulls, strict=True)
    ), top


def _pull(spots: tuple[Spot, ...], chance: float, relaxed: Mapping[Spot, Tangent]) -> float:
    """The logarithm of the factor that a link's presence makes by tangents of relaxed spots."""
    steep = sum(relaxed[spot].slope for spot in spots if spot in relaxed)
    return steep * rate_of(chance) if steep else 0.0


def _now_spots(course: Course, sign: str) -> tuple[Spot, ...]:
    """The spots that a cause's present time reaches through its link to a sign."""
    for link in course.links:
        if link.is_now and link.sign == sign:
            return link.spots
    return ()


def _mask(spots: tuple[Spot, ...], bits: Mapping[Spot, int]) -> int:
    """The bits of those spots that have one."""
    mask = 0
    for spot in spots:
        if spot in bits:
            mask |= 1 << bits[spot]
    return mask
