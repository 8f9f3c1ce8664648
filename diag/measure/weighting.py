"""A frequency weighting given as a response, put to a sound block by block."""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    """Filters with responses as of analogue networks, true to them at every rate.

    An impulse response is the inverse transform of the network's response up to half the rate,
    so that it isn't bent near there as a recursive filter would be. Its length of a third of a
    second or more holds all that the slowest pole (20.6 Hz) rings. The filters share the transform
    of what goes in.
    """

    def __init__(self, responses: Sequence[Response], rate_hz: int, channels: int) -> None:
        length = 1 << int(np.ceil(np.log2(rate_hz / 3)))
        hz = np.fft.rfftfreq(length, 1 / rate_hz).astype(np.float64)
        factors = np.array([response(hz) for response in responses])
        # A response without phase rings before the impulse as long as after it.
        taps = np.roll(np.fft.irfft(factors, length), length // 2, axis=-1)
        self._taps: Array = taps[:, None, :]
        self._tail: Array = np.zeros((len(responses), channels, length - 1))
        self._transformed: dict[int, NDArray[np.complex128]] = {}

    def __call__(self, block: Array) -> Array:
        """The next block, of shape (frames, channels), weighted; half a filter's length late.

        Returns:
            Shape (responses, frames, channels).
        """
        from scipy.fft import irfft, next_fast_len, rfft

        frames, late = len(block), self._tail.shape[-1]
        length = next_fast_len(frames + late, real=True)
        if length not in self._transformed:
            self._transformed = {length: rfft(self._taps, length)}
        spectrum = rfft(np.ascontiguousarray(block.T), length)
        whole = irfft(spectrum * self._transformed[length], length)[..., : frames + late]
        whole[..., :late] += self._tail
        self._tail = whole[..., frames:].copy()
        weighted: Array = whole[..., :frames].swapaxes(1, 2)
        return weighted


def audio_band(hz: Array) -> Array:
    """No weighting: 22.4 Hz to 22.4 kHz, with 18 dB an octave outside.

    Source: the unweighted band of ITU-R BS.468-4, from memory.
    """
    with np.errstate(divide="ignore"):
        low = 1 + (LOW_HZ / hz) ** 6
    factors: Array = 1 / np.sqrt(low * (1 + (hz / HIGH_HZ) ** 6))
    return factors
