"""What a fall or lift of the bass looks like: a few causes, weighed by their fit.

Deck and test tape may be made for two time constants of the bass, and a coupling capacitor that has
dried out takes bass away, too. Each mixture's chance is its prior times the likelihood of the
levels (Bayes). What every head and tape does to the bass is in the likelihood: bumps by the length
of the head's face, and the lift by a tape that is recorded wider than the track. So a cause is
surer only where the levels tell it from those.
"""

from __future__ import annotations

import numpy as np

from diag.measure.equalisation import BASS_US, mistaken_bass_db
from diag.measure.sound import Array

UP_TO_HZ = 400.0
BASS_HZ = 200.0
LEAST_TONES = 3
"""Tones up to `BASS_HZ` without which nothing is said."""
SHOWN_HZ = 63.0
"""Causes are ranked by what they change here, or at the nearest tone."""
LITTLE_DB = 1.5
TAPE_DB = 0.5
"""Standard deviation of a tone of a sound deck and tape about flat (from memory)."""

# From memory, all standard deviations: of bumps that both halves of a head share and that each has
# by itself, their width, where they end, and the mean and spread of the lift at the longest waves.
BUMP_DB, BUMP_OF_ONE_DB = 1.0, 0.3
BUMP_OCTAVES = 0.55
BUMPS_TO_HZ = 200.0
LIFT_DB, LIFT_SPREAD_DB = 0.5, 0.7
LIFT_TO_HZ = 50.0

# Chances, from memory: that deck or tape is for the other constant, that a channel has lost its
# bass, and then that the other has lost it alike, or by a corner of its own, with the spread of the
# natural log of their ratio.
DECK_CHANCE, TAPE_CHANCE = 0.04, 0.04
FALL_CHANCE, ALIKE_CHANCE, UNLIKE_CHANCE, CORNER_SPREAD = 0.2, 0.4, 0.3, 0.5
CORNERS_HZ = np.geomspace(15.0, 240.0, 16)

RIGHT = "the bass is right"
DECK = "deck at {:g} µs in the bass"
TAPE = "tape made for {:g} µs in the bass"
FALL = "a fall after the head: coupling capacitor or amplifier"


def explain_bass(
    frequency_hz: Array,
    level_db: Array,
    uncertainty_db: Array,
    reference_hz: float,
    bass_us: float,
) -> tuple[tuple[str, float], ...] | None:
    """What takes most of the bass, with its chance, likeliest first and together 1.

    Args:
        frequency_hz: rising; shape (n,).
        level_db: level of each channel re that at the reference; shape (n, channels).
        uncertainty_db: half the 95 % interval of each; the same shape.
        reference_hz: the reference.
        bass_us: time constant of the bass for which the tape was made.

    Returns:
        None where too few tones lie in the bass, or the constant is none of the two.
    """
    is_used = frequency_hz <= UP_TO_HZ
    hz = frequency_hz[is_used]
    if bass_us not in BASS_US or (hz <= BASS_HZ).sum() < LEAST_TONES or reference_hz <= BASS_HZ:
        return None
    db, half = level_db[is_used].T, uncertainty_db[is_used].T
    (other,) = (us for us in BASS_US if us != bass_us)
    settings = _settings(hz, reference_hz, bass_us, other)
    falls, fall_prior = _falls(hz, reference_hz, len(db))
    # Shape (settings, falls, channels, n).
    model = settings[:, None, None, :] + falls[None]
    off = (db - LIFT_DB * _lift(hz) - model).reshape(len(settings), len(falls), -1)
    square = np.einsum("sfi,ij,sfj->sf", off, np.linalg.inv(_covariance(hz, half)), off)
    prior = np.array([1 - DECK_CHANCE - TAPE_CHANCE, DECK_CHANCE, TAPE_CHANCE])
    chance = prior[:, None] * fall_prior * np.exp(-(square - square.min()) / 2)
    at = int(np.abs(np.log(hz / SHOWN_HZ)).argmin())
    shares = _shares(settings[:, at], falls[:, :, at].mean(axis=1), chance / chance.sum())
    words = (RIGHT, DECK.format(other), TAPE.format(other), FALL)
    return tuple(sorted(zip(words, shares.tolist(), strict=True), key=lambda pair: -pair[1]))


