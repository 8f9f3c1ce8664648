"""Decks with flutter that is drawn at random, whose true readings are known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.measure.flutter_weighting import Response
from diag.measure.sound import Array

LONGER = 4
"""A capture is cut out of a run so many times as long, so that its slow swings don't fit in."""
FASTEST_HZ = 150.0
DRAWN_HZ = 4000


@dataclass(frozen=True, slots=True)
class Deck:
    """Flutter of a deck: a broad band that falls with the rate, and what turns evenly.

    Attributes:
        broad: root mean square of the broad band, as a share of the speed.
        even: pairs of rate in Hz and peak of swings that stay the same.
        knee_hz: below it the broad band has the same power at every rate; above, 1 / rate^1.5.
    """

    broad: float
    even: tuple[tuple[float, float], ...] = ()
    knee_hz: float = 1.0

    def draw(self, seconds: float, rate_hz: int, seed: int) -> Array:
        """A speed error at every sample of a capture."""
        draw = np.random.default_rng(seed)
        count = round(LONGER * seconds * DRAWN_HZ)
        rates_hz = np.fft.rfftfreq(count, 1 / DRAWN_HZ)
        upto = int(np.searchsorted(rates_hz, FASTEST_HZ))
        size = np.sqrt(self._power(rates_hz[:upto]) * rates_hz[1]) * count / 2
        spectrum = np.zeros(len(rates_hz), complex)
        spectrum[:upto] = size * (draw.standard_normal(upto) + 1j * draw.standard_normal(upto))
        # Half a bin of power; without it means of captures would scatter too little.
        spectrum[0] = size[0] * 2**0.5 * draw.standard_normal()
        broad = np.fft.irfft(spectrum, count)
        at = np.arange(round(seconds * rate_hz)) / rate_hz
        speed: Array = np.interp(at, np.arange(count) / DRAWN_HZ, broad)
        for swing_hz, peak in self.even:
            speed += peak * np.sin(2 * np.pi * swing_hz * at + draw.uniform(0, 2 * np.pi))
        return speed

    def rms(self, response: Response) -> float:
        """True root mean square behind a response."""
        return float(
            np.hypot(self._broad(response), np.sqrt(np.sum(self._even(response) ** 2 / 2)))
        )

    def two_sigma(self, response: Response) -> float:
        """True value that is exceeded 5 % of the time, of a million draws."""
        draw = np.random.default_rng(1)
        sizes = self._broad(response) * draw.standard_normal(1_000_000)
        for peak in self._even(response):
            sizes += peak * np.sin(draw.uniform(0, 2 * np.pi, len(sizes)))
        return float(np.quantile(np.abs(sizes), 0.95))

    def _power(self, rates_hz: Array) -> Array:
        """Power density by rate."""
        fine = np.linspace(0, FASTEST_HZ, 100_001)
        whole = np.trapezoid(_shape(fine, self.knee_hz), fine)
        power: Array = self.broad**2 / whole * _shape(rates_hz, self.knee_hz)
        return power

    def _broad(self, response: Response) -> float:
        rates_hz = np.linspace(0, FASTEST_HZ, 100_001)
        power = self._power(rates_hz) * np.abs(response(rates_hz)) ** 2
        return float(np.sqrt(np.trapezoid(power, rates_hz)))

    def _even(self, response: Response) -> Array:
        rates_hz = np.array([rate for rate, _ in self.even])
        peaks = np.array([peak for _, peak in self.even])
        swings: Array = peaks * np.abs(response(rates_hz)) if len(peaks) else peaks
        return swings


def _shape(rates_hz: Array, knee_hz: float) -> Array:
    shape: Array = 1 / (1 + (rates_hz / knee_hz) ** 2) ** 0.75
    return shape
