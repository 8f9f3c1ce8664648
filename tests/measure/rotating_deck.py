"""An invented deck whose parts waver the tape: the truth that matching lines is judged by.

Rates come from sizes drawn here, by the laws of wheels, belts and packs written out once more; a
hub's rate is followed turn by turn. Ranges of sizes are from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from diag.measure.demodulate import SpeedSeries
from diag.measure.geometry import Geometry

RATE_HZ = 400.0
REACHES_HZ = 170.0
SPEED = 47.625
NONE = "none"
"""The culprit of a deck that wavers without a rate."""


@dataclass(frozen=True)
class Deck:
    """The part that wavers most, its rate in the middle, the speed error, and the deck's sizes."""

    culprit: str
    rate_hz: float
    series: SpeedSeries
    sizes: dict[str, float]

    def geometry(self, rng: np.random.Generator) -> Geometry:
        """What a restorer with a calliper, a string and a watch finds out."""
        known = {key: size * (1 + rng.normal(0, 0.007)) for key, size in self.sizes.items()}
        return Geometry(
            drive="belt",
            played=self.sizes["played"],
            **{key: known[key] for key in known if key != "played"},
        )


def draw_deck(rng: np.random.Generator, seconds: float, culprit: str = "") -> Deck:
    """A belt-driven deck with one rate 6 dB or more over all others."""
    return _drawn(rng, seconds, culprit)


def draw_steady(rng: np.random.Generator, seconds: float) -> Deck:
    """A belt-driven deck that wavers without a rate; its parts make some 1 % of the power."""
    return _drawn(rng, seconds, NONE)


def _drawn(rng: np.random.Generator, seconds: float, culprit: str) -> Deck:
    flywheel, motor_hz = rng.uniform(50, 80), rng.uniform(1900, 3100) / 60
    centre = rng.uniform(0.62, 1.1) * flywheel
    capstan, roller = rng.uniform(1.9, 2.9), rng.uniform(9.5, 13.5)
    thickness = 0.6
    tape_mm = rng.choice([0.009, 0.012, 0.018])
    turns = SPEED / (pi * (capstan + tape_mm))
    belt_speed = turns * pi * (flywheel + thickness)
    pulley = belt_speed / (pi * motor_hz) - thickness
    belt = _belt_length(flywheel + thickness, pulley + thickness, centre)
    share = rng.uniform(0.03, 0.97)
    full = sqrt(11**2 + rng.uniform(440, 500))
    sizes = {
        "capstan_mm": capstan,
        "flywheel_mm": flywheel,
        "motor_pulley_mm": pulley,
        "belt_mm": belt,
        "pinch_roller_mm": roller,
        "played": share,
    }
    times = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    hubs = {
        "supply hub": pack_turns(times, sqrt(121 + (1 - share) * (full**2 - 121)), -tape_mm),
        "take-up hub": pack_turns(times, sqrt(121 + share * (full**2 - 121)), tape_mm),
    }
    steady = {
        "capstan": turns,
        "pinch roller": SPEED / (pi * roller) * rng.normal(1, 0.004),
        "capstan belt": belt_speed / belt * rng.normal(1, 0.004),
        "motor pulley": motor_hz * rng.normal(1, 0.004),
    }
    paths = hubs | {part: rate * times for part, rate in steady.items()}
    culprit = culprit or str(rng.choice(sorted(paths)))
    top = 10 ** rng.uniform(-3.4, -2.5)
    loudest = 0.25 * top if culprit == NONE else top
    values = np.zeros(len(times))
    for part, path in paths.items():
        size = top if part == culprit else loudest * 10 ** (-rng.uniform(6, 20) / 20)
        values += _waver(rng, path, size)
    noise = top if culprit == NONE else top * 10 ** rng.uniform(-1.3, -0.4)
    values += _noise(rng, len(times), noise) + rng.normal(0, 0.004)
    path = paths.get(culprit, 0 * times)
    middle = path[len(times) // 2 + 1] - path[len(times) // 2 - 1]
    gaps = np.zeros(len(times), dtype=bool)
    return Deck(
        culprit, middle * RATE_HZ / 2, SpeedSeries(values, RATE_HZ, gaps, REACHES_HZ), sizes
    )


def _belt_length(big: float, small: float, centre: float) -> float:
    """Round two pulleys: two strands, and the arcs that they leave."""
    half = acos((big - small) / 2 / centre)
    strand = sqrt(centre**2 - ((big - small) / 2) ** 2)
    return 2 * strand + big * (pi - half) + small * half


def pack_turns(times: NDArray[np.float64], radius_mm: float, tape_mm: float) -> NDArray[np.float64]:
    """Turns of a hub, step by step: the radius grows by the tape's thickness in each turn."""
    step = times[1] - times[0]
    radius, turned = radius_mm, 0.0
    path = np.empty(len(times))
    for at in range(len(times)):
        path[at] = turned
        turn = SPEED / (2 * pi * radius) * step
        turned += turn
        radius += tape_mm * turn
    return path


def _waver(rng: np.random.Generator, path: NDArray[np.float64], size: float) -> NDArray[np.float64]:
    """Once a turn as a rule, now and then most at the second harmonic, with weaker ones above."""
    chief = 1 if rng.random() < 0.85 else 2
    total = np.zeros(len(path))
    for order in (1, 2, 3, 4):
        share = 1.0 if order == chief else rng.uniform(0, 0.45) / order
        total += share * np.cos(2 * pi * order * path + rng.uniform(0, 2 * pi))
    # The part isn't quite the same in each turn.
    slow = _noise(rng, len(path), 0.05)
    return np.asarray(size * total * (1 + slow))


def _noise(rng: np.random.Generator, count: int, size: float) -> NDArray[np.float64]:
    """Noise that rises towards low rates, of this root mean square."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    rates = np.fft.rfftfreq(count, 1 / RATE_HZ)
    spectrum *= 1 / np.sqrt(1 + (3 / np.maximum(rates, 0.05)) ** 1.5)
    values = np.fft.irfft(spectrum * (1 + (3 / np.maximum(rates, 0.05)) ** 1.5), count)
    return np.asarray(size * values / values.std())
