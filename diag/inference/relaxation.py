"""Bits taken out of a problem, and how strongly the modes of its causes set them.

Given the modes, a bit is unset with probability exp(-x), where x is the sum of the rates of the
triggers that could set it; a trigger of probability q has the rate -log(1 - q). All that is
needed of a bit is then f(x) = log(L0 exp(-x) + L1 (1 - exp(-x))), the logarithm of its evidence.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import log1p

import numpy as np

from diag.inference.masks import positions
from diag.inference.problem import Mode, Problem
from diag.inference.values import Array, Indices

STEEPEST = 4.0
"""Greater rates are cut to this, as bounds are far off there; they allow for the cut."""

LEAST_PULL = -75.0
"""How far, in nats, tangents may push a mode below another of its cause: what is possible stays so,
and eight causes at once are within the range of floats."""


@dataclass(frozen=True)
class Relaxation:
    """Relaxed bits of a problem; of bits that are tied, all or none."""

    problem: Problem
    bits: tuple[int, ...]

    @cached_property
    def rest(self) -> Problem:
        """The problem of the other bits; causes and modes keep their numbers."""
        kept = [bit for bit in range(len(self.problem.pairs)) if bit not in self.bits]
        number = {bit: 1 << at for at, bit in enumerate(kept)}
        causes = tuple(
            tuple(Mode(mode.weight, self._left(mode, number)) for mode in modes)
            for modes in self.problem.causes
        )
        return Problem(causes, tuple(self.problem.pairs[bit] for bit in kept))

    @cached_property
    def causes(self) -> list[int]:
        """The causes that can set a relaxed bit."""
        return [c for c, mask in enumerate(self.problem.masks) if mask & self._gone]

    @cached_property
    def modes(self) -> Indices:
        """The modes of those causes."""
        found = [number for cause in self.causes for number, _ in self.problem.laid(cause)]
        return np.array(found, dtype=np.intp)

    @cached_property
    def owner(self) -> Indices:
        """For each of those modes, the place of its cause in `causes`."""
        counts = [len(self.problem.causes[cause]) for cause in self.causes]
        return np.repeat(np.arange(len(counts)), counts)

    @cached_property
    def first(self) -> Indices:
        """For each of those causes, the place of its first mode in `modes`."""
        return np.flatnonzero(np.diff(self.owner, prepend=-1))

    @cached_property
    def rates(self) -> Array:
        """Rate at which each of those modes sets each bit, shape (bits, modes)."""
        row = {bit: at for at, bit in enumerate(self.bits)}
        rates = np.zeros((len(self.bits), len(self.modes)))
        column = 0
        for cause in self.causes:
            for mode in self.problem.causes[cause]:
                for chance, mask in mode.triggers:
                    for bit in positions(mask & self._gone):
                        rates[row[bit], column] += rate_of(chance)
                column += 1
        return rates

    @cached_property
    def pairs(self) -> Array:
        """Likelihoods of the relaxed bits if unset and if set, shape (2, bits)."""
        return np.array([self.problem.pairs[bit] for bit in self.bits]).reshape(-1, 2).T

    @cached_property
    def cut(self) -> Array:
        """How far f can be off because rates were cut, in nats, shape (bits,)."""
        off: Array = np.abs(np.log(self.pairs[1]) - log_likelihood(self.pairs, np.array(STEEPEST)))
        return off

    @cached_property
    def _gone(self) -> int:
        return sum(1 << bit for bit in self.bits)

    def _left(self, mode: Mode, number: dict[int, int]) -> tuple[tuple[float, int], ...]:
        return tuple(
            (chance, sum(number[bit] for bit in positions(mask)))
            for chance, mask in mode.triggers
            if not mask & self._gone
        )


def rate_of(chance: float) -> float:
    """The rate of a trigger of this probability, cut to `STEEPEST`."""
    return STEEPEST if chance >= 1 else min(STEEPEST, -log1p(-chance))


def log_likelihood(pairs: Array, rate: Array) -> Array:
    """f: `pairs` gives the likelihoods (unset, set), each of a shape that fits that of `rate`."""
    unset, is_set = pairs
    with np.errstate(divide="ignore"):
        value: Array = np.log(unset * np.exp(-rate) - is_set * np.expm1(-rate))
    return value


def slope(pairs: Array, rate: Array) -> Array:
    """The derivative of f by the rate, above 0."""
    unset, is_set = pairs
    silent = np.exp(-rate)
    value: Array = (is_set - unset) * silent / (unset * silent - is_set * np.expm1(-rate))
    return value


def tied(problem: Problem) -> list[list[int]]:
    """Bits that triggers set together, in groups; every bit is in one."""
    groups = [1 << bit for bit in range(len(problem.pairs))]
    together = {m for modes in problem.causes for mode in modes for _, m in mode.triggers}
    for mask in together:
        if mask.bit_count() > 1:
            apart = [group for group in groups if not group & mask]
            joined = sum(group for group in groups if group & mask)
            groups = [*apart, joined]
    return [positions(group) for group in groups]
