"""What spacing, gap, azimuth and the length of the head do to the level at a wavelength.

Each function takes frequencies in Hz and gives dB, with no loss at long waves.
"""

from __future__ import annotations

from math import log10, pi, radians, tan

import numpy as np

from diag.measure.sound import Array

SPACING_DB = 40 * pi * log10(np.e)
"""dB that are lost for a spacing of one wavelength: 54.6 (from memory)."""
GAP_FACTOR = 1.11
"""Magnetic over seen length of a gap; 1.10 to 1.15 are published (head_notes)."""
FLOOR_DB = -60.0
"""Deeper nulls than this are none in practice: gap edges and tracks aren't so straight."""


def spacing_loss_db(frequency_hz: Array, spacing_um: float, speed_mm_s: float) -> Array:
    """Change of level by dirt or air between tape and head."""
    return -SPACING_DB * spacing_um * 1e-3 * frequency_hz / speed_mm_s


def gap_loss_db(
    frequency_hz: Array, gap_um: float, speed_mm_s: float, factor: float = GAP_FACTOR
) -> Array:
    """Change of level by the length of the gap; `gap_um` as seen under a microscope."""
    return _sinc_db(factor * gap_um * 1e-3 * frequency_hz / speed_mm_s)


def azimuth_loss_db(
    frequency_hz: Array, azimuth_arcmin: float, width_mm: float, speed_mm_s: float
) -> Array:
    """Change of level by a gap that stands askew across a track of `width_mm`."""
    slope = tan(radians(azimuth_arcmin / 60))
    return _sinc_db(width_mm * slope * frequency_hz / speed_mm_s)


def _sinc_db(waves: Array) -> Array:
    """20 log10 of sin(pi x)/(pi x), down to the floor."""
    size = np.abs(np.sinc(waves))
    found: Array = 20 * np.log10(np.maximum(size, 10 ** (FLOOR_DB / 20)))
    return found
