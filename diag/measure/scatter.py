"""Means of many like figures and how far they can be trusted, from their own scatter."""

from __future__ import annotations

import numpy as np

from diag.measure.sound import Array

BATCHES = 20
DB_OF_A_SHARE = 10 / np.log(10)
"""Decibels that a small share of a power makes."""


def batch_means(values: Array, count: int = BATCHES) -> Array:
    """Means of up to `count` groups of neighbours along the first axis, each of one size.

    Neighbours are alike where a tape's level wanders. Means of long stretches scatter as much as
    the wandering asks for; single segments would seem too sure.
    """
    count = min(count, len(values))
    size = len(values) // count
    kept = values[len(values) - count * size :]
    means: Array = kept.reshape(count, size, *values.shape[1:]).mean(axis=1)
    return means


def half_width(batches: Array) -> Array:
    """Half the width of the 95 % interval of the mean along the first axis, by Student's t."""
    from scipy.special import stdtrit

    count = len(batches)
    spread = batches.std(axis=0, ddof=1) / np.sqrt(count)
    wide: Array = spread * float(stdtrit(count - 1, 0.975))
    return wide


def power_db(powers: Array, count: int = BATCHES) -> tuple[Array, Array]:
    """Levels in dB of the means of `powers` along the first axis, and their uncertainties in dB."""
    batches = batch_means(powers, count)
    mean = batches.mean(axis=0)
    return 10 * np.log10(mean), DB_OF_A_SHARE * half_width(batches) / mean
