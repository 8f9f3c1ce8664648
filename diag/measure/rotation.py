"""Which turning part a flutter comes from: its lines matched to the rates of the parts, by Bayes.

Hypotheses are that the strongest line comes from one of the parts of `geometry.PARTS`, or from
something else. Stated likelihoods:

- A line of a part is its k-th harmonic with the chance HARMONICS[k-1], and one that would lie past
  half the sampling rate is folded back with the share FOLDED that a demodulator's filter passes.
- The density of a part's rate is that of `geometry.part_rates`, widened by TOLERANCE; something
  else has any rate, evenly in the logarithm.
- A further line is a harmonic of the same thing with the chance SAME, and then fits within its own
  uncertainty and WANDER; else it comes from any part or something else by their priors. Only the
  line that supports a hypothesis most counts: harmonics of another part go together anyway.
- A line counts only if it matters by `standing_out`; a weaker one may still be a harmonic.
- A line that is stronger along the track of a hub than at a steady rate, or the other way round,
  speaks by DRIFT_WEIGHT times the logarithm of the ratio of powers for what drifts so, and at most
  by DRIFT_MOST.

Parts that turn together have the same likelihood and share the chance by their priors.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log

import numpy as np

from diag.measure import rotation_told
from diag.measure.demodulate import SpeedSeries
from diag.measure.geometry import FAST_MM_S, PARTS, Geometry, part_rates, turning_hz, typical
from diag.measure.pack_drift import (
    FAST_TAPES_UM,
    SUPPLY,
    TAKE_UP,
    TAPES_UM,
    Packs,
    Track,
    drifting_lines,
    tracks,
)
from diag.measure.result import Measurement
from diag.measure.sound import Array
from diag.measure.spectrum import (
    TURNS,
    Line,
    Segments,
    Spectrum,
    lines,
    segments_of,
    spectrum,
)
from diag.measure.standing_out import LEAST_AMPLITUDE, least_power

PRIORS = {
    "capstan": 0.22,
    "flywheel": 0.05,
    "pinch roller": 0.27,
    "capstan belt": 0.17,
    "motor": 0.03,
    "motor pulley": 0.04,
    "drive idler": 0.17,
    "supply hub": 0.08,
    "take-up hub": 0.08,
    "take-up idler": 0.04,
}
"""Chance that a line in the flutter comes from a part, of the parts that a deck has.

Judgement, after the faults of decks of 45 years that show a line at a part's rate. The drive idler
stands where others have a belt.
"""
UNKNOWN_PRIOR = 0.08
"""Judgement: scrape, mains, the recorder that made the tape."""
HARMONICS = (0.70, 0.13, 0.07, 0.035, 0.025, 0.02, 0.01, 0.01)
"""Judgement: an eccentric part wavers once a turn; dents, dogs and poles do so several times."""
TOLERANCE = 0.01
"""Standard deviation of a rate by slip, creep of rubber and the speed error, as a share."""
WANDER = 0.003
"""The same between lines of one part."""
FOLDED = 0.02
SAME = 0.4
DRIFT_WEIGHT = 10.0
DRIFT_MOST = 5.0
DRAWS = 1024
MOST_LINES = 8

MOTIONS = (0, SUPPLY, TAKE_UP)
_MOTION_OF = {"supply hub": 1, "take-up hub": 2, "take-up idler": 2}
"""Place in MOTIONS of what doesn't turn steadily."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A line, with how much each of MOTIONS is spoken for (logarithms, the most is zero)."""

    line: Line
    motions: tuple[float, ...]


