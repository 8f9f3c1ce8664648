"""A frequency weighting given as a response, put to a sound block by block."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array

Response: TypeAlias = Callable[[Array], NDArray[Any]]
"""From frequencies in Hz to factors, real or complex."""

SETTLING_S = 0.8
"""Longer than the longest of the filters: what comes earlier hasn't filled it yet."""
LOW_HZ, HIGH_HZ = 22.4, 22_400.0


class Weighting:
    """A filter with a response as of an analogue network, true to it at every rate.

    The impulse response is the inverse transform of the network's response up to half the rate,
    so that it isn't bent near there as a recursive filter would be. Its length of a third of a
    second or more holds all that the slowest pole (20.6 Hz) rings.
    """

    def __init__(self, response: Response, rate_hz: int, channels: int) -> None:
        length = 1 << int(np.ceil(np.log2(rate_hz / 3)))
        factors = response(np.fft.rfftfreq(length, 1 / rate_hz).astype(np.float64))
        # A response without phase rings before the impulse as long as after it.
        taps = np.roll(np.fft.irfft(factors, length), length // 2)
        self._taps: Array = taps[:, None]
        self._tail: Array = np.zeros((length - 1, channels))

    def __call__(self, block: Array) -> Array:
        """The next block weighted; of its shape, half the filter's length late."""
        from scipy.signal import oaconvolve

        whole = oaconvolve(block, self._taps, axes=0)
        whole[: len(self._tail)] += self._tail
        self._tail = whole[len(block) :]
        weighted: Array = whole[: len(block)]
        return weighted


def audio_band(hz: Array) -> Array:
    """No weighting: 22.4 Hz to 22.4 kHz, with 18 dB an octave outside.

    Source: the unweighted band of ITU-R BS.468-4, from memory.
    """
    with np.errstate(divide="ignore"):
        low = 1 + (LOW_HZ / hz) ** 6
    factors: Array = 1 / np.sqrt(low * (1 + (hz / HIGH_HZ) ** 6))
    return factors
