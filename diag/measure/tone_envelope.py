"""The size of a tone over time, against its usual size."""

from __future__ import annotations

import numpy as np

from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

STEP_S = 1e-3
PAGE_S = 2.0
EDGE_S = 0.1
"""At each end of a page the filter lacks what comes before or after."""
BAND_HZ = 150.0
"""Half the width of the band around the tone: what is shorter than some 5 ms is blurred."""
USUAL_S = 0.5
USUAL_BLOCKS = 5


def tone_envelope(sound: Sound, hz: float) -> tuple[Array, float]:
    """Amplitudes of shape (steps, channels), and the step in seconds; it begins `EDGE_S` late."""
    edge = round(EDGE_S * sound.rate_hz)
    hop = max(round(STEP_S * sound.rate_hz), 1)
    steps = round((PAGE_S - 2 * EDGE_S) / STEP_S)
    length = steps * hop + 2 * edge
    away = np.abs(np.fft.rfftfreq(length, 1 / sound.rate_hz) - hz)
    half = min(BAND_HZ, 0.45 * hz)
    band = np.where(away < half, 0.5 + 0.5 * np.cos(np.pi * away / half), 0.0)[:, None]
    pages = []
    for piece in segments(sound, length, steps * hop):
        whole = np.zeros(piece.shape, dtype=np.complex128)
        whole[: len(band)] = 2 * np.fft.rfft(piece, axis=0) * band
        pages.append(np.abs(np.fft.ifft(whole, axis=0)[edge : edge + steps * hop : hop]))
    return np.concatenate(pages), hop / sound.rate_hz


def usual_size(envelope: Array, step_s: float) -> Array:
    """What each step is to be told against: the median of two and a half seconds around it.

    Slow changes of level are none of a dropout's business.
    """
    size = round(USUAL_S / step_s)
    count = max(len(envelope) // size, 1)
    blocks = np.median(envelope[: count * size].reshape(count, -1, envelope.shape[1]), axis=1)
    padded = np.pad(blocks, ((USUAL_BLOCKS // 2,) * 2, (0, 0)), mode="edge")
    views = np.lib.stride_tricks.sliding_window_view(padded, USUAL_BLOCKS, axis=0)
    smooth = np.median(views, axis=-1)
    middles = (np.arange(count) + 0.5) * size
    steps = np.arange(len(envelope))
    return np.stack([np.interp(steps, middles, side) for side in smooth.T], axis=1)
