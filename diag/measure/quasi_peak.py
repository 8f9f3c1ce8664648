"""The quasi-peak meter of ITU-R BS.468-4: quick to rise, slow to fall, in two stages.

The Recommendation gives no circuit, only what bursts of 5 kHz must read. The four time constants
were fitted to the middle of its tables; the farthest row lies 1.5 % off, all well within limits.
"""

from __future__ import annotations

from math import exp

import numpy as np

from diag.measure.sound import Array

ATTACK_S, FALL_S = 1.728e-3, 0.2985
SECOND_ATTACK_S, SECOND_FALL_S = 0.25, 0.324
STEP_S = 0.5e-3
"""The meter moves so little in a step that its reading counts as fixed within."""
SETTLING_S = 2.0
"""From rest to within a thousandth of a steady reading."""


class QuasiPeakMeter:
    """A meter for each channel, set so that a steady sine reads its root mean square."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._step = max(round(STEP_S * rate_hz), 1)
        self._step_s = self._step / rate_hz
        self._first = np.zeros(channels)
        self._second = np.zeros(channels)
        self._rest = np.zeros((0, channels))
        self._scale = 1 / _steady_sine(self._step_s)

    def __call__(self, block: Array) -> Array:
        """Readings after each step of the next block, of shape (steps, channels)."""
        values = np.abs(np.concatenate([self._rest, block]))
        steps = len(values) // self._step
        self._rest = values[steps * self._step :]
        bins = values[: steps * self._step].reshape(steps, self._step, -1)
        charged = self._charge(bins)
        readings = np.stack([self._follow(c, charged[:, c]) for c in range(bins.shape[2])], axis=1)
        return readings * self._scale

    def _charge(self, bins: Array) -> Array:
        """The first stage after each step; it fills while a sample is above it, leaks always."""
        rise = self._step_s / ATTACK_S / self._step
        fall = exp(-self._step_s / FALL_S)
        charged = np.empty((len(bins), bins.shape[2]))
        above = np.empty(bins.shape[1:])
        first = self._first
        for at, values in enumerate(bins):
            np.maximum(np.subtract(values, first, out=above), 0.0, out=above)
            first = (first + rise * np.add.reduce(above)) * fall
            charged[at] = first
        self._first = first
        return charged

    def _follow(self, channel: int, charged: Array) -> Array:
        """The second stage, which moves the pointer, after each step."""
        rise = 1 - exp(-self._step_s / SECOND_ATTACK_S)
        fall = exp(-self._step_s / SECOND_FALL_S)
        second = float(self._second[channel])
        pointer = []
        for first in charged.tolist():
            if first > second:
                second += rise * (first - second)
            second *= fall
            pointer.append(second)
        self._second[channel] = second
        return np.array(pointer)


def _steady_sine(step_s: float) -> float:
    """Raw reading of a steady sine over its root mean square.

    The first stage rests where what it takes in over a cycle is what it loses; the second is a
    fixed share of it.
    """
    wave = np.abs(np.sin(np.linspace(0.0, np.pi, 4096, endpoint=False)))
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        taken = step_s / ATTACK_S * np.maximum(wave - middle, 0.0).mean()
        after = (middle + taken) * exp(-step_s / FALL_S)
        low, high = (middle, high) if after > middle else (low, middle)
    rise = 1 - exp(-step_s / SECOND_ATTACK_S)
    fall = exp(-step_s / SECOND_FALL_S)
    return low * rise * fall / (1 - fall + rise * fall) * 2**0.5
