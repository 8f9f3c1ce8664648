"""Sums on torque, tension and force in the transport."""

from __future__ import annotations

from math import exp, radians

from diag.errors import BenchtrailError
from diag.model.quantity import figure
from diag.model.units import BY_SYMBOL, GRAM_FORCE_N
from diag.workshop.declaration import Example, Input, Output, Sum
from diag.workshop.told import Judged, Told

GCM_MNM = GRAM_FORCE_N * 10
"""mN·m in a g·cm."""
OZIN_MNM = BY_SYMBOL["oz·in"].size * 1e3
"""mN·m in an oz·in."""


def torque(torque_mnm: float) -> tuple[float, float, float]:
    """A torque in mN·m, g·cm and oz·in."""
    return torque_mnm, torque_mnm / GCM_MNM, torque_mnm / OZIN_MNM


def tension(torque_mnm: float, diameter_mm: float) -> tuple[float, float]:
    """Tension of the tape in N and gf, from the torque of its hub and the diameter of the pack."""
    newton = torque_mnm / (diameter_mm / 2)
    return newton, newton / GRAM_FORCE_N


def hub_torque(tension_n: float, diameter_mm: float) -> tuple[float, float]:
    """Torque of a hub in mN·m and g·cm, from the pull of the tape and the diameter of the pack."""
    torque_mnm = tension_n * diameter_mm / 2
    return torque_mnm, torque_mnm / GCM_MNM


def wrap(friction: float, angle_deg: float) -> tuple[float]:
    """How many times the slack side's pull the tight side may have before a belt or tape slips."""
    return (exp(friction * radians(angle_deg)),)


def take_up(torque_gcm: float, low_gcm: float, high_gcm: float) -> tuple[str, float]:
    """A judgement of take-up torque, and the torque in mN·m."""
    return _judged(torque_gcm, low_gcm, high_gcm), torque_gcm * GCM_MNM


def pinch(force_gf: float, low_gf: float, high_gf: float) -> tuple[str, float]:
    """A judgement of a pinch roller's force, and the force in N."""
    return _judged(force_gf, low_gf, high_gf), force_gf * GRAM_FORCE_N


def take_up_told(torque_gcm: float, low_gcm: float, high_gcm: float) -> tuple[Told]:
    """The take-up torque, for the case of the deck."""
    return (_told("takeup_torque", "g.cm", "take-up torque", torque_gcm, (low_gcm, high_gcm)),)


def pinch_told(force_gf: float, low_gf: float, high_gf: float) -> tuple[Told]:
    """The force of the pinch roller, for the case of the deck."""
    return (_told("pinch_force", "g", "force of the pinch roller", force_gf, (low_gf, high_gf)),)


def _told(quantity: str, unit: str, what: str, value: float, limits: tuple[float, float]) -> Told:
    in_words = _judged(value, *limits)
    as_limit: dict[str, Judged] = {"weak": "low", "right": "right", "strong": "high"}
    return Told(
        quantity=quantity,
        value=value,
        unit_symbol=unit,
        says=f"The {what} of {figure(value, 3)} {unit} is {in_words}",
        judged=as_limit[in_words],
    )


def _judged(value: float, low: float, high: float) -> str:
    """Weak, right or strong.

    Raises:
        BenchtrailError: the limits are the wrong way round.
    """
    if low >= high:
        raise BenchtrailError("low is not below high.", do="Give the limits the other way round.")
    return "weak" if value < low else "strong" if value > high else "right"


TORQUE = Input("torque", "torque", "mN·m", 0, 10000)
PACK = Input("diameter", "outer diameter of the pack", "mm", 5, 400)