def match_rotation(series: SpeedSeries, geometry: Geometry) -> Measurement:
    """The strongest line of a speed error, and the chance of each part to be where it comes from.

    `likely` has the parts and 'unknown', the likeliest first, and what has next to no chance
    together as 'others'. It is empty if no line matters; then a figure says how much of the flutter
    a single rate may have at most, unless there are rates that the capture doesn't show.
    The mean of the series is taken for the error of the geometry's speed.

    Raises:
        MeasureError: the series is too short, has too many gaps or holds no numbers.
    """
    series = _thinned(series)
    segments = segments_of(series.values, series.rate_hz, series.gaps)
    speed = 1 + float(np.mean(series.values[~series.gaps]))
    geometry = replace(geometry, speed_mm_s=geometry.speed_mm_s * speed)
    found = spectrum(segments, series.reaches_hz)
    rates = part_rates(geometry, DRAWS)
    seen = [
        one
        for one in _seen(found, segments, _packs(geometry))[:MOST_LINES]
        if one.line.amplitude >= LEAST_AMPLITUDE
    ]
    strong = [one.line for one in seen]
    matter = [line for line in strong if line.amplitude**2 >= least_power(found)]
    if not matter:
        return rotation_told.no_rate(found, rates)
    band = (float(found.rates_hz[0]), float(found.rates_hz[-1]))
    chances = _chances(seen, rates, band, series.rate_hz)
    return Measurement(
        what="flutter",
        figures=rotation_told.figures(strong),
        curves=rotation_told.curves(found),
        remarks=rotation_told.remarks(matter, chances, geometry, TURNS / found.seconds),
        source="common_practice",
        likely=rotation_told.likely(chances[0]),
    )


def _thinned(series: SpeedSeries) -> SpeedSeries:
    """At some 2.5 times the rate to which it reaches: an hour then takes little memory."""
    from scipy.signal import resample_poly

    step = int(series.rate_hz / (2.5 * series.reaches_hz))
    finite = np.isfinite(series.values) | series.gaps
    if step < 2 or not finite.all():
        return series
    values = resample_poly(series.values, 1, step, padtype="line")
    gaps = np.zeros(len(values) * step, dtype=bool)
    gaps[: len(series.gaps)] = series.gaps
    rows = np.asarray(gaps.reshape(-1, step).any(axis=1))
    return SpeedSeries(values, series.rate_hz / step, rows, series.reaches_hz)


def _packs(geometry: Geometry) -> Packs:
    hub_mm = geometry.hub_mm or typical("hub_mm", geometry.speed_mm_s).low
    full_mm = geometry.full_pack_mm or typical("full_pack_mm", geometry.speed_mm_s).high
    usual_um = FAST_TAPES_UM if geometry.speed_mm_s >= FAST_MM_S else TAPES_UM
    return Packs(
        slowest_hz=turning_hz(full_mm, geometry.speed_mm_s),
        fastest_hz=turning_hz(hub_mm, geometry.speed_mm_s),
        speed_mm_s=geometry.speed_mm_s,
        tapes_um=(geometry.tape_um,) if geometry.tape_um is not None else usual_um,
    )


def _seen(found: Spectrum, segments: Segments, packs: Packs) -> list[Seen]:
    """Steady and drifting lines, the strongest first; a drifting one takes what it smears into."""
    steady = list(lines(found, segments))
    if packs.fastest_hz < found.rates_hz[0]:
        return [Seen(line, (0.0, 0.0, 0.0)) for line in steady]
    along = tracks(segments, packs)
    drifting = sorted(drifting_lines(found, along, segments), key=lambda pair: -pair[0].amplitude)
    kept: list[Line] = []
    for line, track in drifting:
        smear = [other for other in steady if _within(other.rate_hz, line, track, segments.seconds)]
        strongest = max((other.amplitude for other in smear), default=0.0)
        if line.amplitude**2 > 1.3 * strongest**2 and not any(
            _within(other.rate_hz, line, track, segments.seconds) for other in kept
        ):
            steady = [other for other in steady if other not in smear]
            kept.append(line)
    every = sorted((*steady, *kept), key=lambda line: -line.amplitude)
    return [Seen(line, _motions(line, found, along)) for line in every]


def _within(rate_hz: float, line: Line, track: Track, seconds: float) -> bool:
    """Whether a rate lies in what a drifting line sweeps over."""
    at = int(np.argmin(np.abs(track.rates_hz - line.rate_hz / track.order)))
    swept = track.swept[at] / 2 * line.rate_hz
    return bool(abs(rate_hz - line.rate_hz) <= swept + 3 / seconds)


