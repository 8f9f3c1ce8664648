"""Curves as lines of text, drawn with the dots of braille signs."""

from __future__ import annotations

from collections.abc import Iterator

from diag.model.found import Curve
from diag.trail.axes import Axes, axes_of, mark_words
from diag.trail.before_after import CurvePair

DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of the eight dots of a braille sign, by row and column; from the Unicode standard."""
BLANK = 0x2800
LABELS = 7
"""Signs at the left for the marks of the upright axis; more where one of them is longer."""
LEAST = (24, 5)
"""Signs across and lines down, below which nothing can be drawn."""


def drawn(pair: CurvePair, width: int, height: int) -> tuple[str, ...]:
    """A curve before (dotted) and after (solid) on the same axes; one that is alone is solid.

    The title, which has the unit of the upright axis, is left to the caller.

    Args:
        pair: the curves.
        width: signs of a line.
        height: lines, the marks of the lower axis among them.

    Returns:
        `height` lines of at most `width` signs; fewer where that is less than `LEAST`.
    """
    if width < LEAST[0] or height < LEAST[1]:
        return ("(no room for the curve)",)
    axes = axes_of(pair.curves)
    rows = height - 1
    labels = _labels(axes, rows)
    margin = max(LABELS, *map(len, labels.values()))
    columns = width - margin - 1
    signs = [[BLANK] * columns for _ in range(rows)]
    for curve, is_dotted in ((pair.before, pair.after is not None), (pair.after, False)):
        for x, y in _dots(curve, axes, columns, rows, is_dotted) if curve else ():
            signs[y // 4][x // 2] |= DOTS[y % 4][x % 2]
    lines = [
        f"{labels.get(row, ''):>{margin}}{'┤' if row in labels else '│'}"
        + "".join(map(chr, signs[row]))
        for row in range(rows)
    ]
    return (*lines, " " * (margin + 1) + _foot(axes, columns))


def _dots(
    curve: Curve, axes: Axes, columns: int, rows: int, is_dotted: bool
) -> Iterator[tuple[int, int]]:
    """The dots on the way from point to point, counted from the upper left corner."""
    right, down = 2 * columns - 1, 4 * rows - 1
    points = [
        (round(axes.across.place(x) * right), round((1 - axes.up.place(y)) * down))
        for x, y in zip(curve.x, curve.y, strict=True)
    ]
    drawn_so_far = 0
    for (x, y), (to_x, to_y) in zip(points, points[1:] or points, strict=False):
        steps = max(abs(to_x - x), abs(to_y - y), 1)
        for step in range(steps):
            drawn_so_far += 1
            if not is_dotted or drawn_so_far % 4 < 2:
                yield x + round((to_x - x) * step / steps), y + round((to_y - y) * step / steps)
    yield points[-1]


def _labels(axes: Axes, rows: int) -> dict[int, str]:
    """The marks of the upright axis by their line."""
    labels: dict[int, str] = {}
    for mark in axes.up.marks:
        labels.setdefault(round((1 - axes.up.place(mark)) * (rows - 1)), mark_words(mark))
    return labels


def _foot(axes: Axes, columns: int) -> str:
    """The line below: marks at their places, the unit at the end."""
    line = [" "] * columns
    unit = f" {axes.x_unit}"
    taken = -1
    for mark in axes.across.marks:
        word = mark_words(mark)
        start = max(round(axes.across.place(mark) * (columns - 1)) - len(word) // 2, 0)
        if start > taken and start + len(word) + len(unit) <= columns:
            line[start : start + len(word)] = word
            taken = start + len(word)
    line[columns - len(unit) :] = unit
    return "".join(line)
