"""Sums on what turns with the tape: hubs, packs, rollers."""

from __future__ import annotations

from math import pi, sqrt

from diag.workshop.declaration import Example, Input, Output, Sum

SPEED = Input("speed", "tape speed", "cm/s", 0.5, 500, default=4.7625)


def turning(diameter_mm: float, speed_cm_s: float) -> tuple[float, float, float]:
    """Turns a second and a minute, and seconds a turn, of what the tape runs round."""
    turns_s = speed_cm_s * 10 / (pi * diameter_mm)
    return turns_s, turns_s * 60, 1 / turns_s


def pack(
    hub_mm: float, tape_um: float, played_min: float, speed_cm_s: float
) -> tuple[float, float, float]:
    """Tape wound in m, outer diameter of its pack in mm, and turns a second of the hub.

    The pack is a ring of the tape's side area: length times thickness.
    """
    length_m = speed_cm_s / 100 * played_min * 60
    diameter_mm = sqrt(hub_mm**2 + 4 * length_m * tape_um / pi)
    return length_m, diameter_mm, turning(diameter_mm, speed_cm_s)[0]


TURNING = Output("turning", "it turns", "turns/s")

SUMS = (
    Sum(
        name="turning",
        title="How fast a hub, pack, roller or capstan turns",
        inputs=(Input("diameter", "its diameter at the tape", "mm", 0.5, 500), SPEED),
        outputs=(
            TURNING,
            Output("in_rpm", "the same a minute", "rpm"),
            Output("period", "time of one turn", "s"),
        ),
        compute=turning,
        source="common_practice",
        basis="Tape speed over the way round. A flutter of that rate points at the part.",
        example=Example(
            {"diameter": "13 mm"},
            {"turning": 1.1661, "period": 0.85756},
            1e-4,
            "arithmetic: 47.625 mm/s over pi x 13 mm",
        ),
    ),
    Sum(
        name="pack",
        title="Size and turning of a tape pack after a time of play",
        inputs=(
            Input("hub", "diameter of the bare hub", "mm", 5, 300, default=22),
            Input("tape", "thickness of the tape", "µm", 5, 60, default=18),
            Input("played", "time that was wound on", "min", 0, 1000),
            SPEED,
        ),
        outputs=(
            Output("length", "tape on the pack", "m"),
            Output("diameter", "outer diameter of the pack", "mm"),
            TURNING,
        ),
        compute=pack,
        source="from_memory",
        basis="The side area of the wound tape is length times thickness; no air between turns. "
        "22 mm and 18 µm are those of a small tape of an hour (from memory).",
        example=Example(
            {"hub": "20 mm", "tape": "10 µm", "played": "10 min", "speed": "5 cm/s"},
            {"length": 30.0, "diameter": 27.9638},
            1e-4,
            "arithmetic: root of 400 + 1200 / pi",
        ),
    ),
)
