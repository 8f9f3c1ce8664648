"""Simulated stereo captures of a head that stands askew."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diag.measure.sound import Array, Samples
from diag.measure.tape_geometry import SPEED_MM_S, STEREO_ON_3_81_MM, delay_of

LEVEL = 0.1


def tones(
    hz: Sequence[float],
    arcmin: float,
    *,
    snr_db: float = 40.0,
    seconds: float = 5.0,
    rate_hz: int = 32_000,
    weave_arcmin: float = 0.0,
    weave_hz: float = 2.0,
    in_turn: bool = False,
    seed: int = 0,
) -> Samples:
    """Tones together or one after the other; the weave is a sine of that root mean square."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * rate_hz)) / rate_hz
    phase = rng.uniform(0, 2 * np.pi)
    weave = weave_arcmin * np.sqrt(2) * np.sin(2 * np.pi * weave_hz * t + phase)
    late_s = delay_of(1.0, STEREO_ON_3_81_MM, SPEED_MM_S) * (arcmin + weave)
    left, right = np.zeros_like(t), np.zeros_like(t)
    for n, f in enumerate(hz):
        start = rng.uniform(0, 2 * np.pi)
        for side, at in ((left, t), (right, t - late_s)):
            place = at / seconds * len(hz) - n
            size = np.clip(20 * np.minimum(place, 1 - place), 0, 1) if in_turn else 1 / len(hz)
            side += size * np.sin(2 * np.pi * f * at + start)
    return _noisy(np.stack((left, right), axis=1), rate_hz, snr_db, rng)


def noise(
    arcmin: float,
    *,
    snr_db: float = 40.0,
    seconds: float = 5.0,
    rate_hz: int = 32_000,
    seed: int = 0,
) -> Samples:
    """Pink noise, the same on both tracks."""
    rng = np.random.default_rng(seed)
    frames = int(seconds * rate_hz)
    hz = np.fft.rfftfreq(frames, 1 / rate_hz)
    spectrum = np.fft.rfft(rng.normal(size=frames)) / np.sqrt(np.maximum(hz, 20.0))
    late_s = delay_of(arcmin, STEREO_ON_3_81_MM, SPEED_MM_S)
    turned = spectrum * np.exp(-2j * np.pi * hz * late_s)
    both = np.stack((np.fft.irfft(spectrum, frames), np.fft.irfft(turned, frames)), axis=1)
    return _noisy(both, rate_hz, snr_db, rng)


def _noisy(both: Array, rate_hz: int, snr_db: float, rng: np.random.Generator) -> Samples:
    both = both * (LEVEL / np.sqrt((both**2).mean()))
    return Samples(both + rng.normal(0, LEVEL * 10 ** (-snr_db / 20), both.shape), rate_hz)
