"""Sums on what a belt pulls, and on what its thickness does to the speed."""

from __future__ import annotations

from diag.model.units import GRAM_FORCE_N
from diag.workshop.declaration import Example, Input, Output, Sum
from diag.workshop.speed import percent_to_cents


def modulus_mpa(hardness_shore_a: float) -> float:
    """Young's modulus of rubber in MPa from its Shore A hardness."""
    return 0.0981 * (56 + 7.62336 * hardness_shore_a) / (0.137505 * (254 - 2.54 * hardness_shore_a))


def load(
    hardness_shore_a: float, width_mm: float, thickness_mm: float, stretch_pct: float
) -> tuple[float, float, float, float]:
    """Modulus in MPa, pull of a strand in N and gf, and load on a shaft in N."""
    modulus = modulus_mpa(hardness_shore_a)
    tension = modulus * width_mm * thickness_mm * stretch_pct / 100
    return modulus, tension, tension / GRAM_FORCE_N, 2 * tension


def drag(tension_n: float, shaft_mm: float, friction: float) -> tuple[float, float]:
    """Torque in mN·m and g·cm that a belt's pull costs in a plain bearing."""
    torque_mnm = friction * 2 * tension_n * shaft_mm / 2
    return torque_mnm, torque_mnm / (GRAM_FORCE_N * 10)


def thickness(
    motor_mm: float, flywheel_mm: float, old_mm: float, new_mm: float
) -> tuple[float, float]:
    """Change of speed in percent and cents; the belt runs on its middle, half a thickness out."""
    before = (motor_mm + old_mm) / (flywheel_mm + old_mm)
    change = ((motor_mm + new_mm) / (flywheel_mm + new_mm) / before - 1) * 100
    return change, percent_to_cents(change)


SUMS = (
    Sum(
        name="belt_load",
        title="Pull of a fitted belt, and the load that it puts on a shaft",
        inputs=(
            Input("hardness", "hardness of the rubber", "Shore A", 20, 80, default=60),
            Input("width", "width of the belt", "mm", 0.2, 50),
            Input("thickness", "thickness of the belt", "mm", 0.1, 20),
            Input("stretch", "stretch when fitted", "%", 0, 15, default=5),
        ),
        outputs=(
            Output("modulus", "Young's modulus", "MPa"),
            Output("tension", "pull of one strand", "N"),
            Output("weight", "the same as a weight", "gf"),
            Output("bearing", "load on a shaft with half a turn of belt", "N"),
        ),
        compute=load,
        source="common_practice",
        basis="Modulus by the formula of 1958 from Shore A, then modulus times section times "
        "stretch. Real belts lie within about 30 %.",
        example=Example(
            {"hardness": "60", "width": "1.2 mm", "thickness": "1.2 mm", "stretch": "5"},
            {"modulus": 3.605, "tension": 0.260, "weight": 26.5, "bearing": 0.519},
            2e-3,
            "arithmetic: by the published formula",
        ),
    ),
    Sum(
        name="belt_drag",
        title="Torque that a belt's pull takes from the motor, in its own bearing",
        inputs=(
            Input("tension", "pull of one strand", "N", 0, 100),
            Input("shaft", "diameter of the shaft in its bearing", "mm", 0.3, 30),
            Input("friction", "friction of the bearing", "", 0.001, 1, default=0.1),
        ),
        outputs=(
            Output("torque", "torque that it takes", "mN·m"),
            Output("in_gcm", "the same in the unit of manuals", "g·cm"),
        ),
        compute=drag,
        source="from_memory",
        basis="Friction times two strands times half the shaft. 0.1 is an oiled sintered bearing.",
        example=Example(
            {"tension": "0.5 N", "shaft": "2 mm"},
            {"torque": 0.1, "in_gcm": 1.01972},
            1e-5,
            "arithmetic: 0.1 x 1 N x 1 mm; 1 g·cm is 0.0980665 mN·m",
        ),
    ),
    Sum(
        name="belt_thickness",
        title="Change of speed by a belt of another thickness",
        inputs=(
            Input("motor", "diameter of the motor pulley", "mm", 0.5, 500),
            Input("flywheel", "diameter of the flywheel at the belt", "mm", 1, 1000),
            Input("old", "thickness of the old belt", "mm", 0, 20),
            Input("new", "thickness of the new belt", "mm", 0, 20),
        ),
        outputs=(
            Output("change", "change of speed", "%"),
            Output("cents", "the same in cents", "cents"),
        ),
        compute=thickness,
        source="common_practice",
        basis="A belt runs at its middle, half its thickness out from each pulley. No slip.",
        example=Example(
            {"motor": "9.5", "flywheel": "99.5", "old": "0.5", "new": "0.6"},
            {"change": 0.8991},
            1e-3,
            "arithmetic: (10.1 / 100.1) / (10 / 100)",
        ),
    ),
)
