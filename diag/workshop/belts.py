"""Sums on the path of a belt round two pulleys, and the belt to order for a path."""

from __future__ import annotations

from math import asin, cos, degrees, pi

from diag.errors import BenchtrailError
from diag.model.quantity import figure
from diag.workshop.belt_outline import belt_outline
from diag.workshop.declaration import Example, Input, Output, Sum
from diag.workshop.told import Judged, Told

SLACK = "slack, it will slip"
RIGHT = "right"
TIGHT = "tight, it will bog the mechanism"
LOW_PCT, HIGH_PCT = 5.0, 10.0
"""Shorter than the path, for a flat or square belt (belt_measuring)."""

BIG = Input("big", "diameter of the large pulley, at the belt", "mm", 0.5, 5000)
SMALL = Input("small", "diameter of the small pulley, at the belt", "mm", 0.5, 5000)
CENTRE = Input("centre", "distance between the two shafts", "mm", 1, 20000)
PATH = Output("path", "length of the path", "mm")
WRAP = Output("wrap", "angle that the belt lies on the small pulley", "°")


def open_path(big_mm: float, small_mm: float, centre_mm: float) -> tuple[float, float]:
    """Length in mm of an uncrossed belt round two pulleys, and degrees on the smaller.

    Raises:
        BenchtrailError: the pulleys overlap.
    """
    _apart(big_mm, small_mm, centre_mm)
    big_mm, small_mm = max(big_mm, small_mm), min(big_mm, small_mm)
    a = asin((big_mm - small_mm) / (2 * centre_mm))
    length = 2 * centre_mm * cos(a) + big_mm / 2 * (pi + 2 * a) + small_mm / 2 * (pi - 2 * a)
    return length, degrees(pi - 2 * a)


def crossed_path(big_mm: float, small_mm: float, centre_mm: float) -> tuple[float, float]:
    """Length in mm of a crossed belt round two pulleys, and degrees on either.

    Raises:
        BenchtrailError: the pulleys overlap.
    """
    _apart(big_mm, small_mm, centre_mm)
    a = asin((big_mm + small_mm) / (2 * centre_mm))
    length = 2 * centre_mm * cos(a) + (big_mm + small_mm) / 2 * (pi + 2 * a)
    return length, degrees(pi + 2 * a)


def free_length(path_mm: float, stretch_pct: float) -> tuple[float, float]:
    """Length in mm of the belt at rest, and the diameter in mm of the ring that it lies in."""
    free = path_mm / (1 + stretch_pct / 100)
    return free, free / pi


def from_string(string_mm: float, shorter_pct: float) -> tuple[float, float]:
    """Length in mm of the belt to order from a string round its path, and its ring's diameter."""
    free = string_mm * (1 - shorter_pct / 100)
    return free, free / pi


def fit(
    path_mm: float, free_mm: float, low_pct: float, high_pct: float
) -> tuple[str, float, float]:
    """What the belt is in words; points of percent to the nearest limit; stretch in percent.

    Raises:
        BenchtrailError: the limits are the wrong way round.
    """
    if low_pct >= high_pct:
        raise BenchtrailError("low is not below high.", do="Give the limits the other way round.")
    shorter = shorter_pct(path_mm, free_mm)
    margin = min(abs(shorter - low_pct), abs(shorter - high_pct))
    return judged(shorter, low_pct, high_pct), margin, (path_mm / free_mm - 1) * 100


def shorter_pct(path_mm: float, free_mm: float) -> float:
    """By how many percent of the path a belt at rest is shorter than it."""
    # Rounded, since 1 - 237.5 / 250 is above 0.05 in binary, and others on the limit are below.
    return round((1 - free_mm / path_mm) * 100, 9)


def judged(shorter: float, low_pct: float, high_pct: float) -> str:
    """What a belt is that is so many percent shorter than its path, in words."""
    if shorter < low_pct:
        return SLACK
    return TIGHT if shorter > high_pct else RIGHT


def shortness(path_mm: float, free_mm: float, low_pct: float, high_pct: float) -> tuple[Told]:
    """By how much a belt is shorter than its path, for the case of the deck that it is in."""
    return (told_of("", shorter_pct(path_mm, free_mm), low_pct, high_pct),)


def told_of(name: str, shorter: float, low_pct: float, high_pct: float) -> Told:
    """The same of a belt on a list."""
    in_words = judged(shorter, low_pct, high_pct)
    as_limit: dict[str, Judged] = {SLACK: "low", RIGHT: "right", TIGHT: "high"}
    says = f"{figure(shorter, 3)} % shorter than its path: {in_words}"
    return Told(
        quantity="belt_shortness",
        value=shorter,
        unit_symbol="%",
        says=f"{name}, {says}" if name else f"The belt is {says}",
        judged=as_limit[in_words],
        of=name,
    )


