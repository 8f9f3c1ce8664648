"""Spectrum of a speed error, the noise between its lines, and the lines that stand out of it.

The series is cut into segments that overlap by half, each freed of its trend, weighted by a Hann
window and transformed; powers are averaged. Power is told as the square of the amplitude that a
line of that power has, so that a sine of amplitude 0.001 reads 1e-6 at its rate.

The noise at a rate is a straight line through the logarithms of the powers round it against the
logarithm of the rate, from which what stands out is taken away. With noise alone the ratio of power
to that floor follows an F distribution: twice the least averages above, below the weight of the
ordinates that made the floor. A line counts if such a ratio comes by chance in one of a hundred
spectra.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.sound import Array

SEGMENT_S = 60.0
"""Longest segment: a hub's rate drifts by up to 7 % in it, all other rates are told to 1 %."""
LEAST_S = 10.0
GONE = 0.3
"""Share of a segment that may be missing."""
PADDED = 4
"""Ordinates to one of the segment's own resolution."""
PARABOLA = (2e-4, 1e-4)
"""How far a parabola through three ordinates is off: ordinates of rate, share of amplitude."""
TURNS = 4
"""Turns that a part must make in a segment to be seen."""
HIGHEST_HZ = 200.0
"""Where the weighting of flutter ends."""
BY_CHANCE = 0.01
"""Chance of one false line in a spectrum of noise."""
WINDOW_SPREAD = 1.5
"""Noise bandwidth of a Hann window, in units of its resolution."""


@dataclass(frozen=True, slots=True, eq=False)
class Segments:
    """Pieces of equal length of a series of speed errors.

    Attributes:
        values: shape (segments, samples), freed of trend, weighted, missing samples zero.
        weights: the same shape: window, zero where a sample is missing.
        middle_s: time of each middle since the start of the series.
        rate_hz: samples a second.
        hop_s: from one middle to the next, where none was left out.
    """

    values: Array
    weights: Array
    middle_s: Array
    rate_hz: float
    hop_s: float

    @property
    def seconds(self) -> float:
        """Length of one."""
        return float(self.values.shape[1] / self.rate_hz)

    @property
    def offsets_s(self) -> Array:
        """Time of each sample from its segment's middle."""
        count = self.values.shape[1]
        return np.asarray((np.arange(count) - (count - 1) / 2) / self.rate_hz)

    @property
    def averages(self) -> float:
        """Independent powers that this many are worth; noise correlates by overlap squared."""
        return self._worth(hann(self.values.shape[1]), 2)

    @property
    def least_averages(self) -> float:
        """What they are worth at worst, far out where lines are judged.

        A mean of correlated powers falls off as its largest eigenvalue does, slower than one of as
        many independent powers as its variance tells.
        """
        count, window = len(self.values), hann(self.values.shape[1])
        shifts = [min(round(k * self.hop_s * self.rate_hz), len(window)) for k in range(count)]
        alike = [float(window[shift:] @ window[: len(window) - shift]) for shift in shifts]
        apart = np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
        return float(count * alike[0] / np.linalg.eigvalsh(np.array(alike)[apart])[-1])

    @property
    def amplitude_averages(self) -> float:
        """The same for amplitudes of a line, whose phase all segments share."""
        return self._worth(hann(self.values.shape[1]), 1)

    @property
    def rate_averages(self) -> float:
        """The same for its rate, which weighs the later half against the earlier one."""
        return self._worth(hann(self.values.shape[1]) * self.offsets_s, 1)

    def _worth(self, window: Array, exponent: int) -> float:
        count, length = len(self.values), len(window)
        whole = float(window @ window)
        shared = 0.0
        for apart in range(1, count):
            shift = round(apart * self.hop_s * self.rate_hz)
            if shift >= length:
                break
            alike = float(window[shift:] @ window[: length - shift]) / whole
            shared += 2 * (count - apart) / count * alike**exponent
        return count / (1 + shared)


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """Average powers, all of the same shape: rates in Hz, power, its floor, weight of the floor.

    `trust` is the number of independent ordinates that the floor is worth, `averages` the
    least that the segments are.
    """

    rates_hz: Array
    power: Array
    floor: Array
    trust: Array
    averages: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Line:
    """A rate that stands out.

    Attributes:
        rate_hz: its rate; of a drifting one, in the middle of the capture.
        rate_uncertainty_hz: half a 95 % interval, by theory from its height over the floor.
        amplitude: of the speed error, a fraction of the speed.
        amplitude_uncertainty: half a 95 % interval, by theory.
        chance: of one such line in a spectrum of noise alone.
        over_floor: power over that of the noise.
    """

    rate_hz: float
    rate_uncertainty_hz: float
    amplitude: float
    amplitude_uncertainty: float
    chance: float
    over_floor: float


