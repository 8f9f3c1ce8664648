"""Where the points of curves lie on a page or a screen: ranges, marks and places of axes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil, floor, log10

from diag.model.found import Curve

MOST_MARKS = 6
"""Steps of a linear axis; a logarithmic one has up to twice as many marks."""
STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Axis:
    """From `low` to `high`, with round numbers to be written at it."""

    low: float
    high: float
    marks: tuple[float, ...]
    is_log: bool = False

    def place(self, value: float) -> float:
        """Where a value lies: 0 at the low end, 1 at the high one."""
        low, high, at = (
            (log10(self.low), log10(self.high), log10(value))
            if self.is_log
            else (self.low, self.high, value)
        )
        return (at - low) / (high - low)


@dataclass(frozen=True, slots=True)
class Axes:
    """The two axes of a picture and what is counted along them."""

    across: Axis
    up: Axis
    x_unit: str
    y_unit: str


def axes_of(curves: Iterable[Curve]) -> Axes:
    """Axes on which all of these curves, which are of one kind, have room."""
    drawn = list(curves)
    is_log = all(curve.is_log for curve in drawn)
    across = [x for curve in drawn for x in curve.x]
    up = [y for curve in drawn for y in curve.y]
    return Axes(
        _log_axis(across) if is_log else _axis(across, is_tight=True),
        _axis(up),
        drawn[0].x_unit,
        drawn[0].y_unit,
    )


def mark_words(mark: float) -> str:
    """A mark as it is written: 10000 as 10k."""
    return f"{mark / 1000:g}k" if abs(mark) >= 1000 else f"{mark:.6g}"


def _axis(values: list[float], *, is_tight: bool = False) -> Axis:
    """A linear axis; a tight one ends at the values, another at the next round numbers."""
    low, high = min(values), max(values)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        room = abs(high) * 0.1 or 1.0
        low, high = low - room, high + room
    step = _step((high - low) / MOST_MARKS)
    if not is_tight:
        low, high = step * floor(low / step), step * ceil(high / step)
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return Axis(low, high, tuple(round(n * step, 12) for n in range(first, last + 1)))


def _step(least: float) -> float:
    """The next round number: 1, 2 or 5 times a power of ten."""
    power: float = 10.0 ** floor(log10(least))
    return next(n * power for n in (*STEPS, 10) if n * power >= least * (1 - 1e-9))


def _log_axis(values: list[float]) -> Axis:
    low, high = min(values), max(values)
    if high <= low * (1 + 1e-9):
        low, high = low / 2, high * 2
    marks = [mark for mark in _log_marks(low) if mark >= low]
    within = [mark for mark in marks if mark <= high]
    decades = [mark for mark in within if abs(log10(mark) - round(log10(mark))) < 1e-9]
    return Axis(low, high, tuple(within if len(within) <= 2 * MOST_MARKS else decades), is_log=True)


def _log_marks(low: float) -> Iterator[float]:
    """Round numbers upward from the decade below a value, over twelve decades."""
    start = floor(log10(low))
    for power in range(start, start + 12):
        yield from (float(f"{n}e{power}") for n in STEPS)
