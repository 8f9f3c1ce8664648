"""The units that people type at the bench, by kind.

A unit turns a number into the base unit of its kind and back. Kinds never mix: a torque typed where
a length is asked is told as what it is.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import log10

PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6}
"""Powers of ten by their letter; the micro sign counts as `u`."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit.

    Args:
        symbol: as it is shown.
        kind: what it measures; only units of one kind can be turned into each other.
        size: how much of the kind's base unit it is; for a level, the value at 0 dB.
        aliases: other ways to type it, without blanks and dots, micro as `u` and ohm as `ohm`.
        zero: where its zero lies, in its own units above that of the base (temperatures).
        is_level: in decibels, twenty times the logarithm of a ratio.
        suffix: how it ends the name of a Python argument.
    """

    symbol: str
    kind: str
    size: float = 1.0
    aliases: tuple[str, ...] = ()
    zero: float = field(default=0.0, kw_only=True)
    is_level: bool = field(default=False, kw_only=True)
    suffix: str = field(default="", kw_only=True)

    def to_base(self, value: float) -> float:
        """A number of this unit in the base unit of its kind."""
        if self.is_level:
            return self.size * float(10 ** (value / 20))
        return (value - self.zero) * self.size

    def from_base(self, value: float) -> float:
        """A number of base units in this unit; minus infinity is no level, so zero raises."""
        if self.is_level:
            return 20 * log10(value / self.size)
        return value / self.size + self.zero


GRAM_FORCE_N = 9.80665e-3
"""Weight of a gram at the standard acceleration of free fall, exact by definition."""
INCH_M = 0.0254

UNITS = (
    Unit("", "plain number"),
    Unit("%", "percentage", 1.0, ("percent", "pct"), suffix="pct"),
    Unit("cents", "interval", 1.0, ("cent", "ct"), suffix="cents"),
    Unit("dB", "ratio in dB", suffix="db"),
    Unit("Shore A", "hardness", 1.0, ("a", "sha", "shorea"), suffix="shore_a"),
    Unit("µm", "length", 1e-6, ("um", "micron"), suffix="um"),
    Unit("mm", "length", 1e-3, suffix="mm"),
    Unit("cm", "length", 1e-2, suffix="cm"),
    Unit("m", "length", 1.0, suffix="m"),
    Unit("in", "length", INCH_M, ("inch", '"'), suffix="in"),
    Unit("mm/s", "speed", 1e-3, suffix="mm_s"),
    Unit("cm/s", "speed", 1e-2, suffix="cm_s"),
    Unit("m/s", "speed", 1.0, suffix="m_s"),
    Unit("ips", "speed", INCH_M, ("in/s", "inch/s"), suffix="ips"),
    Unit("Hz", "frequency", 1.0, ("c/s",), suffix="hz"),
    Unit("kHz", "frequency", 1e3, suffix="khz"),
    Unit("rpm", "rate of turning", 1 / 60, ("r/min", "1/min"), suffix="rpm"),
    Unit("turns/s", "rate of turning", 1.0, ("rps", "r/s", "1/s", "turn/s"), suffix="turns_s"),
    Unit("µs", "time", 1e-6, ("us",), suffix="us"),
    Unit("ms", "time", 1e-3, suffix="ms"),
    Unit("s", "time", 1.0, ("sec",), suffix="s"),
    Unit("min", "time", 60.0, suffix="min"),
    Unit("h", "time", 3600.0, ("hour", "hours"), suffix="h"),
    Unit("years", "time", 8760 * 3600.0, ("year", "a", "y"), suffix="years"),
    Unit("°", "angle", 1.0, ("deg", "degree", "degrees"), suffix="deg"),
    Unit("arcmin", "angle", 1 / 60, ("'", "min"), suffix="arcmin"),
    Unit("°C", "temperature", 1.0, ("c", "degc"), suffix="c"),
    Unit("°F", "temperature", 5 / 9, ("f", "degf"), zero=32.0, suffix="f"),
    Unit("mV", "voltage", 1e-3, suffix="mv"),
    Unit("V", "voltage", 1.0, suffix="v"),
    Unit("kV", "voltage", 1e3, suffix="kv"),
    Unit("dBV", "voltage", 1.0, is_level=True, suffix="dbv"),
    Unit("dBu", "voltage", 0.6**0.5, is_level=True, suffix="dbu"),
    Unit("µA", "current", 1e-6, ("ua",), suffix="ua"),
    Unit("mA", "current", 1e-3, suffix="ma"),
    Unit("A", "current", 1.0, suffix="a"),
    Unit("ohm", "resistance", 1.0, ("r", "ohms"), suffix="ohm"),
    Unit("kohm", "resistance", 1e3, suffix="kohm"),
    Unit("Mohm", "resistance", 1e6, suffix="mohm"),
    Unit("pF", "capacitance", 1e-12, suffix="pf"),
    Unit("nF", "capacitance", 1e-9, suffix="nf"),
    Unit("µF", "capacitance", 1e-6, ("uF", "mfd", "ufd"), suffix="uf"),
    Unit("mF", "capacitance", 1e-3, suffix="mf"),
    Unit("F", "capacitance", 1.0, suffix="farad"),
    Unit("mW", "power", 1e-3, suffix="mw"),
    Unit("W", "power", 1.0, suffix="w"),
    Unit("mJ", "energy", 1e-3, suffix="mj"),
    Unit("J", "energy", 1.0, ("ws",), suffix="j"),
    Unit("mN", "force", 1e-3, suffix="mn"),
    Unit("N", "force", 1.0, suffix="n"),
    Unit("gf", "force", GRAM_FORCE_N, ("g", "p", "pond"), suffix="gf"),
    Unit("kgf", "force", GRAM_FORCE_N * 1e3, ("kg", "kp"), suffix="kgf"),
    Unit("ozf", "force", GRAM_FORCE_N * 28.349523125, ("oz",), suffix="ozf"),
    Unit("mN·m", "torque", 1e-3, ("mNm",), suffix="mnm"),
    Unit("N·m", "torque", 1.0, ("Nm",), suffix="nm"),
    # Manuals often print g/cm; as a torque it can only mean the product.
    Unit("g·cm", "torque", GRAM_FORCE_N * 1e-2, ("gcm", "gfcm", "g/cm", "pcm"), suffix="gcm"),
    Unit("kg·cm", "torque", GRAM_FORCE_N * 10, ("kgcm", "kgfcm", "kpcm"), suffix="kgcm"),
    Unit("oz·in", "torque", GRAM_FORCE_N * 28.349523125 * INCH_M, ("ozin",), suffix="ozin"),
    Unit("kPa", "pressure", 1e3, suffix="kpa"),
    Unit("MPa", "pressure", 1e6, ("N/mm2",), suffix="mpa"),
    Unit("nWb/m", "tape flux", 1.0, ("nWb", "pWb/mm"), suffix="nwb_m"),
    Unit("mMx/mm", "tape flux", 10.0, suffix="mmx_mm"),
)
"""Every unit, smallest first in its kind."""

BARE_PREFIXES = {
    "plain number": "pnumkM",
    "resistance": "mkM",
    "capacitance": "pnu",
    "frequency": "kM",
}
"""Kinds in which a prefix alone is a unit, as in 10k, and may stand for the point, as in 4k7."""

BY_SYMBOL = {unit.symbol: unit for unit in UNITS}


def of_kind(kind: str) -> tuple[Unit, ...]:
    """The units of a kind."""
    return tuple(unit for unit in UNITS if unit.kind == kind)
