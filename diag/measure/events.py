"""Events in time: how many a minute, and whether they come round at a steady rate."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log2, sqrt

import numpy as np

from diag.measure.result import Figure
from diag.measure.scatter import half_width
from diag.measure.sound import Array

RATES_HZ = (0.15, 12.0)
"""From a full hub, turning slowly, to a thin capstan."""
LEAST_EVENTS = 6
BY_CHANCE = 0.01
"""A rate is told if chance alone brings one so steady less often than this."""
AS_STRONG = 0.7
"""Events at a rate are as steady at its multiples; the lowest that is so strong is the rate."""
OUT_OF_STEP = 0.2
"""Events farther than this from their place, in turns, are left out of the fit."""
FINEST_S = 0.5e-3
ROUNDED_S = 5e-3
FINER = 4
"""Rates are tried so many times closer than one turn in the time."""


@dataclass(frozen=True, slots=True)
class Round:
    """A steady rate: its period, the uncertainty, and how often chance brings one so steady."""

    period_s: float
    uncertainty_s: float
    by_chance: float


def per_minute(key: str, says: str, count: int, seconds: float) -> Figure:
    """A rate from a count.

    The uncertainty is that of the rate behind a count of chance events (Poisson): 1.96 roots of
    the count and two, which holds the rate in 93 to 97 of 100 captures from three events on.
    """
    return Figure(
        key=key,
        says=says,
        value=count * 60 / seconds,
        uncertainty=1.96 * sqrt(count + 2) * 60 / seconds,
        unit="",
    )


def comes_round(times_s: Array, seconds: float) -> Round | None:
    """The steady rate of events, if there is one that chance would hardly bring.

    Each event is an arrow that points to its place in a turn (Rayleigh's test). Under chance the
    squared length of their sum over their number exceeds z with a probability of exp(-z). In an
    octave up to some rate, as many are tried as there are turns in the time, three times over for
    those between; each octave has the same share of what chance may do.

    Args:
        times_s: when the events were, in seconds.
        seconds: how long was listened.
    """
    if len(times_s) < LEAST_EVENTS:
        return None
    rates, strength = _strength(times_s, seconds)
    strong = np.flatnonzero(strength >= AS_STRONG * strength.max())
    # The lowest strong rate may be the foot of a peak: go up to its top.
    top = int(strong[0])
    while top + 1 < len(rates) and strength[top + 1] > strength[top]:
        top += 1
    tries = 3 * seconds * float(rates[top]) * log2(RATES_HZ[1] / RATES_HZ[0])
    by_chance = tries * exp(-float(strength[top]))
    if by_chance > BY_CHANCE:
        return None
    return Round(*_fit(times_s, float(rates[top])), by_chance)


def _strength(times_s: Array, seconds: float) -> tuple[Array, Array]:
    """Rates in Hz, and at each the squared length of the sum of arrows over their number.

    Times are rounded to 5 ms, which takes 3 % off at the highest rate, so that one transform does.
    """
    bins = int(seconds / ROUNDED_S) + 1
    counts = np.bincount((times_s / ROUNDED_S).astype(int), minlength=bins)
    length = FINER * len(counts)
    rates = np.arange(length // 2 + 1) / (length * ROUNDED_S)
    strength = np.abs(np.fft.rfft(counts, length)) ** 2 / len(times_s)
    tried = (rates >= RATES_HZ[0]) & (rates <= RATES_HZ[1])
    return rates[tried], strength[tried]


def _fit(times_s: Array, rate_hz: float) -> tuple[float, float]:
    """Period by a straight line through times over turns, and its uncertainty."""
    from scipy.special import stdtrit

    place = np.angle(np.exp(2j * np.pi * rate_hz * times_s).sum()) / (2 * np.pi)
    turns = np.round(rate_hz * times_s - place)
    in_step = np.abs(rate_hz * times_s - place - turns) < OUT_OF_STEP
    turns, times_s = turns[in_step], times_s[in_step]
    away = turns - turns.mean()
    spread = float((away**2).sum())
    period = float((away * times_s).sum()) / spread
    rest = times_s - times_s.mean() - period * away
    free = len(turns) - 2
    sigma = max(sqrt(float((rest**2).sum()) / free), FINEST_S)
    return period, float(stdtrit(free, 0.975)) * sigma / sqrt(spread)


def mean_figure(key: str, says: str, values: Array, unit: str) -> tuple[Figure, ...]:
    """The mean of a value of each event, if there are enough of them to tell how sure it is."""
    if len(values) < LEAST_EVENTS:
        return ()
    return (
        Figure(
            key=key,
            says=says,
            value=float(values.mean()),
            uncertainty=float(half_width(values)),
            unit=unit,
        ),
    )
