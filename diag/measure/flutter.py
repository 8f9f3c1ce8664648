"""Wow and flutter by IEC 60386 and its kin, from a capture of a test tone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.measure import flutter_weighting
from diag.measure.demodulate import SpeedSeries
from diag.measure.flutter_weighting import Response
from diag.measure.long_run import STUDENT, LongRun, long_run
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Array, Sound
from diag.measure.speed import follow

LEAST_SECONDS = 6.0
"""Five for the reading, as the standard asks, and one for the filters to settle."""
SETTLE_SECONDS = 3.0
SETTLE_SHARE = 1 / 12
"""Left out at either end, but no more than this share of the capture."""
EXCEEDED = 0.05
"""Share of the time for which a two-sigma reading is exceeded."""
FINER = 2
"""Values that a swing is told by, over those of the series, so that no peak lies in between."""
EDGE = 1.1
"""Where the last flutter is cut, over the fastest that can be told."""
MUCH_NOISE = 1 / 3
"""Share of a reading from which its noise is told; a third adds one part in twenty."""
NOISE_SURE = 1.05
"""The noise is known to some 5 %."""
MOST_SCATTER = 1.5
"""Share of a power by which it is taken to scatter at most."""
ONE_SIDED = 2.015 / STUDENT
"""Student's t for 95 % on one side, over that on both, of five degrees of freedom (any table)."""
SOME = 1 << 20
"""Values of which a share is looked up; an hour has more than it takes."""
CHUNK = 1 << 18
MARGIN_SECONDS = 30.0