def _motions(line: Line, found: Spectrum, along: tuple[Track, ...]) -> tuple[float, ...]:
    """How much a line speaks for being steady, and for either hub."""
    reach = 2 / found.seconds
    near = np.abs(found.rates_hz - line.rate_hz) <= reach
    power = [float(found.power[near].max()), 0.0, 0.0]
    for track in along:
        near = np.abs(track.rates_hz * track.order - line.rate_hz) <= reach
        place = MOTIONS.index(track.way)
        power[place] = max(power[place], float(track.power[near].max(initial=0.0)))
    most = max(power)
    return tuple(
        max(-DRIFT_MOST, DRIFT_WEIGHT * log(one / most)) if one > 0 else -DRIFT_MOST
        for one in power
    )


def _chances(seen: list[Seen], rates: Array, band: tuple[float, float], rate_hz: float) -> Array:
    """Chance of each part and of something else for each line: shape (lines, parts + 1)."""
    there = np.isfinite(rates).mean(axis=1)
    prior = np.append([PRIORS[part] for part in PARTS] * there, UNKNOWN_PRIOR)
    prior /= prior.sum()
    orders = _orders(rate_hz)
    densities = np.stack([_densities(one, rates, orders, band) for one in seen])
    alone = densities.sum(axis=2)
    by_line = []
    for at, one in enumerate(seen):
        further = [
            _harmonic(one, theirs, orders) / (prior @ alone[other])
            for other, theirs in enumerate(seen)
            if other != at
        ]
        support = np.max(further, axis=0) if further else np.ones(densities.shape[2])
        weight = densities[at] * (1 - SAME + SAME * support)
        joint = prior * weight.sum(axis=1)
        by_line.append(joint / joint.sum())
    return np.array(by_line)


@dataclass(frozen=True, slots=True, eq=False)
class Orders:
    """Ways in which a line comes of a rate, all of shape (ways,), with the chance of each.

    A line is so many times the rate; folded, that lies as far below or above `fold_hz`.
    """

    times: Array
    share: Array
    fold_hz: Array
    side: Array

    def rates_hz(self, line_hz: float) -> Array:
        """Of the part whose line this is."""
        return np.asarray((self.fold_hz + self.side * line_hz) / self.times)

    def lines_hz(self, rates_hz: Array) -> Array:
        """Where parts of these rates have their lines, 0 if not in that way: (rates, ways)."""
        return np.maximum(0.0, self.side * (rates_hz[:, None] * self.times - self.fold_hz))


def _orders(rate_hz: float) -> Orders:
    count = len(HARMONICS)
    share = np.array(HARMONICS)
    return Orders(
        np.tile(np.arange(1.0, count + 1), 3),
        np.concatenate((share, share * FOLDED, share * FOLDED)),
        np.repeat((0.0, rate_hz, rate_hz), count),
        np.repeat((1.0, -1.0, 1.0), count),
    )


def _densities(seen: Seen, rates: Array, orders: Orders, band: tuple[float, float]) -> Array:
    """Density of the logarithm of a line's rate by each part and way: (parts + 1, ways)."""
    at = np.log(orders.rates_hz(seen.line.rate_hz))
    spread = float(np.hypot(TOLERANCE, seen.line.rate_uncertainty_hz / 1.96 / seen.line.rate_hz))
    told = np.empty((len(PARTS) + 1, len(at)))
    for row, (part, rate) in enumerate(zip(PARTS, rates, strict=True)):
        drawn = np.log(rate[np.isfinite(rate)])
        off = (at[:, None] - drawn) / spread
        near = np.exp(-0.5 * off**2).sum(axis=1) / max(len(drawn), 1)
        motion = seen.motions[_MOTION_OF.get(part, 0)]
        told[row] = orders.share * near / (spread * np.sqrt(2 * np.pi)) * np.exp(motion)
    told[-1] = orders.share / log(band[1] / band[0])
    return told


def _harmonic(one: Seen, other: Seen, orders: Orders) -> Array:
    """Density of another line's logarithm if both are of one thing, by the way of the first."""
    first, second = (
        line.rate_uncertainty_hz / 1.96 / line.rate_hz for line in (one.line, other.line)
    )
    spread = float(np.hypot(WANDER, np.hypot(first, second)))
    placed = orders.lines_hz(orders.rates_hz(one.line.rate_hz))
    off = np.log(other.line.rate_hz / np.maximum(placed, 1e-9)) / spread
    return np.asarray(np.exp(-0.5 * off**2) @ orders.share / (spread * np.sqrt(2 * np.pi)))
