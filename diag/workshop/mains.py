"""Sums on motors that follow the mains, and on decks made for another mains."""

from __future__ import annotations

from diag.model.quantity import figure
from diag.workshop.declaration import Example, Input, Output, Sum
from diag.workshop.speed import CENTS, percent_to_cents
from diag.workshop.told import Told

CAUTION = (
    "Pull the mains plug before a pulley or a strap is touched. Straps and motors carry mains "
    "voltage; keep to local codes, and leave mains wiring to a licensed person where they ask it."
)


def synchronous(poles: float, mains_hz: float) -> tuple[float, float]:
    """Synchronous speed in rpm and turns a second."""
    return 120 * mains_hz / poles, 2 * mains_hz / poles


def mismatch(built_hz: float, local_hz: float) -> tuple[float, float]:
    """Speed error in percent and cents of a deck that is set for another mains frequency."""
    error = (local_hz / built_hz - 1) * 100
    return error, percent_to_cents(error)


def pulley(pulley_mm: float, built_hz: float, local_hz: float, belt_mm: float) -> tuple[float]:
    """Diameter in mm of the motor pulley that gives the old speed at the local frequency."""
    return ((pulley_mm + belt_mm) * built_hz / local_hz - belt_mm,)


def frequencies(built_hz: float, local_hz: float, **_: float) -> tuple[Told, Told]:
    """What a deck is set for and what it gets, for its case."""
    return (
        Told(
            quantity="mains_frequency_set",
            value=built_hz,
            unit_symbol="Hz",
            says=f"Set for a mains of {figure(built_hz)} Hz",
        ),
        Told(
            quantity="mains_frequency",
            value=local_hz,
            unit_symbol="Hz",
            says=f"The mains here has {figure(local_hz)} Hz",
        ),
    )


BUILT = Input("built", "mains frequency that it is set for", "Hz", 16, 400)
LOCAL = Input("local", "mains frequency here", "Hz", 16, 400)

SUMS = (
    Sum(
        name="motor_speed",
        title="Speed of a synchronous motor",
        inputs=(
            Input(
                "poles",
                "number of poles",
                "",
                2,
                48,
                one_of=tuple(float(n) for n in range(2, 49, 2)),
            ),
            Input("mains", "mains frequency", "Hz", 16, 400),
        ),
        outputs=(
            Output("speed", "speed", "rpm"),
            Output("turning", "the same a second", "turns/s"),
        ),
        compute=synchronous,
        source="sync_motor_table",
        basis="120 times frequency over poles. An induction motor turns a few percent slower.",
        example=Example(
            {"poles": "4", "mains": "50 Hz"}, {"speed": 1500.0}, 1e-9, "published: 1500 rpm"
        ),
    ),
    Sum(
        name="mains_error",
        title="Speed error of a deck that is set for another mains frequency",
        inputs=(BUILT, LOCAL),
        outputs=(Output("error", "speed error", "%"), CENTS),
        compute=mismatch,
        source="common_practice",
        basis="A motor that follows the mains goes with its frequency.",
        example=Example(
            {"built": "60 Hz", "local": "50 Hz"},
            {"error": -16.6667, "cents": -315.6413},
            1e-5,
            "arithmetic: five sixths",
        ),
        caution=CAUTION,
        tells=frequencies,
    ),
    Sum(
        name="mains_pulley",
        title="Motor pulley for another mains frequency",
        inputs=(
            Input("pulley", "diameter of the motor pulley there is", "mm", 1, 500),
            BUILT,
            LOCAL,
            Input("belt", "thickness of the belt; 0 for a rubber wheel", "mm", 0, 10, default=0),
        ),
        outputs=(Output("needed", "diameter that it needs", "mm"),),
        compute=pulley,
        source="common_practice",
        basis="The pulley with its belt grows as the frequency falls. A motor with a run capacitor "
        "may need another capacitor as well.",
        example=Example(
            {"pulley": "10 mm", "built": "60", "local": "50"},
            {"needed": 12.0},
            1e-9,
            "arithmetic: six fifths",
        ),
        caution=CAUTION,
        tells=frequencies,
    ),
)