SUMS = (
    Sum(
        name="torque",
        title="A torque in the units of manuals",
        inputs=(TORQUE,),
        outputs=(
            Output("in_mnm", "torque", "mN·m"),
            Output("in_gcm", "the same", "g·cm"),
            Output("in_ozin", "the same", "oz·in"),
        ),
        compute=torque,
        source="common_practice",
        basis="1 g·cm is 0.0980665 mN·m. Manuals that print g/cm mean g·cm.",
        example=Example(
            {"torque": "45 g·cm"},
            {"in_mnm": 4.413, "in_gcm": 45.0},
            1e-4,
            "arithmetic: 45 x 0.0980665",
        ),
    ),
    Sum(
        name="tension",
        title="Tape tension from the torque of a hub",
        inputs=(TORQUE, PACK),
        outputs=(
            Output("tension", "tension", "N"),
            Output("weight", "the same as a weight", "gf"),
        ),
        compute=tension,
        source="common_practice",
        basis="Torque over half the diameter.",
        example=Example(
            {"torque": "50 g·cm", "diameter": "22 mm"},
            {"tension": 0.446, "weight": 45.45},
            1e-3,
            "arithmetic: 50 g·cm over 1.1 cm",
        ),
    ),
    Sum(
        name="hub_torque",
        title="Torque of a hub from a spring balance on its tape",
        inputs=(Input("tension", "pull of the tape", "N", 0, 100), PACK),
        outputs=(Output("torque", "torque", "mN·m"), Output("in_gcm", "the same", "g·cm")),
        compute=hub_torque,
        source="common_practice",
        basis="Pull times half the diameter; pull slowly and evenly.",
        example=Example(
            {"tension": "20 gf", "diameter": "50 mm"},
            {"in_gcm": 50.0},
            1e-9,
            "arithmetic: 20 gf at 2.5 cm",
        ),
    ),
    Sum(
        name="wrap",
        title="Grip of a belt or tape by its angle on a pulley",
        inputs=(
            Input("friction", "friction", "", 0.01, 2, default=0.3),
            Input("angle", "angle that it lies on the pulley", "°", 0, 3600),
        ),
        outputs=(Output("ratio", "tight side over slack side before it slips"),),
        compute=wrap,
        source="machine_textbook",
        basis="e to the power of friction times angle. Clean rubber on metal has 0.3 to 0.5.",
        example=Example(
            {"friction": "0.3", "angle": "360"}, {"ratio": 6.6}, 3e-3, "published: about 6.6"
        ),
    ),
    Sum(
        name="take_up",
        title="Is the take-up torque weak, right or strong?",
        inputs=(
            Input("torque", "torque in play", "g·cm", 0, 1000),
            Input("low", "right from", "g·cm", 0, 1000, default=35),
            Input("high", "right up to", "g·cm", 0, 1000, default=80),
        ),
        outputs=(Output("judged", "the torque is"), Output("in_mnm", "in SI", "mN·m")),
        compute=take_up,
        source="manual_extract",
        basis="35 to 80 g·cm in one manual of a home deck; others lie between 30 and 65. The "
        "deck's own manual goes first.",
        example=Example(
            {"torque": "22 g·cm"},
            {"judged": "weak", "in_mnm": 2.157},
            1e-3,
            "arithmetic: 22 x 0.0980665; limits published (manual_extract)",
        ),
        tells=take_up_told,
        caution="Keep fingers, sleeves and hair away from turning hubs.",
    ),
    Sum(
        name="pinch_force",
        title="Is the pinch roller's force weak, right or strong?",
        inputs=(
            Input("force", "force at which the roller just leaves the capstan", "gf", 0, 5000),
            Input("low", "right from", "gf", 0, 5000, default=295),
            Input("high", "right up to", "gf", 0, 5000, default=365),
        ),
        outputs=(Output("judged", "the force is"), Output("in_n", "in SI", "N")),
        compute=pinch,
        source="manual_pinch_force",
        basis="295 to 365 gf in one manual of a home deck with one capstan. With two, "
        "another has 480 to 520 gf on the take-up side and 230 to 270 gf on the supply side "
        "(manual_dual_capstan). The deck's own manual goes first.",
        example=Example(
            {"force": "330 g"},
            {"judged": "right", "in_n": 3.236},
            1e-3,
            "arithmetic: 330 x 9.80665e-3; limits published (manual_pinch_force)",
        ),
        tells=pinch_told,
        caution="Keep fingers, sleeves and hair away from turning parts.",
    ),
)
