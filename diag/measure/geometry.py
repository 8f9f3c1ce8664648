"""How fast each turning part of a deck turns, from the sizes that are known of it.

Sizes are in mm, rates in turns a second. What isn't known is drawn from the range that such decks
have; the same draw serves all parts, so that a belt's rate goes with that of its flywheel.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import log, pi

import numpy as np

from diag.errors import MeasureError
from diag.measure.sound import Array
from diag.model.sizes import SIZES, size_trouble

USUAL_MM_S = 47.625
"""1 7/8 inches a second."""

DRIVES = ("belt", "idler", "direct")


@dataclass(frozen=True, slots=True)
class Typical:
    """A range that holds 19 of 20 decks, and where it comes from."""

    low: float
    high: float
    source: str


PRIOR_SPREAD = 0.95
"""Share of decks within a typical range."""

TYPICAL = {
    "capstan_mm": Typical(1.9, 3.0, "from memory; 1.9 and 2.4 mm are told of real decks"),
    "flywheel_mm": Typical(45, 85, "from memory"),
    "motor_rpm": Typical(1800, 3200, "from memory; 2400 rpm is usual"),
    "pinch_roller_mm": Typical(9, 14, "common practice"),
    "belt_turns": Typical(
        1.08, 1.7, "worked out: motor 0.65 to 1.5 diameters off, or two flywheels"
    ),
    "drive_idler_ratio": Typical(1.5, 4, "from memory: its turns to one of the flywheel"),
    "takeup_idler_ratio": Typical(1.4, 3, "from memory: its turns to one of the hub"),
    "tape_um": Typical(9, 18, "from memory: tapes of 120 to 60 minutes"),
    "hub_mm": Typical(21.5, 22.5, "from memory: 22 mm"),
    "full_pack_mm": Typical(48, 51, "worked out: 86 m of 18 µm on a hub of 22 mm"),
    "slip": Typical(0.004, 0.07, "from memory: next to none of some mains motors, 7 % of others"),
}
"""Of decks whose tape runs at the usual speed."""

FAST_MM_S = 70.0
"""From here on sizes are those of decks for wide tape on reels."""
FAST = TYPICAL | {
    "capstan_mm": Typical(4, 14, "from memory"),
    "flywheel_mm": Typical(60, 130, "from memory"),
    "motor_rpm": Typical(700, 3000, "from memory: mains motors of 2 to 8 poles"),
    "pinch_roller_mm": Typical(25, 50, "from memory"),
    "tape_um": Typical(18, 52, "from memory: triple play to standard play"),
    "hub_mm": Typical(45, 115, "from memory: hubs of 13 cm to 27 cm reels"),
    "full_pack_mm": Typical(120, 265, "from memory: reels of 13 to 27 cm"),
}
"""Of decks whose tape runs faster."""

POLES = {2: 0.25, 4: 0.65, 8: 0.1}
"""How common mains motors of so many poles are that turn a capstan: judgement, from memory."""


def typical(key: str, speed_mm_s: float) -> Typical:
    """The range of a size in decks of this tape speed."""
    return (FAST if speed_mm_s >= FAST_MM_S else TYPICAL)[key]


MEASURED = 0.01
"""Share by which a size that is given may be off, as a standard deviation: a calliper on rubber."""
PLAYED = 0.02
"""The same for the place of the tape, as a share of the whole."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """What is known of a deck and of the tape in it; None is not known.

    Attributes:
        drive: what turns the capstan, one of DRIVES; empty if it isn't known.
        speed_mm_s: tape speed as it is, error included.
        capstan_mm: diameter of the capstan.
        flywheel_mm: diameter of the flywheel where belt or idler runs.
        motor_pulley_mm: diameter of the motor's pulley.
        motor_rpm: how fast the motor turns; not needed if the pulley and the flywheel are known.
        mains_hz: frequency of the mains, if they feed the motor itself.
        poles: of a motor that the mains feed.
        belt_mm: length of the capstan belt as fitted, once round its path.
        belt_thickness_mm: half of it counts to each radius.
        pinch_roller_mm: diameter of the pinch roller.
        drive_idler_mm: diameter of the wheel between motor and flywheel.
        takeup_idler_ratio: turns of the take-up idler in one of the hub.
        tape_um: thickness of the tape.
        hub_mm: diameter of the bare hub.
        full_pack_mm: diameter of a hub with all the tape on it.
        played: share of the tape on the take-up hub in the middle of the capture, 0 to 1.
    """

    drive: str = ""
    speed_mm_s: float = USUAL_MM_S
    capstan_mm: float | None = None
    flywheel_mm: float | None = None
    motor_pulley_mm: float | None = None
    motor_rpm: float | None = None
    mains_hz: float | None = None
    poles: float | None = None
    belt_mm: float | None = None
    belt_thickness_mm: float = 0.6
    pinch_roller_mm: float | None = None
    drive_idler_mm: float | None = None
    takeup_idler_ratio: float | None = None
    tape_um: float | None = None
    hub_mm: float | None = None
    full_pack_mm: float | None = None
    played: float | None = None

    def __post_init__(self) -> None:
        """Raises MeasureError for a drive or a size that can't be."""
        if self.drive and self.drive not in DRIVES:
            raise MeasureError(f"'{self.drive}' is no drive.", do=f"Give {', '.join(DRIVES)}.")
        if self.mains_hz not in (None, 50, 60):
            raise MeasureError(f"no mains has {self.mains_hz:g} Hz.", do="Give 50 or 60.")
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name in ("drive", "mains_hz") or value is None:
                continue
            if trouble := _trouble(field.name, value):
                found, do = trouble
                raise MeasureError(found, do=do)