def _apart(first_mm: float, second_mm: float, centre_mm: float) -> None:
    """Raises BenchtrailError where two pulleys overlap."""
    if centre_mm <= (first_mm + second_mm) / 2:
        raise BenchtrailError(
            f"the pulleys overlap: their radii add up to {(first_mm + second_mm) / 2:g} mm and "
            f"their shafts are {centre_mm:g} mm apart.",
            do="Give diameters, not radii, and measure between the shafts.",
        )


FREE = Output("free", "length of the belt at rest", "mm")
RING = Output("diameter", "inside diameter when it lies as a ring", "mm")
EXACT = (
    "Straight strands and arcs, exact for a thin belt; add the belt's thickness to each diameter."
)

SUMS = (
    Sum(
        name="belt_open",
        title="Path of a belt round two pulleys",
        inputs=(BIG, SMALL, CENTRE),
        outputs=(PATH, WRAP),
        compute=open_path,
        source="machine_textbook",
        basis=EXACT,
        example=Example(
            {"big": "10 mm", "small": "5 mm", "centre": "20 mm"},
            {"path": 63.87, "wrap": 165.6385},
            1e-4,
            "published: 63.87 mm; the angle by arithmetic",
        ),
        outline=lambda big_mm, small_mm, centre_mm: belt_outline(
            (0, 0, big_mm), (centre_mm, 0, small_mm)
        ),
    ),
    Sum(
        name="belt_crossed",
        title="Path of a crossed belt round two pulleys",
        inputs=(BIG, SMALL, CENTRE),
        outputs=(PATH, Output("wrap", "angle that the belt lies on either pulley", "°")),
        compute=crossed_path,
        source="machine_textbook",
        basis=EXACT,
        example=Example(
            {"big": "450", "small": "200", "centre": "1950"},
            {"path": 4975.0, "wrap": 199.2},
            1e-3,
            "from memory: textbook problem, 4.975 m and 3.477 rad",
        ),
        outline=lambda big_mm, small_mm, centre_mm: belt_outline(
            (0, 0, big_mm), (centre_mm, 0, -small_mm)
        ),
    ),
    Sum(
        name="belt_free",
        title="Belt at rest for a wanted stretch",
        inputs=(
            Input("path", "length of the path", "mm", 5, 20000),
            Input("stretch", "stretch when fitted", "%", 0, 30, default=5),
        ),
        outputs=(FREE, RING),
        compute=free_length,
        source="from_memory",
        basis="Path over one plus stretch. 3 to 8 % suits flat and square belts (from memory); a "
        "round ring as a belt takes 8 to 12 % (published, oring_belts).",
        example=Example(
            {"path": "250", "stretch": "5"}, {"free": 238.1}, 1e-3, "arithmetic: 250 / 1.05"
        ),
    ),
    Sum(
        name="belt_string",
        title="Belt to order from a string laid round its path",
        inputs=(
            Input("string", "length of the string, once round", "mm", 5, 20000),
            Input("shorter", "how much shorter the belt shall be", "%", 0, 25, default=7),
        ),
        outputs=(FREE, RING),
        compute=from_string,
        source="belt_measuring",
        basis="A belt is ordered 5 to 10 % shorter than a thread round its path.",
        example=Example(
            {"string": "25 cm", "shorter": "10"}, {"free": 225.0}, 1e-9, "arithmetic: 250 x 0.9"
        ),
    ),
    Sum(
        name="belt_fit",
        title="Is this belt slack, right or tight for its path?",
        inputs=(
            Input("path", "length of the path", "mm", 5, 20000),
            Input("free", "length of the belt at rest", "mm", 5, 20000),
            Input("low", "right from this much shorter", "%", 0, 30, default=LOW_PCT),
            Input("high", "right up to this much shorter", "%", 0, 40, default=HIGH_PCT),
        ),
        outputs=(
            Output("judged", "the belt is"),
            Output("margin", "to the nearest limit", "%"),
            Output("stretch", "stretch when fitted", "%"),
        ),
        compute=fit,
        source="belt_measuring",
        basis="5 to 10 % shorter than the path is right for a flat or square belt (published); a "
        "round ring wants 7.4 to 10.7 %, which is 8 to 12 % of stretch (published, oring_belts).",
        example=Example(
            {"path": "250", "free": "230"},
            {"judged": RIGHT, "margin": 2.0, "stretch": 8.6957},
            1e-4,
            "arithmetic: 20 of 250 mm is 8 %, and 20 of 230 mm 8.70 %",
        ),
        tells=shortness,
    ),
)
