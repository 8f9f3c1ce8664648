"""Sums on a charged capacitor that is to be made safe."""

from __future__ import annotations

from math import exp, log

from diag.errors import BenchtrailError
from diag.workshop.declaration import Example, Input, Output, Sum

CAUTION = (
    "Pull the mains plug first. A charged capacitor can injure or kill, and stays charged without "
    "mains. Use a resistor with insulated leads, one hand away, never a bare short. The resistor "
    "gets hot. Measure afterwards: a broken joint discharges nothing. Where local codes reserve "
    "such work for a licensed person, leave it to them."
)

CAPACITANCE = Input("capacitance", "marked capacitance", "µF", 0.001, 1e6)
VOLTAGE = Input("voltage", "voltage on it now", "V", 0.1, 5000)
RESISTOR = Input("resistor", "resistor across it", "ohm", 1, 1e8)


def discharge(
    capacitance_uf: float, voltage_v: float, resistor_ohm: float, safe_v: float
) -> tuple[float, float, float, float]:
    """Seconds to a safe voltage, stored energy in J, and power in W and current in mA at first.

    Raises:
        BenchtrailError: the voltage is at or below the safe one.
    """
    if voltage_v <= safe_v:
        raise BenchtrailError(
            f"{voltage_v:g} V is not above the safe voltage of {safe_v:g} V.",
            do="Measure again, with the meter on the right range, before you touch it.",
        )
    farad = capacitance_uf * 1e-6
    return (
        resistor_ohm * farad * log(voltage_v / safe_v),
        farad * voltage_v**2 / 2,
        voltage_v**2 / resistor_ohm,
        voltage_v / resistor_ohm * 1e3,
    )


def left(
    capacitance_uf: float, voltage_v: float, resistor_ohm: float, time_s: float
) -> tuple[float, float]:
    """Volts left after a time, and the time constant in s."""
    constant_s = resistor_ohm * capacitance_uf * 1e-6
    return voltage_v * exp(-time_s / constant_s), constant_s


def resistor(
    capacitance_uf: float, voltage_v: float, time_s: float, safe_v: float
) -> tuple[float, float]:
    """The resistor in ohm that discharges in a wanted time, and its power in W at first.

    Raises:
        BenchtrailError: the voltage is at or below the safe one.
    """
    one_ohm_s, *_ = discharge(capacitance_uf, voltage_v, 1.0, safe_v)
    ohm = time_s / one_ohm_s
    return ohm, voltage_v**2 / ohm


SAFE = Input("safe", "voltage that counts as safe", "V", 0.1, 30, default=10)
POWER = Output("power", "power in the resistor at first", "W")
BASIS = "V = V0 exp(-t/RC); 10 V, measured, is the mark that repair groups work to."

SUMS = (
    Sum(
        name="discharge",
        title="Time to discharge a capacitor to a safe voltage through a resistor",
        inputs=(CAPACITANCE, VOLTAGE, RESISTOR, SAFE),
        outputs=(
            Output("time", "time down to the safe voltage", "s"),
            Output("energy", "energy stored in it", "J"),
            POWER,
            Output("current", "current at first", "mA"),
        ),
        compute=discharge,
        source="discharge_guide",
        basis=BASIS,
        example=Example(
            {"capacitance": "100 µF", "voltage": "300 V", "resistor": "10k", "safe": "15"},
            {"time": 3.0, "energy": 4.5, "power": 9.0},
            0.01,
            "published (discharge_guide): 3 s to about 15 V; energy and power by arithmetic",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="discharge_left",
        title="Voltage left on a capacitor after a time through a resistor",
        inputs=(
            CAPACITANCE,
            VOLTAGE,
            RESISTOR,
            Input("time", "how long the resistor was on it", "s", 0, 86400),
        ),
        outputs=(
            Output("voltage", "voltage left", "V"),
            Output("constant", "time constant", "s"),
        ),
        compute=left,
        source="discharge_guide",
        basis=BASIS,
        example=Example(
            {"capacitance": "100 µF", "voltage": "300", "resistor": "10k", "time": "6"},
            {"voltage": 0.75},
            0.01,
            "published (discharge_guide): about 0.75 V",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="discharge_resistor",
        title="Resistor that discharges a capacitor in a wanted time",
        inputs=(
            CAPACITANCE,
            VOLTAGE,
            Input("time", "time that you want it to take", "s", 0.01, 3600),
            SAFE,
        ),
        outputs=(Output("resistor", "resistor", "ohm"), POWER),
        compute=resistor,
        source="discharge_guide",
        basis=BASIS + " Choose the next value below and a part that stands the power and voltage.",
        example=Example(
            {"capacitance": "100 µF", "voltage": "300", "time": "3", "safe": "15"},
            {"resistor": 10_000.0, "power": 9.0},
            0.01,
            "published (discharge_guide), turned round: 10 kohm take 3 s to about 15 V",
        ),
        caution=CAUTION,
    ),
)
