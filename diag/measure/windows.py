"""A sound cut into windows of one size that overlap, many at a time."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from diag.measure.sound import Array, Sound

AT_A_TIME = 64
"""Windows that are handed out together; even, so that pairs are never torn."""


def window_size(rate_hz: int, seconds: float) -> int:
    """The power of two of samples that is nearest to a time."""
    return int(2 ** round(np.log2(rate_hz * seconds)))


def count_windows(frames: int, size: int) -> int:
    """How many windows there are, each beginning half a window after the one before."""
    return max(0, (frames - size) // (size // 2) + 1)


def windows(sound: Sound, size: int) -> Iterator[Array]:
    """Windows in order, in arrays of shape (up to `AT_A_TIME`, channels, size), not tapered.

    Each begins half a window after the one before; all arrays but the last are full.
    """
    hop = size // 2
    rest = np.empty((0, sound.channels))
    wanted = (AT_A_TIME - 1) * hop + size
    for block in sound.blocks(AT_A_TIME * hop):
        rest = np.concatenate((rest, block))
        while len(rest) >= wanted:
            yield _cut(rest[:wanted], size, hop)
            rest = rest[AT_A_TIME * hop :]
    if len(rest) >= size:
        yield _cut(rest, size, hop)


def taper(size: int) -> Array:
    """A window whose side lobes lie 92 dB down (Blackman and Harris, four terms; from memory)."""
    turn = 2 * np.pi * np.arange(size) / size
    terms = (0.35875, -0.48829, 0.14128, -0.01168)
    found: Array = np.sum([a * np.cos(n * turn) for n, a in enumerate(terms)], axis=0)
    return found


def _cut(values: Array, size: int, hop: int) -> Array:
    found: Array = np.lib.stride_tricks.sliding_window_view(values, size, axis=0)[::hop]
    return found
