"""A test tone as a deck would replay it, made from a speed that is known."""

from __future__ import annotations

import numpy as np

from diag.measure.sound import Array, Samples


def tone(
    speed: Array, tone_hz: float, rate_hz: int, *, peak: float = 0.3, snr_db: float | None = None,
    seed: int = 0,
) -> Samples:  # fmt: skip
    """One channel of a tone whose frequency goes with a speed error given at every sample.

    The phase is the sum of the frequency by the trapezoidal rule. `snr_db` is the power of the tone
    over that of white noise in the whole band.
    """
    turns = np.concatenate([[0.0], np.cumsum(speed[1:] + speed[:-1]) / 2])
    at = np.arange(len(speed))
    values = peak * np.sin(2 * np.pi * tone_hz / rate_hz * (at + turns))
    if snr_db is not None:
        noise = np.random.default_rng(seed).standard_normal(len(speed))
        values += peak / 2**0.5 * 10 ** (-snr_db / 20) * noise
    return Samples(values[:, None], rate_hz)


def sine(seconds: float, rate_hz: int, flutter_hz: float, peak: float = 1e-3) -> Array:
    """A speed error that swings as a sine."""
    at = np.arange(round(seconds * rate_hz)) / rate_hz
    swing: Array = peak * np.sin(2 * np.pi * flutter_hz * at + 0.3)
    return swing


def steady(seconds: float, rate_hz: int, error: float = 0.0) -> Array:
    """A speed error that stays the same."""
    return np.full(round(seconds * rate_hz), error)


def amplitude(values: Array, rate_hz: float, swing_hz: float) -> float:
    """Amplitude of the sine of one rate that fits values best, the ends weighing little.

    So swings of other rates don't leak into it.
    """
    at = 2 * np.pi * swing_hz * np.arange(len(values)) / rate_hz
    terms = np.column_stack([np.cos(at), np.sin(at), np.ones(len(at))])
    weight = np.hanning(len(values))
    fit = np.linalg.lstsq(terms * weight[:, None], values * weight, rcond=None)[0]
    return float(np.hypot(fit[0], fit[1]))
