"""Weighting of noise as in ITU-R BS.468-4: the passive network that defines it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diag.measure.sound import Array

ENDS_OHM = 600.0
SHUNT_NF = (13.85, 26.82, 9.21, 31.47)
SERIES_MH = (12.88, 26.49)
SERIES_NF = 33.06


def response(hz: Array) -> NDArray[np.complex128]:
    """Complex factors at frequencies in Hz; 1 in size at 1 kHz."""
    factors: NDArray[np.complex128] = _raw(hz) / np.abs(_raw(np.array([1000.0])))
    return factors


def _raw(hz: Array) -> NDArray[np.complex128]:
    """Voltage at the load over that of the source, times `s` of the series capacitor.

    The ladder is gone through from the load: voltage and current that give one volt there.
    """
    s = 2j * np.pi * hz
    first, second, third, last = (c * 1e-9 for c in SHUNT_NF)
    volts = np.ones_like(s)
    amperes = volts / ENDS_OHM + volts * s * last
    volts = volts + amperes * s * SERIES_MH[1] * 1e-3
    amperes = amperes + volts * s * third
    # The voltage over the series capacitor goes with 1/s: all from here on is taken times s.
    volts, amperes = volts * s + amperes / (SERIES_NF * 1e-9), amperes * s
    amperes = amperes + volts * s * second
    volts = volts + amperes * s * SERIES_MH[0] * 1e-3
    amperes = amperes + volts * s * first
    factors: NDArray[np.complex128] = s / (volts + amperes * ENDS_OHM)
    return factors