OF_THE_TAPE = {"tape_um": (5, 60), "played": (0, 1)}
"""Limits of what belongs to the tape and not to the deck."""


def _trouble(key: str, value: float) -> tuple[str, str] | None:
    if key in SIZES:
        return size_trouble(key, value)
    low, high = OF_THE_TAPE[key]
    return None if low <= value <= high else (f"{key} is {value:g}.", f"Give {low} to {high}.")


PARTS = (
    "capstan",
    "flywheel",
    "pinch roller",
    "capstan belt",
    "motor",
    "motor pulley",
    "drive idler",
    "supply hub",
    "take-up hub",
    "take-up idler",
)
"""The parts whose rates are worked out, in the order of the rows of `part_rates`."""


def turning_hz(diameter_mm: float, speed_mm_s: float) -> float:
    """Turns a second of what runs at this speed at its rim."""
    return speed_mm_s / (pi * diameter_mm)


def rim_mm_s(diameter_mm: float, turning: float, thickness_mm: float = 0.0) -> float:
    """Speed of a belt at its middle, half its thickness outside of a pulley; or of a bare rim."""
    return pi * (diameter_mm + thickness_mm) * turning


def pack_mm(bare_mm: float, full_mm: float, share: float) -> float:
    """Diameter of a pack that holds this share of the tape, whose side area goes with length."""
    return float((bare_mm**2 + share * (full_mm**2 - bare_mm**2)) ** 0.5)


def part_rates(geometry: Geometry, draws: int) -> Array:
    """Rates of all PARTS in Hz in so many draws of what isn't known: shape (parts, draws).

    Not a number where a draw's deck has no such part. The draws are the same in each run.
    """
    from scipy.stats import qmc

    names = ("drive", "played", "belt_mm", "motor_pulley_mm", "drive_idler_mm", *TYPICAL, "poles")
    even = qmc.Sobol(len(names), seed=1).random(draws)
    even = np.clip(even, 1e-9, 1 - 1e-9)
    lots = dict(zip(names, even.T, strict=True))
    size = {key: _drawn(geometry, key, lots[key]) for key in TYPICAL}
    speed = geometry.speed_mm_s

    capstan = speed / (pi * (size["capstan_mm"] + size["tape_um"] / 1e3))
    belt_mm_s = pi * (size["flywheel_mm"] + geometry.belt_thickness_mm) * capstan
    drive = _drives(geometry, lots["drive"])
    if geometry.belt_mm is None:
        belt = capstan / size["belt_turns"]
    else:
        belt = belt_mm_s / _near(geometry.belt_mm, lots["belt_mm"])
    if geometry.drive_idler_mm is None:
        idler = capstan * size["drive_idler_ratio"]
    else:
        diameter = _near(geometry.drive_idler_mm, lots["drive_idler_mm"])
        idler = capstan * size["flywheel_mm"] / diameter
    motor = np.where(drive == 2, capstan, _motor(geometry, size, belt_mm_s, lots))
    supply, takeup = _hubs(geometry, size, lots["played"])
    absent = np.full(draws, np.nan)
    return np.stack(
        (
            capstan,
            capstan,
            speed / (pi * size["pinch_roller_mm"]),
            np.where(drive == 0, belt, absent),
            motor,
            np.where(drive == 2, absent, motor),
            np.where(drive == 1, idler, absent),
            supply,
            takeup,
            takeup * size["takeup_idler_ratio"],
        )
    )


