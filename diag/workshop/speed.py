"""Sums on tape speed, its error, and what turns the tape."""

from __future__ import annotations

from math import log2, pi

from diag.model.quantity import figure
from diag.workshop.declaration import Example, Input, Output, Sum
from diag.workshop.told import Told

INCH_CM = 2.54


def percent_to_cents(error_pct: float) -> float:
    """Cents of a speed error; twelve hundred to an octave."""
    return 1200 * log2(1 + error_pct / 100)


def cents(error_pct: float) -> tuple[float]:
    """`percent_to_cents` as a sum."""
    return (percent_to_cents(error_pct),)


def percent(interval_cents: float) -> tuple[float]:
    """Percent of a speed error that is heard as so many cents."""
    return ((float(2 ** (interval_cents / 1200)) - 1) * 100,)


def tone(measured_hz: float, nominal_hz: float) -> tuple[float, float]:
    """Speed error in percent and cents from a test tape's tone."""
    error = (measured_hz / nominal_hz - 1) * 100
    return error, percent_to_cents(error)


def error_told(measured_hz: float, nominal_hz: float) -> tuple[Told]:
    """The speed error, for the case of the deck."""
    error, _ = tone(measured_hz, nominal_hz)
    return (
        Told(
            quantity="speed_error",
            value=error,
            unit_symbol="%",
            says=f"Its speed is {figure(error, 3)} % out",
        ),
    )


def capstan(capstan_mm: float, turning_rpm: float, tape_um: float) -> tuple[float, float]:
    """Tape speed in cm/s and in/s; the tape runs on its middle."""
    speed_cm_s = pi * (capstan_mm + tape_um / 1e3) / 10 * turning_rpm / 60
    return speed_cm_s, speed_cm_s / INCH_CM


def wear(new_mm: float, worn_mm: float) -> tuple[float, float]:
    """Change of speed in percent and cents by a capstan of another diameter."""
    change = (worn_mm / new_mm - 1) * 100
    return change, percent_to_cents(change)


ERROR = Output("error", "speed error", "%")
CENTS = Output("cents", "the same in cents", "cents")

SUMS = (
    Sum(
        name="cents",
        title="Cents of a speed error in percent",
        inputs=(Input("error", "speed error", "%", -90, 1000),),
        outputs=(CENTS,),
        compute=cents,
        source="common_practice",
        basis="Twelve hundred cents to an octave, by definition.",
        example=Example(
            {"error": "1.5 %"}, {"cents": 25.7757}, 1e-5, "arithmetic: 1200 log2 1.015"
        ),
    ),
    Sum(
        name="percent",
        title="Speed error in percent from cents",
        inputs=(Input("interval", "how far off the pitch is", "cents", -3600, 3600),),
        outputs=(ERROR,),
        compute=percent,
        source="common_practice",
        basis="Twelve hundred cents to an octave, by definition.",
        example=Example(
            {"interval": "100"}, {"error": 5.946309436}, 1e-9, "arithmetic: a semitone, 2^(1/12)"
        ),
    ),
    Sum(
        name="tone",
        title="Speed error from the tone of a test tape",
        inputs=(
            Input("measured", "frequency that is measured", "Hz", 100, 20000),
            Input("nominal", "frequency that is recorded on it", "Hz", 100, 20000, default=3150),
        ),
        outputs=(ERROR, CENTS),
        compute=tone,
        source="common_practice",
        basis="Frequency goes with speed. 3150 Hz is the tone of the flutter standards; some test "
        "tapes carry 3000 Hz.",
        example=Example(
            {"measured": "2965", "nominal": "3000"},
            {"error": -1.1667},
            1e-4,
            "arithmetic: 35 of 3000 Hz",
        ),
        tells=error_told,
    ),
    Sum(
        name="capstan",
        title="Tape speed from capstan diameter and turning",
        inputs=(
            Input("capstan", "diameter of the capstan", "mm", 0.5, 100),
            Input("turning", "how fast it turns", "rpm", 1, 10000),
            Input("tape", "thickness of the tape", "µm", 0, 60, default=0),
        ),
        outputs=(
            Output("speed", "tape speed", "cm/s"),
            Output("in_ips", "the same in inches", "ips"),
        ),
        compute=capstan,
        source="common_practice",
        basis="Pi times diameter times turns; with a thickness, the tape runs on its middle. Slip "
        "is left out.",
        example=Example(
            {"capstan": "2.5 mm", "turning": "6.0638 turns/s"},
            {"speed": 4.7625, "in_ips": 1.875},
            1e-4,
            "arithmetic: 47.625 mm/s over pi x 2.5 mm",
        ),
    ),
    Sum(
        name="capstan_wear",
        title="Change of speed by a worn or plated capstan",
        inputs=(
            Input("new", "diameter that it should have", "mm", 0.5, 100),
            Input("worn", "diameter that is measured", "mm", 0.5, 100),
        ),
        outputs=(Output("change", "change of speed", "%"), CENTS),
        compute=wear,
        source="common_practice",
        basis="Speed goes with diameter.",
        example=Example(
            {"new": "2.5 mm", "worn": "2.475 mm"},
            {"change": -1.0, "cents": -17.3995},
            1e-5,
            "arithmetic: 0.025 of 2.5 mm",
        ),
    ),
)
