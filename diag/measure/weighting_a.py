"""A-weighting as in IEC 61672-1, annex E; its constants in full are from memory."""

from __future__ import annotations

import numpy as np

from diag.measure.sound import Array

POLES_HZ = (20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217)


def response(hz: Array) -> Array:
    """Factors at frequencies in Hz, 1 at 1 kHz; without phase, of which no level asks."""
    return _raw(hz) / _raw(np.array([1000.0]))


def _raw(hz: Array) -> Array:
    factors = hz**4
    for pole in POLES_HZ:
        factors = factors / np.hypot(hz, pole)
    return factors
