"""How strongly flutter of each rate counts: the weighting curve, and bands without weighting."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array

Response: TypeAlias = Callable[[Array], NDArray[np.complex128]]
"""Complex gain at each rate in Hz."""

TABLE = (
    (0.1, -48.0), (0.2, -30.6), (0.315, -19.7), (0.4, -15.0), (0.63, -8.4), (0.8, -6.0),
    (1.0, -4.2), (1.6, -1.8), (2.0, -0.9), (4.0, 0.0), (6.3, -0.9), (10.0, -2.1), (20.0, -5.9),
    (40.0, -10.4), (63.0, -14.2), (100.0, -17.3), (200.0, -23.0),
)  # fmt: skip
"""Rate in Hz and weight in dB: IEC 60386, AES6, DIN 45507 and CCIR 409 have the same curve.

The figures are from memory: no page that shows them could be read. The published words fit them:
0 dB near 4 Hz, some 6 dB an octave on either side, more below 0.5 Hz.
"""

NETWORK_HZ = (0.44033, 1.51264, 9.09089)
"""Corners of an analogue network that comes within 0.34 dB of the table (computed)."""
NETWORK_Q = 0.66135
NETWORK_STEP_HZ = (40.189, 54.279)

LOWEST_HZ = 0.03
"""Where the unweighted bands begin to fall; at 0.1 Hz, where wow begins, 0.4 % are lost."""
WOW_HZ = 10.0
"""Where wow ends and flutter begins (JIS C 5569, national text of IEC 386)."""


def weighting(rates_hz: Array) -> NDArray[np.complex128]:
    """Weight of each rate: the size by the table, the phase of a network that nearly has it.

    Between the table's rates a smooth curve without overshoot is laid through the decibels over the
    logarithm of the rate; outside, the slope at its end goes on.
    """
    from scipy.interpolate import PchipInterpolator

    table_hz, table_db = np.array(TABLE).T
    octaves = np.log2(np.maximum(rates_hz, 1e-9))
    inside = np.log2(table_hz)
    within = PchipInterpolator(inside, table_db)(np.clip(octaves, inside[0], inside[-1]))
    below = np.minimum(octaves - inside[0], 0) * _slope(inside, table_db, 0)
    above = np.maximum(octaves - inside[-1], 0) * _slope(inside, table_db, -2)
    size = 10 ** ((within + below + above) / 20)
    response = network(rates_hz)
    weights: NDArray[np.complex128] = size * np.exp(1j * np.angle(response))
    return weights


def network(rates_hz: Array) -> NDArray[np.complex128]:
    """An analogue network of five poles near the table; 0 dB at 4 Hz."""
    low_hz, third_hz, fourth_hz = NETWORK_HZ
    up_hz, down_hz = NETWORK_STEP_HZ

    def gain(s: NDArray[np.complex128]) -> NDArray[np.complex128]:
        poles = (s * s + s * low_hz / NETWORK_Q + low_hz**2) * (s + third_hz) * (s + fourth_hz)
        return s**3 / poles * (s + up_hz) / (s + down_hz)

    return gain(1j * rates_hz.astype(np.complex128)) / abs(gain(np.array([4j])))


def unweighted(rates_hz: Array) -> NDArray[np.complex128]:
    """All rates alike, but what is slower than wow: a second-order fall below 0.03 Hz."""
    ratio = (rates_hz / LOWEST_HZ) ** 2
    return (ratio / np.sqrt(1 + ratio**2)).astype(np.complex128)


def wow(rates_hz: Array) -> NDArray[np.complex128]:
    """Rates up to 10 Hz, with a fourth-order edge; its power and that of `flutter` add up to 1."""
    return unweighted(rates_hz) / np.sqrt(1 + (rates_hz / WOW_HZ) ** 8)


def flutter(rates_hz: Array) -> NDArray[np.complex128]:
    """Rates above 10 Hz."""
    ratio = (rates_hz / WOW_HZ) ** 4
    return unweighted(rates_hz) * ratio / np.sqrt(1 + ratio**2)


def weighted_wow(rates_hz: Array) -> NDArray[np.complex128]:
    """Weighted, rates up to 10 Hz; with the power of `weighted_flutter` it makes the whole."""
    return weighting(rates_hz) / np.sqrt(1 + (rates_hz / WOW_HZ) ** 8)


def weighted_flutter(rates_hz: Array) -> NDArray[np.complex128]:
    """Weighted, rates above 10 Hz."""
    ratio = (rates_hz / WOW_HZ) ** 4
    return weighting(rates_hz) * ratio / np.sqrt(1 + ratio**2)


def _slope(octaves: Array, levels_db: Array, at: int) -> float:
    """Decibels an octave between two neighbours of the table."""
    return float((levels_db[at + 1] - levels_db[at]) / (octaves[at + 1] - octaves[at]))
