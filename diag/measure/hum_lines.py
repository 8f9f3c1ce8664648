"""The lines of hum in a spectrum, over the hiss beside them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.measure.scatter import batch_means, half_width
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

MAINS_HZ = (50.0, 60.0)
HARMONICS = 10
WINDOW_S = 2.0
HALF_LINE_HZ = 1.25
"""Half the width of a line in the spectrum of such a window."""
DRIFT = 2e-3
"""By which the mains frequency and the card's clock may be off together."""
FLOOR_HZ = 3.5
"""So much to each side of a line tells the hiss under it; lines of 50 and 60 Hz mains lie 10 Hz
apart where they don't coincide."""
STANDS_OUT = 2.0
"""A line is there if it is so many times its uncertainty: some four standard errors."""
SHARED_HZ = 300.0
"""Multiples of this are lines of both mains frequencies."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Mean squares of the lines of a mains frequency in one channel, (batches, lines)."""

    mains_hz: float
    power: Array

    @property
    def hz(self) -> Array:
        """The frequency of each line."""
        return self.mains_hz * np.arange(1.0, self.power.shape[1] + 1)

    @property
    def mean(self) -> Array:
        """Mean square of each line; it may come out below nothing."""
        mean: Array = self.power.mean(axis=0)
        return mean

    @property
    def uncertainty(self) -> Array:
        """Of each mean."""
        return half_width(self.power)

    @property
    def stand_out(self) -> NDArray[np.bool_]:
        """Which lines are there without a doubt."""
        there: NDArray[np.bool_] = self.mean > STANDS_OUT * self.uncertainty
        return there

    def own_power(self) -> float:
        """Power of the lines that stand out and that the other mains frequency hasn't."""
        return float(self.mean[self.stand_out & (self.hz % SHARED_HZ > 0)].sum())

    def total(self) -> tuple[float, float]:
        """Mean square of all lines together, and its uncertainty."""
        power = self.power.sum(axis=1)
        return float(power.mean()), float(half_width(power))


def hum_lines(sound: Sound) -> list[tuple[Lines, ...]]:
    """The lines of 50 and of 60 Hz mains, for each channel."""
    length = round(WINDOW_S * sound.rate_hz)
    taper = np.hanning(length + 1)[:-1, None]
    bins = round(WINDOW_S * (MAINS_HZ[-1] * HARMONICS * (1 + DRIFT) + 10))
    hz = np.arange(bins) / WINDOW_S
    weights = [_line_weights(hz, mains_hz) for mains_hz in MAINS_HZ]
    scale = 2 / (length * float((taper**2).sum()))
    windows = []
    for piece in segments(sound, length, length // 2):
        power = np.abs(np.fft.rfft((piece - piece.mean(axis=0)) * taper, axis=0)[:bins]) ** 2
        windows.append([one @ power * scale for one in weights])
    batches = batch_means(np.array(windows))
    return [
        tuple(
            Lines(mains_hz, batches[:, which, :, channel])
            for which, mains_hz in enumerate(MAINS_HZ)
        )
        for channel in range(sound.channels)
    ]


def _line_weights(hz: Array, mains_hz: float) -> Array:
    """Weights of the bins, (lines, bins), that sum up a line and take off the hiss under it."""
    weights = np.zeros((HARMONICS, len(hz)))
    for line in range(HARMONICS):
        middle = mains_hz * (line + 1)
        half = HALF_LINE_HZ + DRIFT * middle
        away = np.abs(hz - middle)
        inside = away <= half
        beside = (away > half) & (away <= half + FLOOR_HZ)
        weights[line, inside] = 1.0
        weights[line, beside] = -inside.sum() / beside.sum()
    return weights
