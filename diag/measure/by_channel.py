"""Figures of each channel and of the one that decides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.measure.result import Figure
from diag.measure.sound import Array

SIDES = (("left", "left channel"), ("right", "right channel"))


@dataclass(frozen=True, slots=True, eq=False)
class Values:
    """A quantity in each channel and half the width of its 95 % interval."""

    value: Array
    uncertainty: Array

    def less(self, other: Values) -> Values:
        """Differences; what is uncertain on both sides adds by squares."""
        return Values(self.value - other.value, np.hypot(self.uncertainty, other.uncertainty))


def figures(key: str, says: str, values: Values, unit: str) -> tuple[Figure, ...]:
    """The higher channel under the key itself, then each under its own if there are two.

    Args:
        key: quantity and unit, as in `third_harmonic_percent`; the side goes before the unit.
        says: the quantity in words.
        values: of each channel.
        unit: symbol of the unit.
    """
    highest = int(np.argmax(values.value))
    if len(values.value) == 1:
        return (_figure(key, says, values, highest, unit),)
    stem, _, end = key.rpartition("_")
    told = [_figure(key, f"{says}, the higher channel", values, highest, unit)]
    for channel, (side, words) in enumerate(SIDES):
        told.append(_figure(f"{stem}_{side}_{end}", f"{says}, {words}", values, channel, unit))
    return tuple(told)


def level_figures(
    stem: str, says: str, levels: Values, reference: Values | None
) -> tuple[Figure, ...]:
    """Levels re full scale; or re the reference, and the higher one re full scale too."""
    full = figures(f"{stem}_dbfs", f"{says} re full scale", levels, "dB")
    if reference is None:
        return full
    referred = figures(f"{stem}_db", f"{says} re the reference", levels.less(reference), "dB")
    return (*referred, full[0])


def _figure(key: str, says: str, values: Values, channel: int, unit: str) -> Figure:
    return Figure(
        key=key,
        says=says,
        value=float(values.value[channel]),
        uncertainty=float(values.uncertainty[channel]),
        unit=unit,
    )