def _motor(
    geometry: Geometry, size: dict[str, Array], belt_mm_s: Array, lots: dict[str, Array]
) -> Array:
    """Of a motor with a pulley: what is given counts first, then pulleys, the mains, the usual."""
    if geometry.motor_rpm is not None:
        return size["motor_rpm"] / 60
    if geometry.motor_pulley_mm is not None and geometry.flywheel_mm is not None:
        diameter = _near(geometry.motor_pulley_mm, lots["motor_pulley_mm"])
        return belt_mm_s / (pi * (diameter + geometry.belt_thickness_mm))
    if geometry.mains_hz is None:
        return size["motor_rpm"] / 60
    return 2 * geometry.mains_hz / _poles(geometry, lots["poles"]) * (1 - size["slip"])


def _poles(geometry: Geometry, lot: Array) -> Array:
    """Those of each draw's motor."""
    if geometry.poles is not None:
        return np.full(len(lot), geometry.poles)
    known = np.cumsum(list(POLES.values()))
    return np.asarray(np.array(list(POLES), float)[np.searchsorted(known, lot * known[-1])])


def _hubs(geometry: Geometry, size: dict[str, Array], lot: Array) -> tuple[Array, Array]:
    """Of the supply hub and the take-up hub: the tape that leaves one is on the other."""
    share = lot
    if geometry.played is not None:
        share = np.clip(geometry.played + PLAYED * _normal(lot), 0, 1)
    bare, full = size["hub_mm"] ** 2, size["full_pack_mm"] ** 2
    takeup = np.sqrt(bare + share * (full - bare))
    supply = np.sqrt(bare + (1 - share) * (full - bare))
    return geometry.speed_mm_s / (pi * supply), geometry.speed_mm_s / (pi * takeup)


def _drawn(geometry: Geometry, key: str, lot: Array) -> Array:
    """A size of each draw: that which is given, nearly, or one of its range."""
    given = getattr(geometry, key, None)
    if given is not None:
        return _near(given, lot)
    usual = typical(key, geometry.speed_mm_s)
    middle = (log(usual.low) + log(usual.high)) / 2
    spread = log(usual.high / usual.low) / (2 * 1.96)
    return np.asarray(np.exp(middle + spread * _normal(lot)))


def _near(given: float, lot: Array) -> Array:
    return np.asarray(given * np.exp(MEASURED * _normal(lot)))


DRIVE_SHARES = (0.8, 0.04, 0.16)
"""How common each of DRIVES is among home decks: judgement, from memory."""


def _drives(geometry: Geometry, lot: Array) -> Array:
    """The place in DRIVES of each draw's drive."""
    if geometry.drive:
        return np.full(len(lot), float(DRIVES.index(geometry.drive)))
    known = np.cumsum(_shares(geometry))
    return np.asarray(np.searchsorted(known, lot * known[-1]), dtype=np.float64)


def _shares(geometry: Geometry) -> tuple[float, ...]:
    """Shares of the drives that what is given leaves open."""
    belt, idler, _ = DRIVE_SHARES
    if geometry.belt_mm is not None:
        return belt, 0.0, 0.0
    if geometry.drive_idler_mm is not None:
        return 0.0, idler, 0.0
    if geometry.motor_pulley_mm is not None:
        return belt, idler, 0.0
    return DRIVE_SHARES


def _normal(lot: Array) -> Array:
    """Standard normal values of even lots between 0 and 1."""
    from scipy.special import ndtri

    return np.asarray(ndtri(lot))
