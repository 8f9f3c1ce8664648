"""How the power of a sound is spread over frequency, and the tone that stands out in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

WINDOW_S = 0.35
TONE_WIDTH = 0.03
"""A tone off a tape is smeared by flutter; it is looked for within 3 % to each side."""
THIRD_OCTAVES = np.arange(-15, 14)
"""Bands from 31.5 Hz to 20 kHz, in tenths of a decade from 1 kHz."""


@dataclass(frozen=True, slots=True, eq=False)
class PowerSpectrum:
    """Mean square in each bin: `power` of shape (bins, channels), `hz` of shape (bins)."""

    hz: Array
    power: Array

    def between(self, low_hz: float, high_hz: float) -> Array:
        """Mean square of each channel between two frequencies."""
        inside = (self.hz >= low_hz) & (self.hz < high_hz)
        total: Array = self.power[inside].sum(axis=0)
        return total

    def around(self, hz: float) -> Array:
        """Mean square of each channel of a tone at a frequency."""
        spread = max(TONE_WIDTH * hz, 3 * self.hz[1])
        return self.between(hz - spread, hz + spread)

    def strongest_hz(self, channel: int, low_hz: float, high_hz: float) -> float:
        """Where the strongest bin between two frequencies lies, as the weighted mean around it."""
        inside = np.flatnonzero((self.hz >= low_hz) & (self.hz < high_hz))
        peak = int(inside[np.argmax(self.power[inside, channel])])
        near = slice(max(peak - 2, 1), peak + 3)
        return float(np.average(self.hz[near], weights=self.power[near, channel] + 1e-300))


def power_spectrum(sound: Sound) -> PowerSpectrum:
    """Mean of the spectra of windows of about a third of a second that overlap by half."""
    from scipy.fft import rfft

    length = 1 << round(np.log2(WINDOW_S * sound.rate_hz))
    taper = np.hanning(length + 1)[:-1]
    power = np.zeros((sound.channels, length // 2 + 1))
    count = 0
    for piece in segments(sound, length, length // 2):
        # Channels one after the other: transforms along the long side of a piece are slow.
        lines = np.ascontiguousarray(piece.T)
        spectrum = rfft((lines - lines.mean(axis=1, keepdims=True)) * taper)
        power += spectrum.real**2 + spectrum.imag**2
        count += 1
    power *= 2 / (max(count, 1) * length * float((taper**2).sum()))
    hz: Array = np.fft.rfftfreq(length, 1 / sound.rate_hz).astype(np.float64)
    return PowerSpectrum(hz, power.T)


def third_octaves(spectrum: PowerSpectrum, channel: int) -> tuple[Array, Array]:
    """Middles in Hz and mean squares of the bands of a third of an octave that the rate allows."""
    middles = 1000 * 10 ** (THIRD_OCTAVES / 10)
    middles = middles[middles * 10**0.05 < spectrum.hz[-1]]
    bands = [spectrum.between(at * 10**-0.05, at * 10**0.05)[channel] for at in middles]
    return middles, np.array(bands)
