"""Sums on what gap, spacing and azimuth cost at short wavelengths."""

from __future__ import annotations

from math import log10, pi, radians, sin, tan

from diag.errors import BenchtrailError
from diag.workshop.declaration import Example, Input, Output, Sum

SPACING_DB = 54.575
"""dB lost for a spacing of one wavelength: 40 pi log10 e (from memory)."""


def wavelength_um(speed_cm_s: float, frequency_hz: float) -> float:
    """Wavelength on the tape in µm."""
    return speed_cm_s * 1e4 / frequency_hz


def wavelength(frequency_hz: float, speed_cm_s: float) -> tuple[float]:
    """`wavelength_um` as a sum."""
    return (wavelength_um(speed_cm_s, frequency_hz),)


def gap(
    gap_um: float, frequency_hz: float, speed_cm_s: float, factor: float
) -> tuple[float, float]:
    """Change of level in dB by the gap's length, and frequency in Hz of the first null."""
    first_null_hz = speed_cm_s * 1e4 / (factor * gap_um)
    return _sinc_db(pi * frequency_hz / first_null_hz), first_null_hz


def spacing(spacing_um: float, frequency_hz: float, speed_cm_s: float) -> tuple[float]:
    """Change of level in dB by a gap between tape and head."""
    return (-SPACING_DB * spacing_um / wavelength_um(speed_cm_s, frequency_hz),)


def azimuth(
    error_arcmin: float, frequency_hz: float, speed_cm_s: float, width_mm: float, apart_mm: float
) -> tuple[float, float, float]:
    """Change of level in dB, phase between channels in degrees, and delay between them in µs."""
    slope = tan(radians(error_arcmin / 60))
    waves = slope * 1e3 / wavelength_um(speed_cm_s, frequency_hz)
    return (
        _sinc_db(pi * width_mm * waves),
        360 * apart_mm * waves,
        apart_mm * slope / (speed_cm_s * 10) * 1e6,
    )


def _sinc_db(x: float) -> float:
    """20 log10 of sin(x)/x.

    Raises:
        BenchtrailError: at or past the first null, where the level says nothing.
    """
    if abs(x) >= pi:
        raise BenchtrailError(
            "that is at or past the first null.", do="Take a lower frequency or a smaller figure."
        )
    return 20 * log10(sin(x) / x) if x else 0.0


FREQUENCY = Input("frequency", "frequency", "Hz", 10, 100_000)
SPEED = Input("speed", "tape speed", "cm/s", 1, 200, default=4.7625)
LEVEL = Output("level", "change of level", "dB")

SUMS = (
    Sum(
        name="wavelength",
        title="Wavelength on the tape",
        inputs=(FREQUENCY, SPEED),
        outputs=(Output("wavelength", "wavelength", "µm"),),
        compute=wavelength,
        source="common_practice",
        basis="Speed over frequency.",
        example=Example(
            {"frequency": "10 kHz", "speed": "1 7/8 ips"},
            {"wavelength": 4.7625},
            1e-9,
            "arithmetic: 4.7625 cm/s over 10 kHz",
        ),
    ),
    Sum(
        name="gap_loss",
        title="Treble lost by the length of the head's gap",
        inputs=(
            Input("gap", "gap as seen under a microscope", "µm", 0.05, 50),
            FREQUENCY,
            SPEED,
            Input("factor", "magnetic over seen length", "", 1, 1.3, default=1.11),
        ),
        outputs=(LEVEL, Output("null", "first null", "Hz")),
        compute=gap,
        source="head_notes",
        basis="Sine of x over x. The magnetic gap is 1.10 to 1.15 times the one that is seen.",
        example=Example(
            {"gap": "1.4 µm", "frequency": "16 kHz"},
            {"level": -4.32},
            2e-3,
            "arithmetic: with 1.11; published (head_notes): about 4 dB more than at 0.45 µm",
        ),
    ),
    Sum(
        name="spacing_loss",
        title="Treble lost by a gap between tape and head",
        inputs=(Input("spacing", "dirt or air between them", "µm", 0, 100), FREQUENCY, SPEED),
        outputs=(LEVEL,),
        compute=spacing,
        source="head_notes",
        basis="54.6 dB for each wavelength of spacing (constant from memory).",
        example=Example(
            {"spacing": "0.2 µm", "frequency": "16 kHz"},
            {"level": -4.0},
            0.1,
            "published (head_notes): about 4 dB; -3.67 dB by arithmetic",
        ),
    ),
    Sum(
        name="azimuth",
        title="Treble and phase lost by azimuth error",
        inputs=(
            Input("error", "azimuth error, in minutes of arc", "arcmin", -300, 300),
            FREQUENCY,
            SPEED,
            Input("width", "width of a track", "mm", 0.1, 30, default=0.6),
            Input("apart", "distance between the middles of two tracks", "mm", 0, 30, default=0.9),
        ),
        outputs=(
            LEVEL,
            Output("phase", "phase between the channels", "°"),
            Output("delay", "delay between the channels", "µs"),
        ),
        compute=azimuth,
        source="from_memory",
        basis="Sine of x over x across the track. A phase past 180 degrees looks like less: "
        "start at a low frequency.",
        example=Example(
            {"error": "10'", "frequency": "10 kHz"},
            {"level": -2.01, "phase": 197.9, "delay": 54.97},
            2e-3,
            "arithmetic: by the standard derivation",
        ),
    ),
)
