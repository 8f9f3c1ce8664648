"""Finds test signals again in a capture by their lead-ins, whatever the deck's speed was."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from diag.measure.excerpt import Stretch
from diag.measure.sound import Array, Sound
from diag.measure.test_signal import (
    LEAD_IN_GAP_SECONDS,
    LEAD_IN_HZ,
    LEAD_IN_REST_SECONDS,
    LEAD_IN_STEP,
    LEAD_IN_TONE_SECONDS,
    SIGNALS,
    Signal,
    ratio,
)

FRAME_SECONDS = 0.04
SPEEDS = (0.87, 1.15)
"""Slowest and fastest deck, as a factor, that a lead-in is told of."""
HEARD_DB = -60.0
"""Peak of a lead-in tone re full scale below which it isn't looked for."""
PURE = 0.6
"""Share of a frame's power above hum that the tone of a lead-in has."""
HUM_HZ = 300.0
ALIKE = 0.01
"""By how much a tone's frequency may differ within a lead-in."""
MARGIN_SECONDS = 0.25
"""Left out at both ends of what is found, so that no edge falls in."""
FRAMES_AT_ONCE = 256
LOOKED_AT_HZ = 6000
"""Samples are averaged down to about this rate; what folds back doesn't look like a lead-in."""


@dataclass(frozen=True, slots=True)
class Found:
    """A signal found in a capture.

    Attributes:
        signal: which one it is.
        speed: the deck's speed as a factor, from the lead-in; good to a few tenths of a percent.
        sound: the capture from the end of the lead-in to that of the signal, or to what is there.
        is_whole: whether the capture holds all of it.
    """

    signal: Signal
    speed: float
    sound: Stretch
    is_whole: bool


@dataclass(frozen=True, slots=True)
class _Run:
    """Frames in a row in which one tone stands out; `hz` is their median."""

    first: int
    last: int
    hz: float


