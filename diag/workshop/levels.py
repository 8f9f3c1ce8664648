"""Sums on voltages, decibels and tape flux."""

from __future__ import annotations

from math import log10

from diag.model.units import BY_SYMBOL
from diag.workshop.declaration import Example, Input, Output, Sum


def level(level_v: float) -> tuple[float, float, float]:
    """A voltage in V rms, dBV and dBu."""
    return level_v, BY_SYMBOL["dBV"].from_base(level_v), BY_SYMBOL["dBu"].from_base(level_v)


def decibels(value: float, reference: float) -> tuple[float, float]:
    """A ratio in dB, of voltages and of powers."""
    power = 10 * log10(value / reference)
    return 2 * power, power


def ratio(level_db: float) -> tuple[float, float]:
    """A level in dB as a ratio of voltages and of powers."""
    return float(10 ** (level_db / 20)), float(10 ** (level_db / 10))


def flux(flux_nwb_m: float, reference_nwb_m: float) -> tuple[float]:
    """A tape flux in dB over a reference."""
    return (20 * log10(flux_nwb_m / reference_nwb_m),)


SUMS = (
    Sum(
        name="level",
        title="A voltage in V, dBV and dBu",
        inputs=(Input("level", "voltage, rms, or level", "V", 1e-6, 1e4),),
        outputs=(
            Output("volts", "voltage, rms", "V"),
            Output("dbv", "over 1 V", "dB"),
            Output("dbu", "over 0.775 V", "dB"),
        ),
        compute=level,
        source="common_practice",
        basis="0 dBV is 1 V; 0 dBu is the root of 0.6 V, 0.7746 V.",
        example=Example(
            {"level": "-10 dBV"},
            {"volts": 0.3162, "dbv": -10.0, "dbu": -7.78},
            3e-4,
            "published: 0.3162 V; -7.78 dBu by arithmetic",
        ),
    ),
    Sum(
        name="decibels",
        title="Two values as a ratio in dB",
        inputs=(
            Input("value", "value", "", 1e-12, 1e12),
            Input("reference", "what it is held against, in the same unit", "", 1e-12, 1e12),
        ),
        outputs=(
            Output("voltage", "as voltages, currents or fluxes", "dB"),
            Output("power", "as powers", "dB"),
        ),
        compute=decibels,
        source="common_practice",
        basis="Twenty times the logarithm for voltages, ten times for powers, by definition.",
        example=Example(
            {"value": "3", "reference": "100"},
            {"voltage": -30.46},
            1e-3,
            "published: 3 % is about -30.5 dB; exact by arithmetic",
        ),
    ),
    Sum(
        name="ratio",
        title="A level in dB as a ratio",
        inputs=(Input("level", "level", "dB", -200, 200),),
        outputs=(
            Output("voltage", "ratio of voltages, currents or fluxes"),
            Output("power", "ratio of powers"),
        ),
        compute=ratio,
        source="common_practice",
        basis="Twenty times the logarithm for voltages, ten times for powers, by definition.",
        example=Example(
            {"level": "6 dB"}, {"voltage": 1.99526, "power": 3.98107}, 1e-5, "arithmetic: 10^0.3"
        ),
    ),
    Sum(
        name="flux",
        title="A tape flux over a reference",
        inputs=(
            Input("flux", "flux", "nWb/m", 1, 5000),
            Input("reference", "reference flux", "nWb/m", 1, 5000, default=250),
        ),
        outputs=(Output("level", "level", "dB"),),
        compute=flux,
        source="level_notes",
        basis="Figures count only within one method: 200 by the short-circuit method measures "
        "about 220 by the open-circuit method, so on the bench it lies 1.1 to 1.2 dB below 250.",
        example=Example(
            {"flux": "220", "reference": "160"},
            {"level": 2.8},
            0.02,
            "published (level_notes): +2.8 dB; 2.766 by arithmetic",
        ),
    ),
)