def _settings(hz: Array, reference_hz: float, bass_us: float, other: float) -> Array:
    """Change by no mistake, by a deck and by a tape for the other constant; shape (3, n)."""
    both = np.append(hz, reference_hz)
    deck = mistaken_bass_db(both, bass_us, other)
    deck = deck[:-1] - deck[-1]
    return np.stack((np.zeros(len(hz)), deck, -deck))


def _falls(hz: Array, reference_hz: float, channels: int) -> tuple[Array, Array]:
    """Change by capacitors of no or each corner in each channel, and the prior of each.

    Shapes (falls, channels, n) and (falls,).
    """
    corners = np.append(0.0, CORNERS_HZ)
    both = np.append(hz, reference_hz)
    loss = -10 * np.log10(1 + (corners[:, None] / both) ** 2)
    loss = loss[:, :-1] - loss[:, -1:]
    count = len(CORNERS_HZ)
    if channels == 1:
        prior = np.append(1 - FALL_CHANCE, np.full(count, FALL_CHANCE / count))
        return loss[:, None, :], prior
    apart = np.log(CORNERS_HZ[:, None] / CORNERS_HZ) / CORNER_SPREAD
    together = np.exp(-(apart**2) / 2)
    one = (1 - ALIKE_CHANCE - UNLIKE_CHANCE) / 2
    prior = np.empty((count + 1, count + 1))
    prior[0, 0] = 1 - FALL_CHANCE
    prior[1:, 1:] = ALIKE_CHANCE * np.eye(count) / count + UNLIKE_CHANCE * together / together.sum()
    prior[0, 1:] = prior[1:, 0] = one / count
    prior[0, 1:] *= FALL_CHANCE
    prior[1:] *= FALL_CHANCE
    left, right = np.indices(prior.shape).reshape(2, -1)
    return np.stack((loss[left], loss[right]), axis=1), prior.ravel()


def _lift(hz: Array) -> Array:
    found: Array = np.exp(-hz / LIFT_TO_HZ)
    return found


def _covariance(hz: Array, half_db: Array) -> Array:
    """Of all that may be off without a cause, channel after channel; shape (both, both)."""
    channels = len(half_db)
    apart = np.log2(hz[:, None] / hz) / BUMP_OCTAVES
    ends = 1 / (1 + (hz / BUMPS_TO_HZ) ** 2)
    bumps = np.exp(-(apart**2) / 2) * np.outer(ends, ends)
    # The reference is a tone as well: when it is off, all are.
    shared = TAPE_DB**2 + BUMP_DB**2 * bumps
    shared = (
        shared + LIFT_SPREAD_DB**2 * np.outer(_lift(hz), _lift(hz)) + TAPE_DB**2 * np.eye(len(hz))
    )
    own = np.kron(np.eye(channels), BUMP_OF_ONE_DB**2 * bumps)
    scatter = np.diag(((half_db / 1.96) ** 2).ravel())
    found: Array = np.kron(np.ones((channels, channels)), shared) + own + scatter
    return found


def _shares(settings_db: Array, falls_db: Array, chance: Array) -> Array:
    """Chance that each cause changes most, nothing first."""
    by_setting, by_fall = np.broadcast_arrays(settings_db[:, None], falls_db[None])
    is_little = np.abs(by_setting + by_fall) < LITTLE_DB
    setting = np.broadcast_to(np.arange(len(settings_db))[:, None], chance.shape)
    first = np.where(np.abs(by_setting) >= np.abs(by_fall), setting, len(settings_db))
    first = np.where(is_little, 0, first)
    shares = np.bincount(first.ravel(), chance.ravel(), minlength=len(settings_db) + 1)
    return shares.astype(np.float64)
