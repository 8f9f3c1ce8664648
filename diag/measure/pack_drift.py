"""Lines whose rate drifts as that of a hub does, since its pack grows or shrinks as the tape plays.

Each turn of a hub takes up or gives off one thickness of tape, so that the turns since a moment
follow from pack and thickness alone. Each segment is brought to rest by the turns that it should
have, and the powers of the segments are averaged along the track.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array
from diag.measure.spectrum import BY_CHANCE, Line, Segments, Spectrum, chance_of, line_at

SUPPLY, TAKE_UP = 1, -1
"""Way of the drift: the pack of the supply hub shrinks, and its rate rises."""
ORDERS = (1, 2, 3)
"""Wavers in a turn that are looked for: a drag once a turn, its harmonics, three driving dogs."""
SLOW_RATE_HZ = 10.0
"""To which samples are thinned: the third of a hub's order lies below 2.5 Hz."""
MOST_SEGMENTS = 40
"""Of a long capture, so many of them, evenly."""
TAPES_UM = (9.0, 12.0, 18.0)
"""Of tapes of 120, 90 and 60 minutes (from memory); a test tape is of one of them as a rule."""
FAST_TAPES_UM = (18.0, 26.0, 35.0, 52.0)
"""Of wide tape: triple, double, long and standard play (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packs:
    """What hubs do in a deck.

    Attributes:
        slowest_hz: rate of a hub with all the tape on it.
        fastest_hz: rate of a bare hub.
        speed_mm_s: tape speed.
        tapes_um: thicknesses that come into question.
    """

    slowest_hz: float
    fastest_hz: float
    speed_mm_s: float
    tapes_um: tuple[float, ...] = TAPES_UM


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """Power of one order along the tracks of one hub, by the hub's rate in the capture's middle.

    `swept` is by how much the rate changes in the capture, as a share; where a track leaves what a
    pack can be, the power is zero.
    """

    way: int
    order: int
    rates_hz: Array
    power: Array
    swept: Array


def turns(rate_hz: Array, times_s: Array, way: int, tape_um: float, speed_mm_s: float) -> Array:
    """Turns of a hub since the moment at which it has this rate; NaN past the end of its pack."""
    shrinks = way * 4 * pi * tape_um / 1e3 * rate_hz**2 / speed_mm_s
    left = 1 - shrinks * times_s
    with np.errstate(invalid="ignore"):
        return np.asarray(2 * rate_hz / shrinks * (1 - np.sqrt(left)))


def rate_at(rates_hz: Array, time_s: float, way: int, tape_um: float, speed_mm_s: float) -> Array:
    """Rates of such hubs at another time; infinite past the end of their packs."""
    left = 1 - way * 4 * pi * tape_um / 1e3 * rates_hz**2 / speed_mm_s * time_s
    return np.asarray(np.where(left > 0, rates_hz / np.sqrt(np.maximum(left, 1e-12)), np.inf))


def tracks(segments: Segments, packs: Packs) -> tuple[Track, ...]:
    """Powers along the tracks of both hubs, of each order, at the thickness that gives most."""
    slow = _thinned(segments)
    rates = np.arange(packs.slowest_hz, packs.fastest_hz, 1 / (8 * slow.seconds))
    told = []
    for way in (SUPPLY, TAKE_UP):
        power, swept = np.zeros((len(ORDERS), len(rates))), np.zeros((len(ORDERS), len(rates)))
        for tape_um in packs.tapes_um:
            fits, share = _fitting(rates, slow, packs, way, tape_um)
            found = np.zeros_like(power)
            found[:, fits] = _along(rates[fits], slow, way, tape_um, packs.speed_mm_s)
            swept = np.where(found > power, share, swept)
            power = np.maximum(found, power)
        told += [Track(way, order, rates, power[at], swept[at]) for at, order in enumerate(ORDERS)]
    return tuple(told)


def _fitting(
    rates_hz: Array, slow: Segments, packs: Packs, way: int, tape_um: float
) -> tuple[NDArray[np.bool_], Array]:
    """Which tracks stay within what a pack can be, and by what share each rate changes."""
    half_s = (slow.middle_s[-1] - slow.middle_s[0] + slow.seconds) / 2
    ends = [rate_at(rates_hz, time, way, tape_um, packs.speed_mm_s) for time in (-half_s, half_s)]
    slowest, fastest = np.minimum(*ends), np.maximum(*ends)
    fits = (slowest > 0.97 * packs.slowest_hz) & (fastest < 1.03 * packs.fastest_hz)
    return fits, fastest / slowest - 1


def _along(rates_hz: Array, slow: Segments, way: int, tape_um: float, speed_mm_s: float) -> Array:
    """Mean power of the segments along each track: shape (orders, rates)."""
    total = np.zeros((len(ORDERS), len(rates_hz)))
    middle_s = (slow.middle_s[0] + slow.middle_s[-1]) / 2
    for values, weights, at_s in zip(slow.values, slow.weights, slow.middle_s, strict=True):
        times = at_s - middle_s + slow.offsets_s
        turned = turns(rates_hz[:, None], times, way, tape_um, speed_mm_s)
        backwards = np.exp(-2j * pi * turned)
        still = np.ones_like(backwards)
        for place in range(len(ORDERS)):
            still *= backwards
            total[place] += np.abs(still @ values) ** 2 * 4 / weights.sum() ** 2
    # Sums of neighbours weaken what turns fast.
    passed = np.sinc(np.outer(ORDERS, rates_hz) / slow.rate_hz) ** 2
    return np.asarray(total / len(slow.values) / passed)


def drifting_lines(
    found: Spectrum, along: tuple[Track, ...], segments: Segments
) -> tuple[tuple[Line, Track], ...]:
    """The strongest line of each track that noise doesn't give, with the track."""
    told = []
    for track in along:
        at = int(np.argmax(track.power))
        rates = track.rates_hz * track.order
        floor, trust = (
            float(np.interp(rates[at], found.rates_hz, of)) for of in (found.floor, found.trust)
        )
        looked_at = len(rates) / 8 * track.order * len(along) * len(TAPES_UM)
        averages = min(found.averages, MOST_SEGMENTS)
        chance = float(chance_of(track.power[at], floor, trust, averages, looked_at))
        if chance < BY_CHANCE:
            line = line_at(rates, track.power, at, floor, segments)
            told.append((replace(line, chance=chance), track))
    return tuple(told)


def _thinned(segments: Segments) -> Segments:
    """Sums of neighbouring samples and weights, of MOST_SEGMENTS at most."""
    step = max(1, int(segments.rate_hz / SLOW_RATE_HZ))
    picked = np.unique(np.linspace(0, len(segments.values) - 1, MOST_SEGMENTS).round().astype(int))
    whole = segments.values.shape[1] // step * step
    values, weights = (
        of[picked, :whole].reshape(len(picked), -1, step).sum(axis=2)
        for of in (segments.values, segments.weights)
    )
    return Segments(
        values, weights, segments.middle_s[picked], segments.rate_hz / step, segments.hop_s
    )