@dataclass(frozen=True, slots=True, eq=False)
class _Swing:
    """How far the speed is off its mean, and how much of that the recording's noise makes.

    Attributes:
        values: at every moment that counts.
        noise: what the noise alone would read, as a root mean square.
    """

    values: NDArray[np.float32]
    noise: float

    def rms(self) -> tuple[float, float]:
        """Root mean square, and half the width of its 95 % interval.

        The powers of flutter and noise add up; by how much that lifts the reading is part of the
        uncertainty. A lift goes one way only, so of the scatter the side beside it counts.
        """
        power = long_run(np.square(self.values))
        if power.mean <= 0:
            return 0.0, 0.0
        rms = power.mean**0.5
        lifted = rms - max(0.0, power.mean - (NOISE_SURE * self.noise) ** 2) ** 0.5
        higher, lower = rms * self._scatter(power), rms * (1 - (1 + _share(power) / 3) ** -1.5)
        return rms, max(higher, lifted + ONE_SIDED * lower)

    def two_sigma(self) -> tuple[float, float]:
        """What is exceeded 5 % of the time, and half the width of its 95 % interval.

        The share of time above it scatters as any mean does; that scatter is turned into one of the
        reading by looking up what is exceeded for a share that is smaller by a factor.
        In a capture of few slow swings too little lies above the reading to tell; there it scatters
        as the root mean square does, and the wider of the two counts.

        How far noise lifts the reading depends on the shape of the swing. So as much noise again is
        added, and its lift taken times 2.4: a lift grows at least as the root of the noise's power,
        by which the first half of two makes 2.4 times what the second does.
        """
        some = np.abs(self.values[:: 1 + len(self.values) // SOME])
        reading = float(np.quantile(some, 1 - EXCEEDED))
        power = long_run(np.square(self.values))
        if power.mean <= 0:
            return 0.0, 0.0
        share = long_run(np.abs(self.values) > reading).mean_uncertainty
        higher = float(np.quantile(some, 1 - EXCEEDED * np.exp(-share / EXCEEDED))) - reading
        unseen = reading * ((1 + self._unseen(power)) ** 0.5 - 1)
        scatter = max(higher + unseen, reading * self._scatter(power))
        drawn = np.random.default_rng(0).standard_normal(len(some), np.float32)
        noisier = np.abs(some + np.float32(self.noise) * drawn)
        lifted = 2.4 * (float(np.quantile(noisier, 1 - EXCEEDED)) - reading)
        return reading, float(np.hypot(scatter, min(reading, max(0.0, lifted))))

    def _scatter(self, power: LongRun) -> float:
        """By what share of itself the root mean square of an endless run may lie above this one.

        The cube root of a power scatters evenly, by a third of the share of the power itself
        (Wilson and Hilferty's rule for chi-square, from memory); so the interval reaches farther
        up than a straight share would.
        """
        return float((1 - _share(power) / 3) ** -1.5 * (1 + self._unseen(power)) ** 0.5 - 1)

    def _unseen(self, power: LongRun) -> float:
        """Power of swings too slow for the capture, over the power that is seen.

        The mean and the straight line have been taken off. Either holds as much power as one of the
        slow waves does.
        """
        return float(2 * long_run(self.values).mean_error ** 2 / power.mean)

    @property
    def is_noisy(self) -> bool:
        """Whether noise makes a good part of it."""
        return self.noise > MUCH_NOISE * float(np.sqrt(np.mean(np.square(self.values))))


def _share(power: LongRun) -> float:
    """By what share of itself a mean power is uncertain."""
    return min(MOST_SCATTER, power.mean_uncertainty / power.mean)


def measure_flutter(sound: Sound, nominal_hz: float | None = None) -> Measurement:
    """Weighted and unweighted wow and flutter from a capture of a test tone, 6 s or longer.

    Peak readings are two-sigma values: what the deviation from the mean speed exceeds, either way,
    for 5 % of the capture. A steady sine reads 0.997 of its peak, which is the half of peak to peak
    that the standards quote. A meter with a pointer smooths its reading besides; that is left out.
    Places where the tone failed don't count.

    Raises:
        MeasureError: as `diag.measure.speed.follow` does.
    """
    followed = follow(sound, nominal_hz, LEAST_SECONDS)
    series = followed.series
    figures, curves = [], []
    noisy: tuple[str, ...] = ()
    for response, readings in READINGS:
        swing = _swing(series, response)
        for key, says, read in readings:
            value, uncertainty = read(swing)
            figures.append(
                Figure(
                    key=key, says=says, value=value * 100, uncertainty=uncertainty * 100, unit="%"
                )
            )
        if swing.is_noisy and not noisy:
            noisy = (NOISY.format(key=readings[-1][1], noise=swing.noise * 100),)
        if response is flutter_weighting.weighting:
            curves.append(_course(swing, series.seconds))
        del swing  # an hour holds much; the next one needs the room
    return Measurement(
        what="flutter",
        figures=tuple(figures),
        curves=tuple(curves),
        remarks=(*followed.remarks, *_limits(series), *noisy, CURVE),
        source="iec_60386",
    )


_Reading: TypeAlias = tuple[str, str, Callable[[_Swing], tuple[float, float]]]
READINGS: tuple[tuple[Response, tuple[_Reading, ...]], ...] = (
    (
        flutter_weighting.weighting,
        (
            ("weighted_peak_percent", "weighted peak (two-sigma)", _Swing.two_sigma),
            ("weighted_rms_percent", "weighted rms", _Swing.rms),
        ),
    ),
    (
        flutter_weighting.unweighted,
        (
            ("unweighted_peak_percent", "unweighted peak (two-sigma)", _Swing.two_sigma),
            ("unweighted_rms_percent", "unweighted rms", _Swing.rms),
        ),
    ),
    (
        flutter_weighting.weighted_wow,
        (("weighted_wow_peak_percent", "weighted wow, up to 10 Hz, peak", _Swing.two_sigma),),
    ),
    (
        flutter_weighting.weighted_flutter,
        (
            (
                "weighted_flutter_peak_percent",
                "weighted flutter, above 10 Hz, peak",
                _Swing.two_sigma,
            ),
        ),
    ),
    (flutter_weighting.wow, (("wow_percent", "wow, up to 10 Hz, rms", _Swing.rms),)),
    (flutter_weighting.flutter, (("flutter_percent", "flutter, above 10 Hz, rms", _Swing.rms),)),
)
NOISY = (
    "Noise of the recording, or flutter too fast to be told, would read {noise:.2g} % ({key}) by "
    "itself; a louder recording tells more."
)
CURVE = (
    "The weighting curve is from memory of the standard; a weighted reading may be some per cent "
    "of itself off another meter's."
)


def _swing(series: SpeedSeries, response: Response) -> _Swing:
    """The speed through a filter, as told by `FINER` times as many values, gaps left out.

    A straight line is taken off, so that no drift counts. The filter works on pieces of the series
    in the frequency domain; each has a margin on either side for the filter's memory, mirrored
    where the series ends.
    """
    values, rate_hz = series.values, series.rate_hz
    slope, offset = _line(values)
    margin = min(len(values) - 1, round(MARGIN_SECONDS * rate_hz))
    settle = round(min(SETTLE_SECONDS, SETTLE_SHARE * series.seconds) * rate_hz)
    swing, count = np.empty(FINER * len(values), np.float32), 0
    for at in range(0, len(values), CHUNK):
        end = min(at + CHUNK, len(values))
        first, last = max(0, at - margin), min(len(values), end + margin)
        piece = values[first:last] - offset - slope * np.arange(first, last)
        before, after = margin - (at - first), margin - (last - end)
        piece = np.pad(piece, (before, after), "reflect")
        finer = _filtered(piece, rate_hz, _within(response, series.reaches_hz))
        kept = np.repeat(~series.gaps[at:end], FINER)
        low, high = max(0, settle - at), min(end, len(values) - settle) - at
        inner = slice(FINER * low, FINER * max(low, high))
        told = finer[FINER * margin : FINER * (margin + end - at)][inner][kept[inner]]
        swing[count : count + len(told)] = told
        count += len(told)
    return _Swing(swing[:count], _noise(series, response))


def _within(response: Response, reaches_hz: float) -> Response:
    """A response that ends, by a short straight edge, at the fastest flutter that can be told."""

    def ended(rates_hz: Array) -> NDArray[np.complex128]:
        gain = np.zeros(len(rates_hz), np.complex128)
        count = int(np.searchsorted(rates_hz, EDGE * reaches_hz))
        told_hz = rates_hz[:count]
        gain[:count] = response(told_hz) * np.clip((EDGE - told_hz / reaches_hz) / (EDGE - 1), 0, 1)
        return gain

    return ended


def _noise(series: SpeedSeries, response: Response) -> float:
    """What the noise of the recording alone would read, as a root mean square."""
    rates_hz = np.linspace(0, EDGE * series.reaches_hz, 2049)
    gain = np.abs(_within(response, series.reaches_hz)(rates_hz))
    return float(np.sqrt(np.trapezoid(series.noise * (rates_hz * gain) ** 2, rates_hz)))


def _line(values: Array) -> tuple[float, float]:
    """Slope (a value) and beginning of the straight line through a series.

    The ends weigh little, or else the line would follow a slow swing.
    """
    size = max(1, len(values) // 1024)
    count = len(values) // size
    means = values[: count * size].reshape(count, size).mean(axis=1)
    at = (np.arange(count) + 0.5) * size - 0.5
    slope, offset = np.polyfit(at, means, 1, w=np.hanning(count + 2)[1:-1])
    return float(slope), float(offset)


def _filtered(values: Array, rate_hz: float, response: Response) -> Array:
    """Values through a filter, `FINER` times as many of them."""
    from scipy.fft import irfft, next_fast_len, rfft

    length = next_fast_len(len(values), real=True)
    # The end is joined to the beginning by a slope, so that the circle has no step in it.
    joined = np.concatenate([values, np.linspace(values[-1], values[0], length - len(values))])
    spectrum = rfft(joined) * response(np.arange(length // 2 + 1) * (rate_hz / length))
    finer: Array = irfft(spectrum, FINER * length) * FINER
    return finer[: FINER * len(values)]


def _limits(series: SpeedSeries) -> tuple[str, ...]:
    """What this capture can't tell."""
    remarks = []
    slowest_hz = 3 / series.seconds
    if slowest_hz > 0.1:
        remarks.append(
            f"In {series.seconds:.0f} s swings slower than {slowest_hz:.1g} Hz are hardly seen; a "
            "minute shows them all."
        )
    if series.reaches_hz < 200:
        remarks.append(
            f"A tone this low shows flutter up to {series.reaches_hz:.0f} Hz only, and hum near it "
            "reads as flutter. A tone of 3150 Hz shows all of it."
        )
    return tuple(remarks)


def _course(swing: _Swing, length_seconds: float) -> Curve:
    """The first reading over time, in root mean squares of equal stretches of a second or so."""
    count = max(5, min(300, round(length_seconds)))
    size = len(swing.values) // count
    rms = np.sqrt(np.square(swing.values[: size * count]).reshape(count, size).mean(axis=1))
    return Curve(
        name="weighted_flutter",
        says="weighted flutter over time, rms",
        x=tuple(((np.arange(count) + 0.5) * length_seconds / count).tolist()),
        y=tuple((rms * 100).tolist()),
        x_unit="s",
        y_unit="%",
    )
