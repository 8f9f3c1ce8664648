"""What is told of the rates of a flutter: figures, curves, chances and words."""

from __future__ import annotations

import numpy as np

from diag.measure.geometry import PARTS, Geometry, turning_hz, typical
from diag.measure.result import Curve, Figure, Measurement
from diag.measure.sound import Array
from diag.measure.spectrum import TURNS, Line, Spectrum
from diag.measure.standing_out import hidden_share

UNKNOWN = "unknown"
OTHERS = "others"
LEAST_CHANCE = 0.005
"""Parts with less are told together: rounded, each would be 0 %."""
RATES_SHARE = 0.98
"""Share of all rates of all parts that a capture must show for none to be missed."""

TOGETHER = (("capstan", "flywheel"), ("motor", "motor pulley"))
SIZES = {
    "capstan": "the diameter of the capstan",
    "pinch roller": "the diameter of the pinch roller",
    "capstan belt": "the belt's length round its path and the flywheel's diameter",
    "motor": "how fast the motor turns, or the diameters of its pulley and the flywheel",
    "drive idler": "the diameters of the idler and the flywheel",
    "supply hub": "how much of the tape was played",
    "take-up hub": "how much of the tape was played",
    "take-up idler": "how often the take-up idler turns to one turn of the hub",
}
GIVEN_BY = {
    "capstan": ("capstan_mm",),
    "pinch roller": ("pinch_roller_mm",),
    "capstan belt": ("belt_mm", "flywheel_mm"),
    "drive idler": ("drive_idler_mm", "flywheel_mm"),
    "supply hub": ("played",),
    "take-up hub": ("played",),
    "take-up idler": ("takeup_idler_ratio",),
}


def no_rate(found: Spectrum, rates: Array) -> Measurement:
    """No line matters, as far as the capture shows the rates of the parts."""
    slowest, fastest = np.nanquantile(rates, ((1 - RATES_SHARE) / 2, (1 + RATES_SHARE) / 2))
    shown = found.rates_hz[0] <= slowest and fastest <= found.rates_hz[-1]
    share = hidden_share(found)
    figure = Figure(
        key="flutter_line_share_at_most_percent",
        says="share of the flutter that is of a single rate, at most",
        value=100 * share,
        uncertainty=0.0,
        unit="%",
    )
    told = "No rate stands out: what flutter there is comes from no single part."
    if not shown:
        told = (
            f"No rate stands out from {found.rates_hz[0]:.2g} to {found.rates_hz[-1]:.3g} Hz; parts"
            f" turn {slowest:.2g} to {fastest:.2g} times a second. Record {TURNS / slowest:.0f} s "
            "or more of a tone of 3 kHz to see them all."
        )
    elif share > 0.5:
        told = (
            "No rate stands out, but one that makes half of the flutter could hide in so short a "
            "capture: record two minutes or more."
        )
    return Measurement(
        what="flutter",
        figures=(figure,) if shown else (),
        curves=curves(found),
        remarks=(told,),
        source="common_practice",
    )


def likely(chance: Array) -> tuple[tuple[str, float], ...]:
    """Chances by part, the likeliest first; next to nothing goes to 'others', the last."""
    by_part = dict(zip((*PARTS, UNKNOWN), chance.tolist(), strict=True))
    told = {part: p for part, p in by_part.items() if p >= LEAST_CHANCE}
    rest = sum(p for part, p in by_part.items() if part not in told)
    named = sorted(told.items(), key=lambda item: -item[1])
    return (*named, *(((OTHERS, rest),) if rest else ()))


def figures(seen: list[Line]) -> tuple[Figure, ...]:
    """Of the strongest line."""
    line = seen[0]
    told = [
        Figure(
            key="flutter_rate_hz",
            says="rate of the strongest line",
            value=line.rate_hz,
            uncertainty=line.rate_uncertainty_hz,
            unit="Hz",
        ),
        Figure(
            key="flutter_line_percent",
            says="speed error at that rate, each way",
            value=100 * line.amplitude,
            uncertainty=100 * line.amplitude_uncertainty,
            unit="%",
        ),
    ]
    if len(seen) > 1:
        other = seen[1]
        off = np.hypot(
            line.amplitude_uncertainty / line.amplitude,
            other.amplitude_uncertainty / other.amplitude,
        )
        told.append(
            Figure(
                key="flutter_line_over_next_db",
                says="by how much it is stronger than the next line",
                value=20 * np.log10(line.amplitude / other.amplitude),
                uncertainty=float(20 / np.log(10) * off),
                unit="dB",
            )
        )
    return tuple(told)