def segments_of(
    values: Array, rate_hz: float, missing: NDArray[np.bool_] | None = None
) -> Segments:
    """Cut a series of speed errors (fractions of the speed) into segments.

    Raises:
        MeasureError: too short, no numbers, or too much of it is missing.
    """
    if missing is None:
        missing = np.zeros(len(values), dtype=bool)
    if not np.isfinite(values[~missing]).all():
        raise MeasureError(
            "the speed error holds values that are no numbers.", do="Record the test tape again."
        )
    if len(values) < LEAST_S * rate_hz:
        raise MeasureError(
            f"it is {len(values) / rate_hz:.1f} s long; {LEAST_S:g} s are needed to tell rates.",
            do="Record more of the test tape; 60 s or more are best.",
        )
    length = min(len(values), round(SEGMENT_S * rate_hz))
    count = 1 + int(np.ceil((len(values) - length) / (length / 2)))
    starts = np.linspace(0, len(values) - length, count).round().astype(int)
    window = hann(length)
    kept, weights, middles = [], [], []
    for start in starts:
        gone = missing[start : start + length]
        if gone.mean() > GONE:
            continue
        weight = np.where(gone, 0.0, window)
        kept.append(_level(values[start : start + length], weight))
        weights.append(weight)
        middles.append((start + (length - 1) / 2) / rate_hz)
    if not kept:
        raise MeasureError(
            f"{missing.mean():.0%} of the speed error is missing.",
            do="Clean the heads and the tape path, and record the test tape again.",
        )
    hop_s = (len(values) - length) / max(count - 1, 1) / rate_hz
    return Segments(np.array(kept), np.array(weights), np.array(middles), rate_hz, hop_s)


def hann(length: int) -> Array:
    """The window, its samples in the middles of equal steps."""
    return np.asarray(0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(length) + 0.5) / length))