def find_signals(sound: Sound) -> tuple[Found, ...]:
    """Every signal whose lead-in is in a capture, in order; none if it has no lead-in.

    Raises:
        MeasureError: as reading its blocks does.
    """
    averaged = max(1, sound.rate_hz // LOOKED_AT_HZ)
    half_frame = round(FRAME_SECONDS * sound.rate_hz / averaged / 2)
    hop = half_frame * averaged
    tones = _tones(sound, averaged, half_frame)
    heads = list(_lead_ins(_runs(tones), hop / sound.rate_hz))
    found = []
    for number, (signal, speed, end) in enumerate(heads):
        # The last frame of a tone reaches half over its end.
        begin = (end + 1) * hop + hop // 2 + round(LEAD_IN_REST_SECONDS / speed * sound.rate_hz)
        first = begin + round(MARGIN_SECONDS / 2 * sound.rate_hz)
        wanted = begin + round((signal.seconds / speed - MARGIN_SECONDS) * sound.rate_hz)
        there = min(sound.frames, _before(heads[number + 1 :], hop, sound.rate_hz, sound.frames))
        last = min(wanted, there)
        if last > first:
            found.append(Found(signal, speed, Stretch(sound, first, last), wanted <= there))
    return tuple(found)


def _before(later: list[tuple[Signal, float, int]], hop: int, rate_hz: int, frames: int) -> int:
    """The frame at which the lead-in after this one begins."""
    if not later:
        return frames
    _, speed, end = later[0]
    seconds = 3 * LEAD_IN_TONE_SECONDS + 2 * LEAD_IN_GAP_SECONDS + MARGIN_SECONDS
    return end * hop - round(seconds / speed * rate_hz)


def _lead_ins(runs: list[_Run], hop_seconds: float) -> Iterator[tuple[Signal, float, int]]:
    """Signal, speed and last frame of each lead-in among the runs."""
    for outer, middle, again in zip(runs, runs[1:], runs[2:], strict=False):
        speed = outer.hz / LEAD_IN_HZ
        if not SPEEDS[0] <= speed <= SPEEDS[1] or abs(again.hz / outer.hz - 1) > ALIKE:
            continue
        if not all(_lasts(run, speed, hop_seconds) for run in (outer, middle, again)):
            continue
        gaps = (middle.first - outer.last, again.first - middle.last)
        if max(gaps) * hop_seconds > 3 * LEAD_IN_GAP_SECONDS / speed:
            continue
        signal = _of_ratio(2 * middle.hz / (outer.hz + again.hz))
        if signal is not None:
            yield signal, (outer.hz + again.hz) / 2 / LEAD_IN_HZ, again.last


def _lasts(run: _Run, speed: float, hop_seconds: float) -> bool:
    """Whether a run is as long as a tone of a lead-in."""
    length = (run.last - run.first + 1) * hop_seconds * speed
    return 0.7 * LEAD_IN_TONE_SECONDS <= length <= 1.3 * LEAD_IN_TONE_SECONDS


def _of_ratio(found: float) -> Signal | None:
    near = min(SIGNALS.values(), key=lambda signal: abs(found / ratio(signal) - 1))
    return near if abs(found / ratio(near) - 1) < (LEAD_IN_STEP - 1) / 3 else None


def _runs(tones: Array) -> list[_Run]:
    """Stretches of at least three frames whose tone stays within 1 %; 0 Hz stands for no tone."""
    breaks = np.zeros(len(tones), dtype=np.int64)
    near = np.abs(np.diff(tones)) <= ALIKE * tones[1:]
    breaks[1:] = np.cumsum(~near)
    found, first = [], 0
    for _, group in groupby(breaks.tolist()):
        length = sum(1 for _ in group)
        hz = float(np.median(tones[first : first + length]))
        if hz and length >= 3:
            found.append(_Run(first, first + length - 1, hz))
        first += length
    return found


def _tones(sound: Sound, averaged: int, hop: int) -> Array:
    """The frequency that stands out in each frame of two hops, in Hz, every hop; 0 where none does.

    Args:
        sound: what is looked through.
        averaged: samples that make one.
        hop: half a frame, counted in such averages.
    """
    window = np.hanning(2 * hop)
    found = []
    kept = np.zeros((0, sound.channels))
    for block in sound.blocks(averaged * hop * FRAMES_AT_ONCE):
        whole = len(block) // averaged * averaged
        means = block[:whole].reshape(-1, averaged, sound.channels).mean(axis=1)
        held = np.concatenate([kept, means])
        count = max(0, len(held) // hop - 1)
        frames = held[np.arange(count)[:, None] * hop + np.arange(2 * hop)]
        power = np.abs(np.fft.rfft(frames * window[:, None], axis=1)) ** 2
        rate_hz = sound.rate_hz / averaged
        found.append(_strongest(power.mean(axis=2), rate_hz, float(window.sum())))
        kept = held[count * hop :]
    return np.concatenate(found) if found else np.zeros(0)


def _strongest(power: Array, rate_hz: float, window_sum: float) -> Array:
    """The tone of each row of powers, or 0 Hz."""
    rows = np.arange(len(power))
    bin_hz = rate_hz / (2 * (power.shape[1] - 1))
    above = power.copy()
    above[:, : round(HUM_HZ / bin_hz)] = 0
    at = np.clip(above.argmax(axis=1), 2, power.shape[1] - 3)
    around = above[rows[:, None], at[:, None] + np.arange(-2, 3)]
    heard = (2 * np.sqrt(above[rows, at]) / window_sum) > 10 ** (HEARD_DB / 20)
    is_tone = heard & (around.sum(axis=1) > PURE * above.sum(axis=1))
    # A parabola through the logarithms is near to exact for a Hann window.
    low, peak, high = np.log(np.maximum(around[:, 1:4].T, 1e-300))
    bend = np.where(is_tone, low - 2 * peak + high, -1.0)
    off = np.where(is_tone, (low - high) / (2 * bend), 0.0)
    return np.asarray(np.where(is_tone, (at + off) * bin_hz, 0.0))
