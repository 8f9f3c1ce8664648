"""Sums on choosing and judging capacitors."""

from __future__ import annotations

from math import floor, log, log10, pi, sqrt

from diag.workshop.declaration import Example, Input, Output, Sum

E24 = (
    10,
    11,
    12,
    13,
    15,
    16,
    18,
    20,
    22,
    24,
    27,
    30,
    33,
    36,
    39,
    43,
    47,
    51,
    56,
    62,
    68,
    75,
    82,
    91,
)
"""IEC 60063. The coarser series of two figures take every second, fourth and eighth of it."""

NEAR = 1e-9
"""Relative distance within which a value is a preferred one; typed figures are rounded."""

DISCHARGE_FIRST = (
    "Unplug, discharge the capacitor through a resistor and measure that it is empty before you "
    "touch it or put a meter on it."
)


def preferred(value: float, series: float) -> tuple[float, float, float, float]:
    """The preferred values nearest to, not above, and not below; and the first's error in percent.

    Nearest is by ratio, since tolerances are ratios.
    """
    decade = floor(log10(value)) - 1
    values = [
        float(f"{figure}e{n}")
        for n in (decade - 1, decade, decade + 1)
        for figure in E24[:: 24 // int(series)]
    ]
    nearest = min(values, key=lambda one: abs(log(one / value)))
    below = max(one for one in values if one <= value * (1 + NEAR))
    above = min(one for one in values if one >= value * (1 - NEAR))
    return nearest, below, above, (nearest / value - 1) * 100


def life(rated_h: float, hottest_c: float, inside_c: float) -> tuple[float, float]:
    """Life in hours and in years of use day and night: twice as long for every ten degrees less."""
    hours = rated_h * float(2 ** ((hottest_c - inside_c) / 10))
    return hours, hours / 8760


def leakage(capacitance_uf: float, voltage_v: float) -> tuple[float]:
    """Greatest leakage in µA of a good electrolytic after two minutes."""
    return (max(0.01 * capacitance_uf * voltage_v, 3.0),)


def from_loss(capacitance_uf: float, loss: float, frequency_hz: float) -> tuple[float]:
    """Series resistance in ohm from the loss factor."""
    return (loss / (2 * pi * frequency_hz * capacitance_uf * 1e-6),)


def ripple(
    current_ma: float, capacitance_uf: float, mains_hz: float, pulses: float
) -> tuple[float, float, float]:
    """Ripple in V peak to peak, in V rms as a sawtooth, and its frequency in Hz."""
    frequency = mains_hz * pulses
    volts = current_ma * 1e-3 / (frequency * capacitance_uf * 1e-6)
    return volts, volts / (2 * sqrt(3)), frequency


SUMS = (
    Sum(
        name="preferred",
        title="Nearest preferred value of a capacitor or resistor",
        inputs=(
            Input("value", "value that is wanted, in any unit", "", 1e-12, 1e12),
            Input("series", "values in a decade", "", 3, 24, default=12, one_of=(3, 6, 12, 24)),
        ),
        outputs=(
            Output("nearest", "nearest value"),
            Output("below", "next value not above"),
            Output("above", "next value not below"),
            Output("error", "nearest against wanted", "%"),
        ),
        compute=preferred,
        source="iec_60063",
        basis="E3, E6, E12 and E24. A reservoir may go one step up, a timing part may not.",
        example=Example(
            {"value": "50", "series": "12"},
            {"nearest": 47.0, "below": 47.0, "above": 56.0, "error": -6.0},
            1e-9,
            "published (iec_60063): 47 and 56 are neighbours in E12",
        ),
    ),
    Sum(
        name="cap_life",
        title="Life of an electrolytic at the heat inside a deck",
        inputs=(
            Input("rated", "life on its data sheet", "h", 100, 100000, default=2000),
            Input("hottest", "temperature that this life is for", "°C", 40, 150, default=105),
            Input("inside", "temperature at the part", "°C", -20, 150),
        ),
        outputs=(Output("life", "life", "h"), Output("years", "day and night", "years")),
        compute=life,
        source="capacitor_primer",
        basis="Twice the life for every 10 degrees less. Rubber seals dry out in ten or so years "
        "of service, whatever the sum says.",
        example=Example(
            {"rated": "2000 h", "hottest": "105", "inside": "65"},
            {"life": 32000.0},
            1e-9,
            "arithmetic: by the published rule, four doublings",
        ),
    ),
    Sum(
        name="cap_leakage",
        title="Greatest leakage of a good electrolytic",
        inputs=(
            Input("capacitance", "marked capacitance", "µF", 0.1, 1e6),
            Input("voltage", "marked voltage", "V", 1, 1000),
        ),
        outputs=(Output("leakage", "leakage after two minutes at that voltage", "µA"),),
        compute=leakage,
        source="common_practice",
        basis="A hundredth of µF times V, in µA, 3 µA at least. Long stored parts need re-forming "
        "first.",
        example=Example(
            {"capacitance": "2200 µF", "voltage": "35 V"},
            {"leakage": 770.0},
            1e-9,
            "published (a capacitor maker's questions page): 770 µA at 2 minutes",
        ),
        caution=DISCHARGE_FIRST,
    ),
    Sum(
        name="esr_loss",
        title="Series resistance from a loss factor",
        inputs=(
            Input("capacitance", "capacitance", "µF", 0.001, 1e6),
            Input("loss", "loss factor (tan delta)", "", 1e-5, 5),
            Input("frequency", "at the frequency", "Hz", 10, 1e6, default=120),
        ),
        outputs=(Output("esr", "series resistance", "ohm"),),
        compute=from_loss,
        source="common_practice",
        basis="Loss factor over 2 pi f C.",
        example=Example(
            {"capacitance": "100 µF", "loss": "0.10"},
            {"esr": 1.326},
            1e-3,
            "arithmetic: 0.1 / (2 pi x 120 x 100e-6)",
        ),
        caution=DISCHARGE_FIRST,
    ),
    Sum(
        name="ripple",
        title="Ripple on a reservoir capacitor",
        inputs=(
            Input("current", "current drawn", "mA", 0.01, 100000),
            Input("capacitance", "capacitance of the reservoir", "µF", 1, 1e6),
            Input("mains", "mains frequency", "Hz", 16, 400, default=50),
            Input("pulses", "2 full wave, 1 half wave", "", 1, 2, default=2, one_of=(1, 2)),
        ),
        outputs=(
            Output("ripple", "ripple, peak to peak", "V"),
            Output("rms", "ripple, rms as a sawtooth", "V"),
            Output("frequency", "its frequency", "Hz"),
        ),
        compute=ripple,
        source="common_practice",
        basis="Current over frequency times capacitance: charged in no time, so a little high.",
        example=Example(
            {"current": "2 A", "capacitance": "1000 µF", "mains": "60"},
            {"ripple": 16.67, "frequency": 120.0},
            1e-3,
            "published (a web calculator's page): 16.67 V",
        ),
        caution="The supply is live while ripple is measured: clip leads on with the plug out, "
        "one hand away, and keep to local codes.",
    ),
)
