"""Which test tone a recording holds, and where it really lies."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diag.errors import MeasureError
from diag.measure.segments import segments
from diag.measure.sound import Array, Sound

NOMINAL_HZ = (315, 333, 400, 440, 1000, 3000, 3150, 6300, 8000, 10_000, 12_500)
"""Tones of test tapes: 3150 Hz by IEC 60386, 3000 Hz in older practice, the rest by practice."""
OFF_SPEED = 0.125
"""Share by which a deck may be off its speed."""
HALF_WITHIN = 0.01
"""Share of its speed within which half of the decks lie that come to a bench (judgement). Some lie
far off, so chances fall off slowly, as Cauchy's do."""
SURE = 0.95
"""Chance from which what was recorded is in no doubt."""
NEAR = 0.04
"""Share of its frequency within which all that lies around a tone is part of it: its flutter."""
STANDS_OUT = 0.5
"""Share of the power that a tone must have, of all that lies in the band."""
BAND_HZ = (250.0, 15_000.0)
"""Where a tone is looked for; hum lies below."""
SEGMENT_SECONDS = 0.17
EVERY = 3
"""One segment in so many is looked at: twice a second."""


@dataclass(frozen=True, slots=True)
class Tone:
    """A test tone that was found.

    Attributes:
        hz: where it lies, good to 0.1 % or so.
        nominal_hz: what was recorded.
        channel: the channel in which it is stronger.
        share: its share of the power in that channel, hum left out.
        likely: each tone that it can be with its chance, the likeliest first.
        remarks: what else it could be.
    """

    hz: float
    nominal_hz: float
    channel: int
    share: float
    likely: tuple[tuple[float, float], ...]
    remarks: tuple[str, ...] = ()

    @property
    def otherwise_hz(self) -> float | None:
        """What was recorded if not `nominal_hz`; None if there is no doubt."""
        doubtful = len(self.likely) > 1 and self.likely[0][1] < SURE
        return self.likely[1][0] if doubtful else None


def find_tone(sound: Sound, nominal_hz: float | None = None) -> Tone:
    """Look for the tone that stands out.

    Args:
        sound: a recording with something in it (`diag.measure.survey`).
        nominal_hz: what the test tape is known to hold; else the likeliest of `NOMINAL_HZ` counts.

    Raises:
        MeasureError: no tone stands out, or it is none that a test tape has at a speed within
            12.5 %.
    """
    if nominal_hz is not None and not BAND_HZ[0] <= nominal_hz <= BAND_HZ[1]:
        raise MeasureError(
            f"a test tone of {nominal_hz:g} Hz can't be followed.",
            do=f"Give one of {BAND_HZ[0]:g} to {BAND_HZ[1]:g} Hz; 3150 does best.",
        )
    powers, bin_hz = _powers(sound)
    places = [_place(power, bin_hz) for power in powers.T]
    channel = max(range(len(places)), key=lambda one: places[one][1])
    hz, power, all_power = places[channel]
    if not power > STANDS_OUT * all_power:
        raise MeasureError(
            "no tone stands out"
            + (
                f"; the strongest, at {hz:.0f} Hz, holds {power / all_power:.0%} of the sound."
                if power > 0
                else "."
            ),
            do="Record a steady test tone and nothing else.",
        )
    likely = _likely(hz, nominal_hz)
    found = Tone(hz, likely[0][0], channel, power / all_power, likely)
    return replace(found, remarks=_remarks(found))


def _powers(sound: Sound) -> tuple[Array, float]:
    """Power by frequency, a column a channel, and what lies between two rows in Hz."""
    length = 1 << round(np.log2(SEGMENT_SECONDS * sound.rate_hz))
    window = np.hanning(length)
    powers = np.zeros((length // 2 + 1, sound.channels))
    for number, segment in enumerate(segments(sound, length)):
        if number % EVERY == 0:
            lines = np.ascontiguousarray(segment.T) * window
            powers += (np.abs(np.fft.rfft(lines, axis=1)) ** 2).T
    return powers, sound.rate_hz / length


def _place(power: Array, bin_hz: float) -> tuple[float, float, float]:
    """Where the strongest tone lies, its power, and that of the whole band."""
    rates_hz = np.arange(len(power)) * bin_hz
    low_hz, high_hz = BAND_HZ[0] * (1 - OFF_SPEED), BAND_HZ[1] * (1 + OFF_SPEED)
    band = np.where((rates_hz >= low_hz) & (rates_hz <= high_hz), power, 0.0)
    total = float(band.sum())
    if total <= 0:
        return 0.0, 0.0, 0.0
    hz = float(rates_hz[np.argmax(band)])
    for _ in range(3):
        near = np.abs(rates_hz - hz) <= max(NEAR * hz, 3 * bin_hz)
        tone = float(band[near].sum())
        hz = float((rates_hz * band)[near].sum() / tone)
    return hz, tone, total


def _likely(hz: float, given_hz: float | None) -> tuple[tuple[float, float], ...]:
    """What was recorded: each tone that fits and its chance, the likeliest first."""
    known = NOMINAL_HZ if given_hz is None else (given_hz,)
    off = {float(n): hz / n - 1 for n in known if abs(hz / n - 1) <= OFF_SPEED}
    if not off:
        wanted = "of a test tape" if given_hz is None else f"near {given_hz:g} Hz"
        raise MeasureError(
            f"the tone lies at {hz:.0f} Hz; that is none {wanted}, at a speed within "
            f"{OFF_SPEED:.1%}.",
            do="Check the tape and the speed that the deck is set to, or give the frequency that "
            "is recorded.",
        )
    weights = {n: 1 / (1 + (error / HALF_WITHIN) ** 2) for n, error in off.items()}
    total = sum(weights.values())
    best = sorted(weights, key=lambda n: -weights[n])
    return tuple((n, weights[n] / total) for n in best)


def _remarks(tone: Tone) -> tuple[str, ...]:
    """What else was recorded perhaps, and what that would mean."""
    if len(tone.likely) < 2:
        return ()
    other_hz = tone.likely[1][0]
    ends = "Give the tape's frequency if you know it."
    if tone.otherwise_hz is not None:
        ends = "Which one is on the tape? The speed is in doubt until its frequency is given."
    told = (
        f"Taken as a tone of {tone.nominal_hz:g} Hz. {other_hz:g} Hz would fit, too; the speed "
        f"error would then be {(tone.hz / other_hz - 1) * 100:+.1f} %. {ends}"
    )
    return (told,)
