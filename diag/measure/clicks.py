"""Clicks: sudden jumps that stand out of whatever else a sound holds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

PAGE_S = 1.0
LOW_HZ = 2000.0
LINE = 12.0
"""A bin with so many times the usual power of its neighbourhood belongs to a tone."""
AROUND_HZ = 200.0
STANDS_OUT = 6.5
"""Standard deviations of the hiss; chance brings one in some 10 hours of hiss."""
BESIDE = 0.3
"""A tone that jumps in size fills its neighbourhood, by this share of its frequency or 1 kHz."""
TOGETHER_S = 0.02
"""Closer ones are one click."""


def click_times(sound: Sound, tones_hz: Sequence[float | None] = ()) -> tuple[list[Array], float]:
    """When each channel clicks, in seconds, and for how long was listened.

    Tones are cut out of the spectrum of each second above 2 kHz. A click is spread evenly over
    that spectrum, so that the cuts hardly change it, and it stands out of the hiss that is left.

    Args:
        sound: a steady tone, or a blank tape.
        tones_hz: the tone of each channel that has one.
    """
    length = 1 << round(np.log2(PAGE_S * sound.rate_hz))
    quarter = length // 4
    taper = np.hanning(length + 1)[:-1]
    hz: Array = np.fft.rfftfreq(length, 1 / sound.rate_hz).astype(np.float64)
    cuts = [_cut(hz, tone) for tone in tones_hz or [None] * sound.channels]
    found: list[list[Array]] = [[] for _ in range(sound.channels)]
    pages = 0
    for page, piece in enumerate(segments(sound, length, length // 2)):
        pages += 1
        for channel in range(sound.channels):
            rest = _without_tones(piece[:, channel] * taper, cuts[channel], hz[1])
            middle = np.abs(rest / np.maximum(taper, 0.5))[quarter : 3 * quarter]
            # The median of the size of Gaussian noise is 0.6745 of its standard deviation.
            limit = STANDS_OUT * float(np.median(middle)) / 0.6745
            if limit > 0:
                at = np.flatnonzero(middle > limit)
                found[channel].append((page * length // 2 + quarter + at) / sound.rate_hz)
    times = [_apart(np.concatenate([*side, np.zeros(0)])) for side in found]
    return times, pages * length / 2 / sound.rate_hz


def _cut(hz: Array, tone_hz: float | None) -> NDArray[np.bool_]:
    """What is cut out of every spectrum: what is low, and what surrounds the tone."""
    low: NDArray[np.bool_] = hz < LOW_HZ
    if tone_hz is None:
        return low
    return low | (np.abs(hz - tone_hz) < max(BESIDE * tone_hz, 1000.0))


def _without_tones(values: Array, cut: NDArray[np.bool_], bin_hz: float) -> Array:
    spectrum = np.fft.rfft(values)
    power = np.abs(spectrum) ** 2
    width = max(round(AROUND_HZ / bin_hz), 8)
    count = len(power) // width
    usual = np.median(power[: count * width].reshape(count, width), axis=1)
    # What is left over at the top goes with the last neighbourhood.
    level = np.concatenate(
        [np.repeat(usual, width), np.full(len(power) - count * width, usual[-1])]
    )
    spectrum[(power > LINE * level) | cut] = 0.0
    rest: Array = np.fft.irfft(spectrum, len(values))
    return rest


def _apart(times_s: Array) -> Array:
    """The first of each bunch."""
    first = np.diff(times_s, prepend=-np.inf) > TOGETHER_S
    return times_s[first]
