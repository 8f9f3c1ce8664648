"""Levels over frequency that a tape of tones, a sweep or pink noise was played with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.sound import Array, Sound
from diag.measure.windows import taper, window_size, windows

WINDOW_SECONDS = 0.34
LOBE_BINS = 6
LOWEST_HZ = 20.0
TONE_WIDTH, SWEEP_WIDTH = 0.015, 0.08
"""Share of the frequency on both sides that counts to it: flutter; the sweep within a window."""
PURE = 0.7
"""Share of the power that stands about one frequency where a tone is heard alone."""
FAINT_DB = -50.0
"""Windows that lie deeper below the loudest are pauses."""
OFF_SPEED = 0.06
LEAST_WINDOWS = 4
TORN_WINDOWS = 3
"""Windows for which a tone may be gone in a dropout."""
STRAY_OCTAVES = 0.15
CENTRES_HZ = (
    *(20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250),
    *(1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 14_000, 16_000, 18_000),
    20_000,
)
"""Third octaves, and the 14 and 18 kHz that tapes have besides."""
SIXTH = 2 ** (1 / 6)
OVERLAP = 0.04
"""Correlation of power in neighbouring windows of noise is next to nothing with this taper."""


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """Levels re full scale by frequency, rising.

    Attributes:
        hz: shape (n,).
        db: by channel, and last their mean; shape (n, channels + 1).
        uncertainty_db: half the 95 % interval, from the scatter of windows in time; the same shape.
        missing_hz: frequencies of the tape that were not heard.
    """

    hz: Array
    db: Array
    uncertainty_db: Array
    missing_hz: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Trace:
    """The strongest frequency of each window, its level as in `Levels`, how alone it stands."""

    hz: Array
    db: Array
    share: Array


def levels_of_tones(sound: Sound, channels: Sequence[int], tones_hz: Sequence[float]) -> Levels:
    """Levels of tones that come one after the other in this order; each a second or more.

    A tone that was heard before, such as that of the level section, does not count: what stands
    in the order of the tape does.

    Raises:
        MeasureError: fewer than two of the tones were heard.
    """
    trace = _trace(sound, channels, TONE_WIDTH)
    tones = np.array(tones_hz, dtype=np.float64)
    off = np.abs(np.log(trace.hz[:, None] / tones))
    nearest = np.where(off.min(axis=1) < OFF_SPEED, off.argmin(axis=1), -1)
    nearest[~_is_clear(trace)] = -1
    found = _in_order(_runs(nearest), len(tones))
    if len(found) < 2:
        raise MeasureError(
            f"only {len(found)} of the {len(tones)} tones of the test tape were found.",
            do="Choose the description that fits your tape, and record its response section "
            "from before the first tone to after the last.",
        )
    order = sorted(found, key=lambda tone: tones[tone])
    scatter = [_mean(trace.db[found[tone]]) for tone in order]
    return Levels(
        tones[order],
        np.array([mean for mean, _ in scatter]),
        np.array([half for _, half in scatter]),
        tuple(sorted(tones[tone] for tone in range(len(tones)) if tone not in found)),
    )


def levels_of_sweep(sound: Sound, channels: Sequence[int], low_hz: float, high_hz: float) -> Levels:
    """Levels by third octaves of one sweep whose pitch rises evenly.

    Raises:
        MeasureError: there is none, or it is too fast or stops short.
    """
    trace = _trace(sound, channels, SWEEP_WIDTH)
    pitch = np.log2(trace.hz)
    inside = _is_clear(trace) & (trace.hz > low_hz / 1.06) & (trace.hz < high_hz * 1.06)
    steps = np.diff(pitch)
    is_rising = inside[1:] & inside[:-1] & (steps > 1e-3) & (steps < 0.5)
    if is_rising.sum() < LEAST_WINDOWS * np.log2(high_hz / low_hz):
        raise MeasureError(
            "no slow sweep was found.",
            do="Choose the description that fits your tape; a sweep must take 20 s or more.",
        )
    rate = float(np.median(steps[is_rising]))
    line = pitch - rate * np.arange(len(pitch))
    is_sweep = inside & (np.abs(line - np.median(line[1:][is_rising])) < STRAY_OCTAVES)
    hz, db, half, missing = [], [], [], []
    for centre in _centres(low_hz, high_hz):
        at = is_sweep & (np.abs(pitch - np.log2(centre)) < 1 / 6)
        if at.sum() < LEAST_WINDOWS:
            missing.append(centre)
            continue
        mean, scatter = _mean(_level_at(pitch[at] - np.log2(centre), trace.db[at]))
        hz.append(centre)
        db.append(mean)
        half.append(scatter)
    return Levels(np.array(hz), np.array(db), np.array(half), tuple(missing))


def levels_of_noise(sound: Sound, channels: Sequence[int], low_hz: float, high_hz: float) -> Levels:
    """Levels by third octaves of pink noise, which is flat by them."""
    size = window_size(sound.rate_hz, WINDOW_SECONDS)
    bins = np.fft.rfftfreq(size, 1 / sound.rate_hz)
    top = min(high_hz * SIXTH, 0.49 * sound.rate_hz)
    centres = [c for c in _centres(low_hz, high_hz) if c * SIXTH <= top * 1.001]
    edges = [((bins >= c / SIXTH) & (bins < c * SIXTH)) for c in centres]
    # What pink noise has in these very bins.
    pink = np.array([(1 / bins[edge]).sum() for edge in edges])
    powers = np.concatenate(
        [
            np.stack([power[:, :, edge].sum(axis=-1) for edge in edges], axis=1)
            for power in _powers(sound, channels, size)
        ]
    )
    mean = np.maximum(powers.mean(axis=0), 1e-30)
    scatter = _with_mean(powers / mean).std(axis=0, ddof=1)
    scatter /= np.sqrt(len(powers) / (1 + 2 * OVERLAP))
    return Levels(
        np.array(centres),
        _with_mean(10 * np.log10(mean / pink[:, None])),
        10 / np.log(10) * scatter * _student(len(powers) - 1),
    )


def _with_mean(by_channel: Array) -> Array:
    return np.concatenate((by_channel, by_channel.mean(axis=-1, keepdims=True)), axis=-1)


def _centres(low_hz: float, high_hz: float) -> list[float]:
    return [float(c) for c in CENTRES_HZ if low_hz * 0.99 <= c <= high_hz * 1.01]


def _powers(sound: Sound, channels: Sequence[int], size: int) -> Iterator[Array]:
    """Mean square by bin, of shape (windows, channels, bins)."""
    shape = taper(size)
    scale = 2 / (size * (shape**2).sum())
    for cut in windows(sound, size):
        yield np.abs(np.fft.rfft(cut[:, channels] * shape, axis=-1)) ** 2 * scale


def _trace(sound: Sound, channels: Sequence[int], width: float) -> _Trace:
    size = window_size(sound.rate_hz, WINDOW_SECONDS)
    step_hz = sound.rate_hz / size
    lowest = int(np.ceil(LOWEST_HZ / step_hz))
    parts: list[tuple[Array, Array, Array]] = []
    for power in _powers(sound, channels, size):
        both = power.sum(axis=1)
        peak = lowest + both[:, lowest:-1].argmax(axis=1)
        reach = LOBE_BINS + (peak * width).astype(int)
        first = np.maximum(peak - reach, 1)
        last = np.minimum(peak + reach + 1, both.shape[1] - 1)
        row = np.arange(len(peak))
        sums = np.cumsum(power, axis=-1)
        inside = sums[row, :, last - 1] - sums[row, :, first - 1]
        whole = sums[:, :, -1].sum(axis=1) - sums[:, :, lowest - 1].sum(axis=1)
        near = np.log(np.maximum(both[row[:, None], peak[:, None] + [-1, 0, 1]], 1e-300))
        bend = near[:, 0] - 2 * near[:, 1] + near[:, 2]
        shift = 0.5 * (near[:, 0] - near[:, 2]) / np.where(bend < 0, bend, -np.inf)
        db = _with_mean(10 * np.log10(np.maximum(inside, 1e-30)))
        parts.append(((peak + shift) * step_hz, db, inside.sum(axis=1) / np.maximum(whole, 1e-30)))
    hz, db, share = (np.concatenate(series) for series in zip(*parts, strict=True))
    return _Trace(hz, db, share)


def _is_clear(trace: _Trace) -> NDArray[np.bool_]:
    loud = trace.db.max(axis=1)
    found: NDArray[np.bool_] = (trace.share > PURE) & (loud > loud.max() + FAINT_DB)
    return found


def _runs(nearest: NDArray[np.intp]) -> list[tuple[int, slice]]:
    """Where a tone is heard on end: the tone and its windows but the first and the last."""
    runs: list[list[int]] = []
    at = 0
    for tone, group in groupby(nearest.tolist()):
        length = len(list(group))
        if tone >= 0 and runs and runs[-1][0] == tone and at - runs[-1][2] <= TORN_WINDOWS:
            runs[-1][2] = at + length
        elif tone >= 0:
            runs.append([tone, at, at + length])
        at += length
    return [
        (tone, slice(first + 1, last - 1))
        for tone, first, last in runs
        if last - first >= LEAST_WINDOWS + 2
    ]


def _in_order(runs: list[tuple[int, slice]], tones: int) -> dict[int, slice]:
    """The most tones that stand in the order of the tape; of equals the last."""
    best = np.zeros((len(runs) + 1, tones + 1), dtype=int)
    for n, (tone, _) in enumerate(runs):
        best[n + 1] = best[n]
        best[n + 1, tone + 1 :] = np.maximum(best[n, tone + 1 :], best[n, tone] + 1)
    found: dict[int, slice] = {}
    left = tones
    for n in range(len(runs), 0, -1):
        tone, where = runs[n - 1]
        if tone < left and best[n - 1, tone] + 1 == best[n, left]:
            found[tone] = where
            left = tone
    return found


def _level_at(octaves: Array, db: Array) -> Array:
    """Levels with their slope over pitch taken out, so that only scatter is left."""
    slope = np.array([np.polyfit(octaves, channel, 1)[0] for channel in db.T])
    found: Array = db - octaves[:, None] * slope
    return found


def _mean(db: Array) -> tuple[Array, Array]:
    """Mean over windows, and half its 95 % interval; shape (windows, channels).

    Windows that follow each other are alike by as much as their correlation says.
    """
    count = len(db)
    mean = db.mean(axis=0)
    off = db - mean
    square = np.maximum((off**2).sum(axis=0), 1e-12)
    alike = (off[1:] * off[:-1]).sum(axis=0) / square
    # About their own mean, few windows look less alike than they are.
    alike = np.clip(alike + (1 + 3 * alike) / count, 0.0, 0.9)
    worth = np.maximum(count * (1 - alike) / (1 + alike), 2.0)
    half = np.array([_student(int(n) - 1) for n in worth]) * np.sqrt(square / (count - 1) / worth)
    return mean, half


def _student(freedom: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(max(1, freedom), 0.975))
