"""From a recorded test tone to the speed of the tape: FM demodulation, block by block.

The tone is shifted to zero frequency, freed of all that lies away from it by a linear-phase
low-pass, and thinned out to some 2000 values a second. The turn of its phase from one value to the
next is the speed. Where the tone fails (a dropout, a jump of phase, a burst of noise) the speed is
filled in by a straight line and marked. A last low-pass keeps the rates of flutter that can be
told. This is the quadrature demodulator of the text books (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.sound import Array, Sound

SERIES_HZ = 2000
"""Values of speed in a second, as nearly as the rate of the sound allows."""
FLUTTER_HZ = 200.0
"""Highest rate of flutter that is told; the weighting curves end there."""
WIDEST_HZ = 500.0
"""Farthest that what belongs to the tone may lie from it."""
WIDTH = 0.3
"""The same as a share of a low tone, so that its mirror, hum and harmonics stay out."""
STOP_DB = 80.0
USUAL = 0.8
"""The usual level of the tone is exceeded for the rest of the time: it may play for a quarter."""
LOST = 0.3
"""Share of the usual level of the tone below which it counts as lost: 10 dB."""
SPIKE = 7.0
"""What can't be speed counts as a jump from so many times its usual size."""
LEAST_SPIKE = 1e-5
"""Jumps smaller than this share of the speed are let be."""
ROWS = 1 << 12
CHUNK = 1 << 16
ALONE = 1 << 18
"""Multiplications of a product of matrices that the usual libraries still do in one thread."""


@dataclass(frozen=True, slots=True, eq=False)
class SpeedSeries:
    """Speed of the tape over time.

    Attributes:
        values: speed error as a share of the speed at which the tone has the frequency that was
            given: 0.001 is 0.1 % fast. No value is missing; those in gaps are filled in.
        rate_hz: values in a second.
        gaps: true where the tone failed and the value is filled in; of the shape of `values`.
        reaches_hz: flutter up to this rate is passed whole; above it falls away.
        noise: what the noise of the recording adds to the speed: its power density is this times
            the square of the rate, in 1/Hz once the rate is in Hz. Flutter faster than `reaches_hz`
            counts as noise here.
    """

    values: Array
    rate_hz: float
    gaps: NDArray[np.bool_]
    reaches_hz: float
    noise: float = 0.0

    @property
    def seconds(self) -> float:
        """How long the series is."""
        return len(self.values) / self.rate_hz


def speed_series(sound: Sound, tone_hz: float, channel: int = 0) -> SpeedSeries:
    """Demodulate the tone of one channel.

    Args:
        sound: a recording of a steady tone.
        tone_hz: where the tone lies, within 2 % or so; `diag.measure.tone` finds it.
        channel: 0 for the left one.

    Returns:
        The speed, relative to that at which the tone has `tone_hz`. The first value lies half the
        length of the filters (some 10 ms) behind the beginning of the sound.

    Raises:
        MeasureError: the sound is shorter than the filters, or holds no signal there.
    """
    wide_hz = min(WIDEST_HZ, WIDTH * tone_hz)
    step = max(1, round(sound.rate_hz / SERIES_HZ))
    rate_hz = sound.rate_hz / step
    low_pass = _low_pass(sound.rate_hz, 1.6 * wide_hz, 0.6 * wide_hz, step)
    shift = np.exp(-2j * np.pi * tone_hz / sound.rate_hz * np.arange(len(low_pass)))
    turns, levels = [], []
    for turned, level in _turns(sound, channel, low_pass * shift):
        turns.append(turned)
        levels.append(level)
    level = np.concatenate(levels) if levels else np.zeros(0, np.float32)
    levels.clear()
    smoother = _smoother(rate_hz, min(FLUTTER_HZ, wide_hz))
    usual = float(np.quantile(level, USUAL)) if len(level) > 2 * len(smoother) else 0.0
    if usual <= 0:
        raise MeasureError(
            f"there is no tone of {tone_hz:.0f} Hz to follow in {sound.frames / sound.rate_hz:.2f} "
            "s.",
            do="Record some ten seconds of a steady test tone.",
        )
    # Both ends of a turn must be there.
    lost = np.minimum(level[1:], level[:-1]) < LOST * usual
    back = np.angle(np.exp(-2j * np.pi * tone_hz / rate_hz))
    # In place, since an hour holds seven million values.
    speed = np.concatenate(turns)
    turns.clear()
    speed += back + np.pi
    speed %= 2 * np.pi
    speed -= np.pi
    speed *= rate_hz / (2 * np.pi * tone_hz)
    reach = len(low_pass) // (2 * step) + 1
    gaps, rest = _clean(speed, lost, smoother, reach)
    noise = rest**2 / _noise_in_rest(low_pass, smoother, step, rate_hz)
    return SpeedSeries(speed, rate_hz, gaps, min(FLUTTER_HZ, wide_hz), noise)


