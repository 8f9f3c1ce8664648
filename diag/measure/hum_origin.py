"""Where hum seems to come from, by how its even lines compare with its odd ones.

Hum at the mains rate is picked up, or one diode of the rectifier is open; hum at twice that rate
is ripple (common practice). How far each origin spreads is judgement: iron that saturates adds
odd lines, a full-wave rectifier makes even ones only, and half-wave ripple falls off as a
sawtooth does, which puts its even lines 5 dB under its odd ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log10, pi, sqrt

from diag.measure.hum_lines import Lines


@dataclass(frozen=True, slots=True)
class Origin:
    """An origin of hum: its share among decks that hum, and its even over odd lines in dB."""

    says: str
    prior: float
    even_db: float
    spread_db: float


LIMIT_DB = 30.0
STRAY = 0.1
"""Share of the hum of each origin that looks like anything at all."""

ORIGINS = (
    Origin("picked up: ground, screen or stray field", 0.45, -14.0, 7.0),
    Origin("ripple: reservoir or filter capacitor", 0.45, 20.0, 8.0),
    Origin("both of these", 0.06, 2.0, 8.0),
    Origin("one rectifier diode open", 0.04, -4.8, 3.0),
)
"""Priors: judgement, near what the causes of hum add up to in the cassette book."""


def origins(lines: Lines) -> tuple[tuple[str, float], ...]:
    """The chance of each origin, the likeliest first, by Bayes' rule."""
    even_db = even_over_odd_db(lines)
    weights = {origin.says: origin.prior * _density(origin, even_db) for origin in ORIGINS}
    whole = sum(weights.values())
    chances = [(says, weight / whole) for says, weight in weights.items()]
    return tuple(sorted(chances, key=lambda chance: -chance[1]))


def _density(origin: Origin, even_db: float) -> float:
    away = (even_db - origin.even_db) / origin.spread_db
    normal = exp(-0.5 * away**2) / (origin.spread_db * sqrt(2 * pi))
    return (1 - STRAY) * normal + STRAY / (2 * LIMIT_DB)


def even_over_odd_db(lines: Lines) -> float:
    """Power of the even lines over that of the odd ones, kept within 30 dB.

    What doesn't stand out counts with half its uncertainty, so that nothing is divided by noise.
    """
    power = lines.mean.copy()
    power[~lines.stand_out] = 0.0
    odd, even = power[0::2].sum(), power[1::2].sum()
    least = lines.uncertainty.mean() / 2
    ratio = 10 * log10(max(even, least) / max(odd, least))
    return min(max(ratio, -LIMIT_DB), LIMIT_DB)
