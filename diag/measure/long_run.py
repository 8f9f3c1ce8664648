"""How far a mean over a stretch of time can be trusted when neighbouring values go together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array

WAVES = 5
"""Slow waves of which the scatter is taken.

More of them would tell the scatter of a flat spectrum better, but that of slow swings falls off
within a few waves: where it halves by 0.3 Hz, eight held the drift of 91 in 100 captures of 12 s,
five that of 95.
"""
STUDENT = 2.571
"""Student's t for 95 % on both sides and five degrees of freedom (any table of it)."""
BINS = 1024


@dataclass(frozen=True, slots=True)
class LongRun:
    """Mean and straight line of a stretch, with half the widths of their 95 % intervals.

    Attributes:
        mean: over the stretch.
        mean_error: its standard error.
        mean_uncertainty: how far the mean of an endless run may lie from it.
        change: from the beginning to the end, by the straight line of least squares.
        change_uncertainty: the same for the change.
    """

    mean: float
    mean_error: float
    mean_uncertainty: float
    change: float
    change_uncertainty: float


def long_run(
    values: Array | NDArray[np.bool_] | NDArray[np.float32], *, straight: bool = False
) -> LongRun:
    """Mean of evenly spaced values of a process that has been running all the time.

    The mean is the slowest of a set of waves, cosines of 0, 1/2, 1, 3/2 ... periods in the stretch.
    A process without a long memory puts as much scatter into the next slow ones as into the mean;
    so the root mean square of five of them is its standard error, and the mean over it goes by
    Student's t (orthonormal series, as econometrics has it; from memory). Swings much faster than
    the stretch is long leak into neither.

    Args:
        values: shape (n,), n at least 32.
        straight: a straight line is no scatter. It takes up the first wave almost whole, which is
            then left out.
    """
    size = max(1, len(values) // BINS)
    count = len(values) // size
    bins = values[: count * size].reshape(count, size).mean(axis=1)
    at = (np.arange(count) + 0.5) / count
    mean = float(bins.mean())
    slope = float((bins - mean) @ (at - 0.5) / ((at - 0.5) @ (at - 0.5)))
    rest = bins - mean - (slope * (at - 0.5) if straight else 0.0)
    first = 2 if straight else 1
    waves = np.cos(np.pi * np.outer(np.arange(first, first + WAVES), at)) * 2**0.5
    error = float(np.sqrt(np.mean((waves @ rest / count) ** 2)))
    # The variance of a slope over that of a mean: one over the variance of an even spread, 1/12.
    return LongRun(mean, error, STUDENT * error, slope, 12**0.5 * STUDENT * error)