def _turns(
    sound: Sound, channel: int, taps: NDArray[np.complex128]
) -> Iterator[tuple[Array, NDArray[np.float32]]]:
    """Angle from each thinned-out value of the tone to the next, and the tone's level.

    One level more than angles comes out in all. A value is a sum of products over `len(taps)`
    samples; laid out in rows of `step` samples that is one product of matrices, and a sum along
    its diagonals: the quickest way that numpy has.
    """
    step = max(1, round(sound.rate_hz / SERIES_HZ))
    parts = len(taps) // step
    split = taps.reshape(parts, step)
    weights = np.vstack([split.real, split.imag])
    waiting, before = np.zeros(0), np.zeros(0, np.complex128)
    for block in sound.blocks(ROWS * step):
        waiting = np.concatenate([waiting, block[:, channel]])
        rows = len(waiting) // step
        count = rows - parts + 1
        if count < 1:
            continue
        products = _products(weights, waiting[: rows * step].reshape(rows, step))
        real, imaginary = np.zeros(count), np.zeros(count)
        for part in range(parts):
            real += products[part, part : part + count]
            imaginary += products[parts + part, part : part + count]
        waiting = waiting[count * step :]
        chain = np.concatenate([before, real + 1j * imaginary])
        before = chain[-1:]
        yield np.angle(chain[1:] * chain[:-1].conj()), np.hypot(real, imaginary).astype(np.float32)


