"""Sums on the path of a belt round three pulleys or more."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import degrees, dist, isclose, tau

from diag.errors import BenchtrailError
from diag.workshop.belt_outline import Circle, area, belt_outline, strands, three_pulleys, turns
from diag.workshop.belts import EXACT, PATH
from diag.workshop.declaration import Example, Input, Output, Sum


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
    backwards = area(pulleys_mm) < 0
    circles = list(reversed(pulleys_mm)) if backwards else list(pulleys_mm)
    found = strands(circles)
    on_each = turns(circles, [way for way, _ in found])
    length = sum(strand for _, strand in found)
    length += sum(abs(c[2]) / 2 * turn for c, turn in zip(circles, on_each, strict=True))
    all_in_all = sum(
        turn if circle[2] > 0 else -turn for circle, turn in zip(circles, on_each, strict=True)
    )
    if not isclose(all_in_all, tau, abs_tol=1e-6):
        raise BenchtrailError(
            "no belt lies on all of these pulleys in that order.",
            do="List them as the belt runs, and leave out those that it doesn't touch.",
        )
    return length, on_each[::-1] if backwards else on_each


def any_path(pulleys_mm: Sequence[Circle]) -> tuple[float, float]:
    """Length in mm of a belt over pulleys in order, and the least angle on one in degrees."""
    length, on_each = round_path(pulleys_mm)
    return length, degrees(min(on_each))


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
    length, on_each = round_path(three_pulleys(a_mm, b_mm, c_mm, ab_mm, bc_mm, ca_mm))
    on_a, on_b, on_c = (degrees(turn) for turn in on_each)
    return length, on_a, on_b, on_c


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
        outline=lambda **given: belt_outline(*three_pulleys(**given)),
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
        outline=lambda pulleys_mm: belt_outline(*pulleys_mm),
    ),
)
