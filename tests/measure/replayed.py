"""Simulated captures of a test tape, with a level at each frequency as the deck has it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from diag.measure.sound import Array, Samples
from diag.model import test_tape

FULL_DB = -20.0
RATE_HZ = 48_000

Response = Callable[[Array], Array]
"""dB over Hz."""


def played(
    tape: test_tape.TestTape,
    response: Response,
    *,
    snr_db: float = 45.0,
    seconds: float = 2.0,
    speed: float = 1.0,
    late_s: float = 0.0,
    before: tuple[tuple[float, float], ...] = (),
    channels: int = 2,
    seed: int = 0,
) -> Samples:
    """The tape played.

    Args:
        tape: what it holds.
        response: of the deck.
        snr_db: from the reference to noise of the whole band.
        seconds: of each tone; a sweep or noise takes fifteen times as long.
        speed: of the deck over nominal.
        late_s: by which the right channel comes late.
        before: tones that stand before it, with their level in dB re that of the tape.
        channels: one or two.
        seed: of all that is drawn.
    """
    rng = np.random.default_rng(seed)
    make = {"tones": _tones, "sweep": _sweep, "noise": _noise}[tape.holds]
    sides = [
        make(tape, response, seconds, speed, late_s * channel, before, seed)
        for channel in range(channels)
    ]
    both = np.stack(sides, axis=1) * 10 ** (FULL_DB / 20)
    hiss = 10 ** ((FULL_DB - 3.01 - snr_db) / 20)
    return Samples(both + rng.normal(0, hiss, both.shape), RATE_HZ)


def _tones(
    tape: test_tape.TestTape,
    response: Response,
    seconds: float,
    speed: float,
    late_s: float,
    before: tuple[tuple[float, float], ...],
    seed: int,
) -> Array:
    rng = np.random.default_rng(seed + 1)
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    fade = np.clip(20 * np.minimum(t, seconds - t), 0, 1)
    pause = np.zeros(int(0.2 * RATE_HZ))
    parts = []
    for hz, level_db in (*before, *((hz, 0.0) for hz in tape.tones_hz)):
        size = 10 ** ((level_db + response(np.array([hz]))[0]) / 20)
        start = rng.uniform(0, 2 * np.pi)
        parts += [size * fade * np.sin(2 * np.pi * hz * speed * (t - late_s) + start), pause]
    return np.concatenate(parts)


def _sweep(
    tape: test_tape.TestTape,
    response: Response,
    seconds: float,
    speed: float,
    late_s: float,
    before: tuple[tuple[float, float], ...],
    seed: int,
) -> Array:
    whole = 15 * seconds
    t = np.arange(int(whole * RATE_HZ)) / RATE_HZ
    low, high = tape.low_hz / 1.2, tape.high_hz * 1.2
    rate = np.log(high / low) / whole
    hz = low * np.exp(rate * t)
    found: Array = 10 ** (response(hz) / 20) * np.sin(
        2 * np.pi * low * (np.exp(rate * (t - late_s)) - 1) / rate * speed
    )
    return found


def _noise(
    tape: test_tape.TestTape,
    response: Response,
    seconds: float,
    speed: float,
    late_s: float,
    before: tuple[tuple[float, float], ...],
    seed: int,
) -> Array:
    rng = np.random.default_rng(seed + 1)
    frames = int(15 * seconds * RATE_HZ)
    hz = np.fft.rfftfreq(frames, 1 / RATE_HZ)
    pink = np.fft.rfft(rng.normal(size=frames)) / np.sqrt(np.maximum(hz, 20))
    shaped = pink * 10 ** (response(np.maximum(hz, 10)) / 20) * np.exp(-2j * np.pi * hz * late_s)
    found = np.fft.irfft(shaped, frames)
    return found / np.sqrt(2) / np.std(np.fft.irfft(pink, frames))