def _products(weights: Array, rows: Array) -> Array:
    """Each row of `weights` with each of `rows`, in pieces too small to be shared among threads.

    On a busy machine threads that wait for each other take many times as long (measured).
    """
    products = np.empty((len(weights), len(rows)))
    piece = max(1, ALONE // weights.size)
    for at in range(0, len(rows), piece):
        products[:, at : at + piece] = weights @ rows[at : at + piece].T
    return products


def _clean(
    speed: Array, lost: NDArray[np.bool_], smoother: Array, reach: int
) -> tuple[NDArray[np.bool_], float]:
    """Fill in what the tone did not tell and smooth the rest, in place.

    Returns:
        Where it is filled in, and the root mean square of what the smoother took away elsewhere.
    """
    raw, gaps, rests = speed.copy(), lost.copy(), []
    margin = 2 * len(smoother)
    for at in range(0, len(speed), CHUNK):
        first, last = max(0, at - margin), min(len(speed), at + CHUNK + margin)
        smooth, gap, rest = _cleaned(raw[first:last], lost[first:last], smoother, reach)
        here = slice(at - first, min(at + CHUNK, len(speed)) - first)
        speed[at : at + CHUNK], gaps[at : at + CHUNK] = smooth[here], gap[here]
        rests.append(rest)
    return gaps, float(np.median(rests))


def _cleaned(
    raw: Array, lost: NDArray[np.bool_], smoother: Array, reach: int
) -> tuple[Array, NDArray[np.bool_], float]:
    """The same for one chunk.

    A speed can't change faster than the smoother passes, so what it takes away is noise, and what
    stands out of the noise is a jump.
    """
    gap = _spread(lost, reach)
    if gap.all():
        return np.zeros(len(raw)), gap, 0.0
    filled = _filled(raw, gap)
    rest = np.abs(filled - _smooth(filled, smoother))
    usual = float(np.median(rest[~gap])) / 0.6745
    # At its ends the smoother can't tell; where a chunk ends, another one can.
    half = len(smoother) // 2
    rest[:half], rest[-half:] = 0.0, 0.0
    jumps = rest > max(SPIKE * usual, LEAST_SPIKE)
    if jumps.any():
        gap |= _spread(jumps, reach)
        if gap.all():
            return np.zeros(len(raw)), gap, usual
        filled = _filled(raw, gap)
    return _smooth(filled, smoother), gap, usual


def _noise_in_rest(low_pass: Array, smoother: Array, step: int, rate_hz: float) -> float:
    """Mean square of what the smoother takes away, for noise of one times the rate squared.

    White noise about the tone is white in phase; the low-pass shapes it, what lies beyond half the
    rate of the series folds back, and a difference of phase makes it grow with the rate.
    """
    fine = 1024
    passed = np.abs(np.fft.rfft(low_pass, fine * step)[: fine + 1]) ** 2
    folded = (passed + passed[::-1])[: fine // 2 + 1]
    rates_hz = np.arange(fine // 2 + 1) * rate_hz / fine
    grown = (rate_hz / np.pi * np.sin(np.pi * rates_hz / rate_hz)) ** 2
    left = (1 - np.abs(np.fft.rfft(smoother, fine))) ** 2
    return float(np.trapezoid(folded * grown * left, rates_hz))


def _filled(raw: Array, gap: NDArray[np.bool_]) -> Array:
    """Straight lines over the gaps."""
    if not gap.any():
        return raw
    at = np.arange(len(raw))
    filled: Array = np.interp(at, at[~gap], raw[~gap])
    return filled


def _spread(marks: NDArray[np.bool_], reach: int) -> NDArray[np.bool_]:
    """Marks, and all that lies within `reach` of one."""
    if not marks.any():
        return marks.copy()
    return np.convolve(marks, np.ones(2 * reach + 1), "same") > 0.5


def _smooth(values: Array, smoother: Array) -> Array:
    """Values through the smoother; the ends are held."""
    smooth: Array = np.convolve(np.pad(values, len(smoother) // 2, "edge"), smoother, "valid")
    return smooth


def _smoother(rate_hz: float, pass_hz: float) -> Array:
    """Low-pass that also makes good what a difference of phase loses, a sinc of the rate."""
    count = 2 * (_length(rate_hz, 0.5 * pass_hz) // 2) + 1
    away = np.arange(count) - (count - 1) / 2
    rates_hz = np.linspace(0, 1.25 * pass_hz, 2049)
    wanted = 1 / np.sinc(rates_hz / rate_hz)
    waves = np.cos(2 * np.pi * np.outer(away, rates_hz) / rate_hz) * wanted
    taps = np.trapezoid(waves, rates_hz, axis=1) * np.kaiser(count, _beta())
    smoother: Array = taps / taps.sum()
    return smoother


def _low_pass(rate_hz: float, cut_hz: float, slope_hz: float, step: int) -> Array:
    """Low-pass with a slope of `slope_hz` on either side of `cut_hz`; a multiple of `step` taps."""
    count = -(-_length(rate_hz, 2 * slope_hz) // step) * step
    away = np.arange(count) - (count - 1) / 2
    taps = np.sinc(2 * cut_hz / rate_hz * away) * np.kaiser(count, _beta())
    low_pass: Array = taps / taps.sum()
    return low_pass


def _length(rate_hz: float, slope_hz: float) -> int:
    """Taps of a filter in a Kaiser window (from memory: any text book of digital filters)."""
    return int((STOP_DB - 7.95) / (2.285 * 2 * np.pi * slope_hz / rate_hz)) + 2


def _beta() -> float:
    """Shape of the Kaiser window for the stop band wanted."""
    return 0.1102 * (STOP_DB - 8.7)
