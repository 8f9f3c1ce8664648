"""Sums over runs of consecutive rows of an array."""

from __future__ import annotations

import numpy as np

from diag.inference.values import Array, Indices

NARROW = 4
"""Columns up to which numpy's own way is the faster one; it takes ten times as long at 70."""


def segment_sums(numbers: Array, first: Indices) -> Array:
    """Sum the rows of each run, shape (runs, columns); `first` has the row with which it begins.

    Every run has a row, and the last one goes to the end.
    """
    found: Array
    if numbers.shape[1] <= NARROW:
        found = np.add.reduceat(numbers, first, axis=0)
        return found
    lengths = np.diff(first, append=len(numbers))
    found = numbers[first]
    for at in range(1, int(lengths.max())):
        longer = np.flatnonzero(lengths > at)
        found[longer] += numbers[first[longer] + at]
    return found
