"""Bounds of relaxed bits as factors on the modes of causes, in several rows at once.

f (see `relaxation`) is concave in x where L1 >= L0, else convex. A tangent of f bounds it on one
side. By Jensen's inequality the sum over causes of r f(least + excess / r), with shares r that
sum to one, bounds it on the other: `least` is the rate that is there whatever the modes, `excess`
what a cause's mode adds. Both are sums over causes, so each is a factor on every mode. (Jaakkola
and Jordan, Journal of Artificial Intelligence Research 10, 1999, for two modes and present signs.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.inference.relaxation import Relaxation, log_likelihood, slope
from diag.inference.values import Array

NEVER_LESS = 0.1
"""Tangents touch at a rate of at least this: that of a certainly present sign is steep at 0."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Factors:
    """Logarithms of a factor on every mode, shape (modes, rows), and on every row (rows,)."""

    modes: Array
    rows: Array


@dataclass(frozen=True, slots=True, eq=False)
class Reweighting:
    """A relaxation in rows, in each of which some modes are ruled out.

    `least` (bits, rows) and `excess` (bits, modes, rows) divide the rates; see the module.
    """

    relaxation: Relaxation
    least: Array
    excess: Array

    def middle(self, modes: Array) -> Array:
        """Expected rate of each bit where modes have these probabilities, shape (bits, rows)."""
        middle: Array = self.least + np.einsum("bmr,mr->br", self.excess, modes)
        return np.maximum(middle, NEVER_LESS)

    def tangent(self, at: Array, used: Flags) -> Factors:
        """The tangents at the rates `at` (bits, rows), of the bits in `used` (bits,)."""
        pairs = self.relaxation.pairs[..., None]
        steep = slope(pairs, at) * used[:, None]
        value = log_likelihood(pairs, at) * used[:, None] + steep * (self.least - at)
        return Factors(np.einsum("br,bmr->mr", steep, self.excess), value.sum(axis=0))

    def jensen(self, shares: Array, used: Flags) -> Factors:
        """Jensen's bound with these shares (bits, causes, rows), of the bits in `used`."""
        pairs = self.relaxation.pairs[..., None]
        share = shares[:, self.relaxation.owner]
        has = share > 0
        safe = np.where(has, share, 1.0)
        part = safe * log_likelihood(pairs[..., None], self.least[:, None] + self.excess / safe)
        settled = used[:, None] & ~(shares > 0).any(axis=1)
        whole = np.where(settled, log_likelihood(pairs, self.least), 0.0)
        return Factors(
            np.where(has & used[:, None, None], part, 0.0).sum(axis=0), whole.sum(axis=0)
        )

    def even(self) -> Array:
        """Shares in proportion to the greatest excess of each cause, (bits, causes, rows)."""
        return _normal(np.maximum.reduceat(self.excess, self.relaxation.first, axis=1))

    def better(self, shares: Array, modes: Array) -> Array:
        """Shares that fit better where modes have these probabilities (modes, rows).

        One step of the iteration that Jaakkola and Jordan give.
        """
        pairs = self.relaxation.pairs[..., None, None]
        share = shares[:, self.relaxation.owner]
        has = share > 0
        least = np.maximum(self.least, NEVER_LESS)[:, None]
        more = self.excess / np.where(has, share, 1.0)
        gain = log_likelihood(pairs, least + more) - log_likelihood(pairs, least)
        gain = np.abs(gain - more * slope(pairs, least + more)) * modes * has
        return _normal(shares * np.add.reduceat(gain, self.relaxation.first, axis=1))


def reweighting(relaxation: Relaxation, alive: Flags) -> Reweighting:
    """Rows in which only some of the relaxation's modes are `alive` (modes, rows)."""
    rates = relaxation.rates[:, :, None]
    smallest = np.minimum.reduceat(np.where(alive, rates, np.inf), relaxation.first, axis=1)
    smallest = np.where(np.isfinite(smallest), smallest, 0.0)
    excess = np.where(alive, rates - smallest[:, relaxation.owner], 0.0)
    return Reweighting(relaxation, smallest.sum(axis=1), excess)


def _normal(shares: Array) -> Array:
    """Shares that sum to one for each bit and row, or are all 0; tiny ones are dropped."""
    total = shares.sum(axis=1, keepdims=True)
    shares = np.where(shares > 1e-12 * total, shares, 0.0)
    total = shares.sum(axis=1, keepdims=True)
    return shares / np.where(total > 0, total, 1.0)
