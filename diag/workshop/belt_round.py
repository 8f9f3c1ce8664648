"""Sums on the path of a belt round three pulleys or more."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import asin, atan2, cos, degrees, dist, hypot, isclose, sqrt, tau

from diag.errors import BenchtrailError
from diag.workshop.belts import EXACT, PATH
from diag.workshop.declaration import Example, Input, Output, Sum

Circle = tuple[float, ...]
"""Centre x and y and diameter in mm; a diameter below zero presses on the belt from outside."""

NO_TURN = 1e-9
"""Radians; a belt that just passes a pulley may come out a rounding below nothing."""


def round_path(pulleys_mm: Sequence[Circle]) -> tuple[float, tuple[float, ...]]:
    """Length in mm of a belt over pulleys in the order in which it runs, and radians on each.

    Walked with the inside to the left: a strand leaves its pulley and meets the next one as their
    common tangent, and a pulley turns it to the left, or to the right where it presses from
    outside. In all that must be one turn.

    Raises:
        BenchtrailError: pulleys overlap, or no belt lies on all of them in that order.
    """
    for (n, first), (m, second) in combinations(enumerate(pulleys_mm, start=1), 2):
        if dist(first[:2], second[:2]) <= (abs(first[2]) + abs(second[2])) / 2:
            raise BenchtrailError(
                f"pulleys {n} and {m} overlap.",
                do="Give diameters, not radii, and measure between the shafts.",
            )
    backwards = _area(pulleys_mm) < 0
    circles = list(reversed(pulleys_mm)) if backwards else list(pulleys_mm)
    ways, length = [], 0.0
    for first, second in zip(circles, circles[1:] + circles[:1], strict=True):
        x, y, grows = second[0] - first[0], second[1] - first[1], (second[2] - first[2]) / 2
        slope = asin(grows / hypot(x, y))
        ways.append(atan2(y, x) - slope)
        length += hypot(x, y) * cos(slope)
    turns = []
    for circle, before, after in zip(circles, ways[-1:] + ways[:-1], ways, strict=True):
        turn = (after - before if circle[2] > 0 else before - after) % tau
        turns.append(0.0 if turn > tau - NO_TURN else turn)
        length += abs(circle[2]) / 2 * turns[-1]
    all_in_all = sum(
        turn if circle[2] > 0 else -turn for circle, turn in zip(circles, turns, strict=True)
    )
    if not isclose(all_in_all, tau, abs_tol=1e-6):
        raise BenchtrailError(
            "no belt lies on all of these pulleys in that order.",
            do="List them as the belt runs, and leave out those that it doesn't touch.",
        )
    return length, tuple(reversed(turns)) if backwards else tuple(turns)


def any_path(pulleys_mm: Sequence[Circle]) -> tuple[float, float]:
    """Length in mm of a belt over pulleys in order, and the least angle on one in degrees."""
    length, turns = round_path(pulleys_mm)
    return length, degrees(min(turns))


def three_path(
    a_mm: float, b_mm: float, c_mm: float, ab_mm: float, bc_mm: float, ca_mm: float
) -> tuple[float, float, float, float]:
    """Length in mm of a belt round three pulleys that all lie inside it, and degrees on each.

    Raises:
        BenchtrailError: pulleys overlap, the distances make no triangle, or one pulley doesn't
            reach the belt.
    """
    longest = max(ab_mm, bc_mm, ca_mm)
    if longest >= ab_mm + bc_mm + ca_mm - longest:
        raise BenchtrailError(
            "the three distances make no triangle.", do="Measure between the shafts again."
        )
    x = (ca_mm**2 + ab_mm**2 - bc_mm**2) / (2 * ab_mm)
    y = sqrt(max(ca_mm**2 - x**2, 0.0))
    length, turns = round_path(((0, 0, a_mm), (ab_mm, 0, b_mm), (x, y, c_mm)))
    on_a, on_b, on_c = (degrees(turn) for turn in turns)
    return length, on_a, on_b, on_c


def _area(circles: Sequence[Circle]) -> float:
    """Twice the area between the centres; below zero if they run clockwise."""
    return sum(
        a[0] * b[1] - a[1] * b[0] for a, b in zip(circles, [*circles[1:], circles[0]], strict=True)
    )


SUMS = (
    Sum(
        name="belt_three",
        title="Path of a belt round three pulleys, all inside it",
        inputs=(
            Input("a", "diameter of the first pulley", "mm", 0.5, 5000),
            Input("b", "diameter of the second pulley", "mm", 0.5, 5000),
            Input("c", "diameter of the third pulley", "mm", 0.5, 5000),
            Input("ab", "distance between the shafts of the first two", "mm", 1, 20000),
            Input("bc", "distance between the second shaft and the third", "mm", 1, 20000),
            Input("ca", "distance between the third shaft and the first", "mm", 1, 20000),
        ),
        outputs=(
            PATH,
            Output("wrap_a", "angle on the first pulley", "°"),
            Output("wrap_b", "angle on the second pulley", "°"),
            Output("wrap_c", "angle on the third pulley", "°"),
        ),
        compute=three_path,
        source="common_practice",
        basis=EXACT,
        example=Example(
            {"a": "10", "b": "10", "c": "10", "ab": "30", "bc": "40", "ca": "50"},
            {"path": 151.41592653589794, "wrap_b": 90.0},
            1e-9,
            "arithmetic: equal pulleys need the triangle and one round of a pulley",
        ),
    ),
    Sum(
        name="belt_round",
        title="Path of a belt over any number of pulleys, by their centres",
        inputs=(
            Input(
                "pulleys",
                "in the order in which the belt runs; a diameter below zero presses from outside",
                "mm",
                -20000,
                20000,
                columns=("x", "y", "diameter"),
                least_rows=2,
            ),
        ),
        outputs=(PATH, Output("wrap", "least angle on a pulley", "°")),
        compute=any_path,
        source="common_practice",
        basis=EXACT,
        example=Example(
            {"pulleys": "0 0 10; 40 0 10; 40 30 10; 0 30 10"},
            {"path": 171.41592653589794, "wrap": 90.0},
            1e-9,
            "arithmetic: equal pulleys need the rectangle and one round of a pulley",
        ),
    ),
)