def spectrum(segments: Segments, reaches_hz: float = HIGHEST_HZ) -> Spectrum:
    """Average power of the segments from the lowest rate that they show to what is passed whole."""
    length = segments.values.shape[1]
    padded = _fast_length(PADDED * length)
    rates: Array = np.arange(padded // 2 + 1, dtype=np.float64) * (segments.rate_hz / padded)
    seen = (rates >= TURNS / segments.seconds) & (rates <= min(reaches_hz, 0.45 * segments.rate_hz))
    total = np.zeros(int(seen.sum()))
    for values, weights in zip(segments.values, segments.weights, strict=True):
        amplitude = 2 * np.abs(np.fft.rfft(values, padded)[seen]) / weights.sum()
        total += amplitude**2
    power = total / len(segments.values)
    floor, trust = noise_floor(rates[seen], power, segments.averages, segments.seconds)
    return Spectrum(rates[seen], power, floor, trust, segments.least_averages, segments.seconds)


def noise_floor(
    rates_hz: Array, power: Array, averages: float, seconds: float
) -> tuple[Array, Array]:
    """Power of the noise at each rate, and the independent ordinates that it is worth.

    Local straight lines on logarithms, over half an octave each way or 16 of the segment's own
    ordinates, whichever is more. What lies over the floor by more than noise does in one of a
    hundred times is taken away, three times over.
    """
    from scipy.special import digamma, polygamma
    from scipy.stats import gamma

    x = np.log(rates_hz)
    bias = float(digamma(averages) - np.log(averages))
    y = np.log(np.maximum(power, np.finfo(float).tiny)) - bias
    limit = float(np.log(gamma.ppf(0.99, averages) / averages)) - bias
    scatter = float(polygamma(1, averages))
    knots = np.exp(np.arange(x[0], x[-1] + 0.1, 0.12))
    level, worth = np.empty(len(knots)), np.empty(len(knots))
    for at, rate in enumerate(knots):
        half = max(rate * 0.41, 16 / seconds)
        low, high = max(rate - half, rates_hz[0]), min(rate + half, rates_hz[-1])
        if high - low < 2 * half:  # near an end the window keeps its width
            low, high = max(high - 2 * half, rates_hz[0]), min(low + 2 * half, rates_hz[-1])
        first, last = np.searchsorted(rates_hz, (low, high))
        stride = max(1, (last - first) // 2000)
        picked = slice(first, last + 1, stride)
        level[at], share = _line_at(x[picked], y[picked], np.log(rate), limit)
        independent = (high - low) * seconds / WINDOW_SPREAD / (last - first + 1) * stride
        worth[at] = min(1.0, independent) / (scatter * share)
    floor = np.exp(np.interp(x, np.log(knots), level))
    return floor, np.interp(x, np.log(knots), worth)


def _line_at(x: Array, y: Array, at: float, limit: float) -> tuple[float, float]:
    """Value at a place of the straight line through points, without those too far above it.

    Also the variance of that value in units of that of one point.
    """
    kept = y <= np.median(y) + limit + 2.0
    for _ in range(4):
        offset = x[kept] - at
        mean = offset.mean()
        about = ((offset - mean) ** 2).sum()
        slope = float((offset - mean) @ y[kept] / about) if about else 0.0
        value = float(y[kept].mean() - slope * mean)
        again = y <= value + slope * (x - at) + limit
        if again.sum() < 8 or (again == kept).all():
            break
        kept = again
    return value, float(1 / kept.sum() + (mean**2 / about if about else 0.0))


def chance_of(power: Any, floor: Any, trust: Any, averages: float, looked_at: float) -> Any:
    """Chance that noise alone gives this power in one of so many independent places."""
    from scipy.stats import f

    alone = f.sf(power / floor, 2 * averages, 2 * trust)
    return -np.expm1(looked_at * np.log1p(-np.minimum(alone, 1 - 1e-12)))


def limit_of(floor: Any, trust: Any, averages: float, looked_at: float, chance: float) -> Any:
    """Power that noise alone exceeds with this chance: `chance_of` turned round."""
    from scipy.stats import f

    alone = -np.expm1(np.log1p(-chance) / looked_at)
    return floor * f.isf(alone, 2 * averages, 2 * trust)


def lines(found: Spectrum, segments: Segments) -> tuple[Line, ...]:
    """The lines that noise doesn't give, the strongest first.

    A line's skirts are none of their own: what lies within three ordinates of a stronger one, or
    under the skirt of its window, is left out.
    """
    looked_at = (found.rates_hz[-1] - found.rates_hz[0]) * found.seconds
    chance = chance_of(found.power, found.floor, found.trust, found.averages, looked_at)
    inner = found.power[1:-1]
    is_peak = (inner >= found.power[:-2]) & (inner > found.power[2:])
    peaks = np.flatnonzero(is_peak & (chance[1:-1] < BY_CHANCE)) + 1
    told: list[Line] = []
    for at in sorted(peaks, key=lambda at: -found.power[at]):
        rate = float(found.rates_hz[at])
        apart = [abs(rate - line.rate_hz) * found.seconds for line in told]
        skirts = [
            line.amplitude**2 * hann_skirt(bins) for line, bins in zip(told, apart, strict=True)
        ]
        if any(bins < 3 for bins in apart) or sum(skirts) > found.power[at] / 4:
            continue
        line = line_at(found.rates_hz, found.power, int(at), float(found.floor[at]), segments)
        told.append(replace(line, chance=float(chance[at])))
    return tuple(told)


def hann_skirt(bins: float) -> float:
    """Upper bound of a Hann window's power, so many ordinates from its line, in units of that."""
    return min(1.0, float((1 / (np.pi * bins * (bins**2 - 1))) ** 2)) if bins > 1.5 else 1.0


def line_at(rates_hz: Array, power: Array, at: int, floor: float, segments: Segments) -> Line:
    """The line whose highest ordinate is known, by a parabola through the logarithms of three.

    Where it is not the highest of three, as at an end, it is taken as it is. `chance` is left at
    zero.
    """
    shift, top = 0.0, float(power[at])
    near = power[max(at - 1, 0) : at + 2]
    if len(near) == 3 and near.min() > 0 and top == near.max() > near.min():
        below, here, above = np.log(near)
        shift = float(0.5 * (below - above) / (below - 2 * here + above))
        top = float(np.exp(here - 0.25 * (below - above) * shift))
    amplitude = float(np.sqrt(max(top - floor, top / 4)))
    return Line(
        float(rates_hz[at] + shift * (rates_hz[1] - rates_hz[0])),
        float(
            np.hypot(
                1.96 * _rate_scatter_hz(segments, amplitude**2 / floor),
                PARABOLA[0] / segments.seconds,
            )
        ),
        amplitude,
        float(
            np.hypot(
                1.96 * np.sqrt(floor / 2 / segments.amplitude_averages), PARABOLA[1] * amplitude
            )
        ),
        0.0,
        float(power[at] / floor),
    )


def _rate_scatter_hz(segments: Segments, over_floor: float) -> float:
    """Standard deviation of a line's rate.

    From the slope of the windowed transform near its top with white noise added, to first order;
    for a window of ones it is the Cramer-Rao bound.
    """
    weights, offsets = segments.weights[0], segments.offsets_s
    total, squares = float(weights.sum()), float((weights**2).sum())
    curved = float((weights * offsets**2).sum())
    slope = float((weights**2 * offsets**2).sum())
    variance = total**2 * slope / (2 * over_floor * squares * curved**2)
    variance /= segments.rate_averages
    return float(np.sqrt(variance) / (2 * np.pi))


def _level(values: Array, weights: Array) -> Array:
    """Freed of its straight trend where it is not missing, and weighted."""
    x = np.linspace(-1, 1, len(values))
    here = weights > 0
    slope, mean = np.polyfit(x[here], values[here], 1)
    return np.where(here, (np.where(here, values, 0.0) - mean - slope * x) * weights, 0.0)


def _fast_length(least: int) -> int:
    from scipy.fft import next_fast_len

    return int(next_fast_len(least, real=True))
