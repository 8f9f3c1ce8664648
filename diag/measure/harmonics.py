"""Harmonics of a tone over the tone itself, told from the noise by keeping step with it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.by_channel import Values
from diag.measure.scatter import BATCHES, batch_means
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

WINDOW_S = 0.25
"""Windows don't overlap: shares of neighbours would be alike, and their scatter too small."""
OFF = 0.1
"""By how much of its frequency a tone may sway within a window."""
PLAYS = 0.9
"""Share of the usual size from which the tone plays all through a window: 1 dB down."""
USUAL = 0.75
"""The usual size is exceeded in the rest of the windows, so that the tone may come late."""
ORDERS = 10
HIGHEST_HZ = 20_000.0
STUDENT = 2.024
"""Student's t for 95 % of 20 batches that scatter in two directions: 38 degrees of freedom."""


@dataclass(frozen=True, slots=True, eq=False)
class Harmonics:
    """Harmonics over the fundamental: `share` and `error` of shape (orders from 2, channels).

    A share is complex; its phase is that against as many times the fundamental's. An error is
    the standard error in any one direction.
    """

    share: NDArray[np.complex128]
    error: Array

    def size(self, orders: slice) -> Array:
        """Root of the sum of squares of some harmonics in each channel, as it was found."""
        size: Array = np.sqrt((np.abs(self.share[orders]) ** 2).sum(axis=0))
        return size

    def without_noise(self, orders: slice) -> Values:
        """The same with what noise adds to it taken off, and its uncertainty."""
        single = self.error[orders] ** 2
        squares = np.abs(self.share[orders]) ** 2
        total = np.maximum((squares - 2 * single).sum(axis=0), 0.0)
        # The square of a harmonic scatters by twice its error times its size, and where noise
        # outweighs it, times the noise.
        spread = np.maximum((single * (squares - single)).sum(axis=0), (single**2).sum(axis=0))
        wide = 2 * STUDENT * np.sqrt(spread)
        root = np.sqrt(total)
        lower = root - np.sqrt(np.maximum(total - wide, 0.0))
        return Values(root, np.maximum(np.sqrt(total + wide) - root, lower))


def harmonics(sound: Sound, hz: float) -> Harmonics:
    """The second to the tenth harmonic of a tone near a frequency, as far as 20 kHz.

    In each window the fundamental's own phase turns the sound back, once for the fundamental and
    k times for the harmonic of order k, and what then stands still is summed. Flutter smears
    nothing, and noise, which keeps no step, averages out. Windows in which the tone begins, ends or
    drops out don't count: its edge would pass for harmonics.

    Raises:
        MeasureError: the tone plays steadily for less than five seconds.
    """
    length = round(WINDOW_S * sound.rate_hz)
    taper = np.hanning(length + 1)[:-1, None]
    bins = np.fft.rfftfreq(length, 1 / sound.rate_hz)
    near = np.abs(bins - hz) < OFF * hz
    highest = min(0.48 * sound.rate_hz, HIGHEST_HZ) / (1 + OFF) / hz
    orders = range(2, min(ORDERS, int(highest)) + 1)
    shares, sizes = [], []
    for piece in segments(sound, length):
        tapered = (piece - piece.mean(axis=0)) * taper
        turning = _turning(tapered, near)
        power = turning.copy()
        own = (tapered * power).sum(axis=0)
        sizes.append(np.abs(own))
        own[own == 0] = 1.0  # nothing at all, of which no share can be told
        of_orders = []
        for _ in orders:
            power *= turning
            of_orders.append((tapered * power).sum(axis=0) / own)
        shares.append(of_orders)
    plays = _plays(np.array(sizes))
    if plays.sum() < BATCHES:
        raise MeasureError(
            f"the tone of {hz:.0f} Hz plays steadily for {plays.sum() * WINDOW_S:.1f} s only; "
            f"{BATCHES * WINDOW_S:g} s are needed.",
            do="Record more of the level tone.",
        )
    batches = batch_means(np.array(shares)[plays])
    mean = batches.mean(axis=0)
    # Noise scatters alike in both directions of the plane.
    squares = (np.abs(batches - mean) ** 2).sum(axis=0) / 2
    return Harmonics(mean, np.sqrt(squares / (len(batches) * (len(batches) - 1))))


def _plays(sizes: Array) -> NDArray[np.bool_]:
    """In which windows the tone plays all through, in every channel; sizes (windows, channels)."""
    usual = np.quantile(sizes, USUAL, axis=0)
    plays: NDArray[np.bool_] = np.all(sizes >= PLAYS * usual, axis=1)
    return plays


def _turning(tapered: Array, near: NDArray[np.bool_]) -> NDArray[np.complex128]:
    """Unit factors that turn back with the phase of the fundamental, sample by sample."""
    spectrum = np.fft.rfft(tapered, axis=0)
    whole = np.zeros(tapered.shape, dtype=np.complex128)
    whole[: len(spectrum)][near] = spectrum[near]
    fundamental = np.fft.ifft(whole, axis=0)
    turning: NDArray[np.complex128] = np.exp(-1j * np.angle(fundamental))
    return turning
