"""Where the tracks lie on a tape, how fast it runs, and what a tilted gap does between them."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, pi, radians, tan

ARCMIN = pi / (180 * 60)
"""A minute of arc in rad."""
SPEED_MM_S = 47.625
"""One and seven eighths inches a second."""


@dataclass(frozen=True, slots=True)
class Tracks:
    """The two tracks of a stereo pair: width of one, and distance between their middles."""

    width_mm: float
    apart_mm: float


STEREO_ON_3_81_MM = Tracks(0.6, 0.9)
"""Width published; the guard band of 0.3 mm between the two is from memory."""
QUARTER_TRACK_ON_6_3_MM = Tracks(1.1, 3.4)
"""Width published; tracks 1 and 3, with 3.4 mm between their middles from memory."""
HALF_TRACK_ON_6_3_MM = Tracks(2.0, 3.9)
"""Two millimetres published; the distance follows from published phases of such tracks."""


def wavelength_mm(frequency_hz: float, speed_mm_s: float) -> float:
    """Length of one cycle on the tape."""
    return speed_mm_s / frequency_hz


def delay_of(azimuth_arcmin: float, tracks: Tracks, speed_mm_s: float) -> float:
    """Seconds by which the right channel comes after the left one."""
    return tracks.apart_mm * tan(radians(azimuth_arcmin / 60)) / speed_mm_s


def azimuth_of(delay_s: float, tracks: Tracks, speed_mm_s: float) -> float:
    """Azimuth in minutes of arc: `delay_of` turned round."""
    return atan(delay_s * speed_mm_s / tracks.apart_mm) / ARCMIN


def phase_deg(
    azimuth_arcmin: float, frequency_hz: float, tracks: Tracks, speed_mm_s: float
) -> float:
    """Degrees by which the right channel comes after the left one; not wrapped at 180."""
    return 360 * frequency_hz * delay_of(azimuth_arcmin, tracks, speed_mm_s)
