"""Sizes of a deck that decide how fast its parts turn: their keys, and what each can be."""

from __future__ import annotations

from collections.abc import Mapping

SIZES: Mapping[str, tuple[float, float]] = {
    "speed_mm_s": (10, 1000),
    "capstan_mm": (1, 15),
    "flywheel_mm": (10, 300),
    "motor_pulley_mm": (2, 60),
    "motor_rpm": (100, 10_000),
    "poles": (2, 24),
    "belt_mm": (50, 2000),
    "belt_thickness_mm": (0, 10),
    "pinch_roller_mm": (5, 60),
    "drive_idler_mm": (3, 100),
    "takeup_idler_ratio": (0.5, 10),
    "hub_mm": (15, 150),
    "full_pack_mm": (20, 300),
}
"""Lowest and highest by key; the unit stands in the key.

`diag.measure.geometry.Geometry` says what each is. The limits are wide: they catch a slip of the
pen, or a radius that is given for a diameter, and no more.
"""


def size_trouble(key: str, value: float) -> tuple[str, str] | None:
    """What is wrong with a size and what to do about it; None if nothing is."""
    low, high = SIZES[key]
    if not low <= value <= high:
        do = f"Give {low:g} to {high:g}; diameters in mm, not radii."
        return f"{key} is {value:g}.", do
    if key == "poles" and value % 2:
        return f"poles is {value:g}.", "Give an even number: poles come in pairs."
    return None