def remarks(
    seen: list[Line], chances: Array, geometry: Geometry, lowest_hz: float
) -> tuple[str, ...]:
    """What the strongest lines fit, what would tell better, and what the capture can't show.

    `lowest_hz` is the slowest rate that it shows; `chances` has a row for each line.
    """
    told = []
    for number, (line, chance) in enumerate(zip(seen[:3], chances, strict=False)):
        which = "The strongest line" if number == 0 else "The next line"
        told.append(
            f"{which} is at {line.rate_hz:.3g} Hz, {100 * line.amplitude:.2g} % each way: "
            f"{_named(chance, geometry)}."
        )
    if missing := _would_tell(chances[0], geometry):
        told.append(f"To tell better, measure {missing}.")
    slowest = turning_hz(
        geometry.full_pack_mm or typical("full_pack_mm", geometry.speed_mm_s).high,
        geometry.speed_mm_s,
    )
    if slowest < lowest_hz:
        told.append(
            f"The capture shows nothing slower than {lowest_hz:.2g} Hz: record "
            f"{TURNS / slowest:.0f} s or more to see a hub with all the tape on it."
        )
    return tuple(told)


def _groups(geometry: Geometry) -> list[tuple[str, ...]]:
    """Parts that turn together."""
    if geometry.drive == "direct":
        together: tuple[tuple[str, ...], ...] = (("capstan", "flywheel", "motor"),)
    else:
        together = TOGETHER
    joined = {part for group in together for part in group}
    return [*together, *((part,) for part in (*PARTS, UNKNOWN) if part not in joined)]


def _by_group(chance: Array, geometry: Geometry) -> list[tuple[float, tuple[str, ...]]]:
    by_part = dict(zip((*PARTS, UNKNOWN), chance.tolist(), strict=True))
    sums = [(sum(by_part[part] for part in group), group) for group in _groups(geometry)]
    return sorted(sums, reverse=True)


def _named(chance: Array, geometry: Geometry) -> str:
    """What a line fits, in words."""
    (best, group), (second, other), *_ = _by_group(chance, geometry)
    if group == (UNKNOWN,):
        return f"it fits no part that is known here ({best:.0%})"
    says = f"it fits the {' or the '.join(group)} ({best:.0%})"
    if len(group) > 1:
        says += ", which turn together"
    if second >= 0.1:
        what = "no known part" if other == (UNKNOWN,) else f"the {' or the '.join(other)}"
        says += f"; less well {what} ({second:.0%})"
    return says


def _would_tell(chance: Array, geometry: Geometry) -> str:
    """Sizes that aren't known of the parts between which a line is in doubt."""
    sizes = []
    doubtful = [group[0] for share, group in _by_group(chance, geometry) if share >= 0.1]
    if len(doubtful) < 2:
        return ""
    for part in doubtful:
        if part == UNKNOWN or _is_known(part, geometry) or SIZES[part] in sizes:
            continue
        sizes.append(SIZES[part])
    return ", and ".join(sizes)


def _is_known(part: str, geometry: Geometry) -> bool:
    if part == "motor":
        pulleys = (geometry.motor_pulley_mm, geometry.flywheel_mm)
        mains = (geometry.mains_hz, geometry.poles)
        return geometry.motor_rpm is not None or None not in pulleys or None not in mains
    return all(getattr(geometry, key) is not None for key in GIVEN_BY[part])


def curves(found: Spectrum) -> tuple[Curve, ...]:
    """Spectrum and floor in percent, the highest of each of some 400 steps of the logarithm."""
    steps = np.geomspace(found.rates_hz[0], found.rates_hz[-1], 401)
    starts = np.unique(np.searchsorted(found.rates_hz, steps[:-1]))
    rates = found.rates_hz[starts]
    return tuple(
        Curve(
            name=name,
            says=says,
            x=tuple(rates.tolist()),
            y=tuple((100 * np.sqrt(np.maximum.reduceat(power, starts))).tolist()),
            x_unit="Hz",
            y_unit="%",
            is_log=True,
        )
        for name, says, power in (
            ("flutter_spectrum", "speed error at each rate", found.power),
            ("flutter_floor", "noise between the lines", found.floor),
        )
    )
