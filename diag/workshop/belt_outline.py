"""How a belt lies on its pulleys, as lines that a face can draw."""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, atan2, cos, hypot, pi, sin, tau

Circle = tuple[float, ...]
"""Centre x and y and diameter in mm; a diameter below zero presses on the belt from outside."""
Line = tuple[tuple[float, float], ...]
"""Points x and y in mm, y upwards, each joined to the next."""

NO_TURN = 1e-9
"""Radians; a belt that just passes a pulley may come out a rounding below nothing."""
STEPS = 48
"""Points to a full circle; finer than a terminal shows."""


def strands(circles: Sequence[Circle]) -> tuple[tuple[float, float], ...]:
    """Direction in radians and length in mm of the strand from each pulley to the next.

    Walked with the inside to the left. No two pulleys may overlap.
    """
    found = []
    for first, second in zip(circles, [*circles[1:], circles[0]], strict=True):
        x, y, grows = second[0] - first[0], second[1] - first[1], (second[2] - first[2]) / 2
        slope = asin(grows / hypot(x, y))
        found.append((atan2(y, x) - slope, hypot(x, y) * cos(slope)))
    return tuple(found)


def turns(circles: Sequence[Circle], ways: Sequence[float]) -> tuple[float, ...]:
    """Radians that the belt lies on each pulley, from the directions of its strands."""
    found = []
    for circle, before, after in zip(circles, [*ways[-1:], *ways[:-1]], ways, strict=True):
        turn = (after - before if circle[2] > 0 else before - after) % tau
        found.append(0.0 if turn > tau - NO_TURN else turn)
    return tuple(found)


def belt_outline(*circles: Circle) -> tuple[Line, ...]:
    """Every pulley as a ring, then the belt, closed."""
    if area(circles) < 0:
        circles = circles[::-1]
    ways = [way for way, _ in strands(circles)]
    belt: list[tuple[float, float]] = []
    for circle, before, turn in zip(
        circles, [*ways[-1:], *ways[:-1]], turns(circles, ways), strict=True
    ):
        steps = max(1, round(STEPS * turn / tau))
        way = turn if circle[2] > 0 else -turn
        belt += [_touch(circle, before + way * step / steps) for step in range(steps + 1)]
    rings = (
        tuple(_touch(circle, tau * step / STEPS) for step in range(STEPS + 1)) for circle in circles
    )
    return (*rings, (*belt, belt[0]))


def three_pulleys(
    a_mm: float, b_mm: float, c_mm: float, ab_mm: float, bc_mm: float, ca_mm: float
) -> tuple[Circle, Circle, Circle]:
    """Three pulleys by their diameters and distances, which make a triangle."""
    x = (ca_mm**2 + ab_mm**2 - bc_mm**2) / (2 * ab_mm)
    y = max(ca_mm**2 - x**2, 0.0) ** 0.5
    return (0.0, 0.0, a_mm), (ab_mm, 0.0, b_mm), (x, y, c_mm)


def _touch(circle: Circle, way: float) -> tuple[float, float]:
    """Where a strand of this direction touches a pulley."""
    x, y, diameter = circle
    return x + diameter / 2 * cos(way - pi / 2), y + diameter / 2 * sin(way - pi / 2)


def area(circles: Sequence[Circle]) -> float:
    """Twice the area between the centres; below zero if they run clockwise."""
    return sum(
        a[0] * b[1] - a[1] * b[0] for a, b in zip(circles, [*circles[1:], circles[0]], strict=True)
    )
