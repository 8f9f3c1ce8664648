"""What a loss or lift of treble looks like: every mixture of a few causes, weighed by its fit.

The causes are spacing, azimuth, a gap worn open, the other equalisation, and a roll-off after the
head. Each is absent or has one size; a mixture's chance is its prior times the likelihood of the
levels (Bayes). Azimuth and gap bend the treble in one and the same way, so that levels alone never
tell them apart; the phase between two channels does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.measure.equalisation import TREBLE_US, mistaken_db
from diag.measure.losses import azimuth_loss_db, gap_loss_db, spacing_loss_db
from diag.measure.sound import Array

Places: TypeAlias = NDArray[np.signedinteger]

FROM_HZ = 250.0
"""Below it the shape of the head matters, not these causes."""
SHOWN_HZ = 10_000.0
"""Causes are ranked by what they take here, or at the highest tone below."""
LITTLE_DB = 1.5
TAPE_DB = 0.5
"""Standard deviation of a tone of a sound deck and tape about flat (from memory)."""
GAP_UM = 1.0
"""A usual gap, for whose loss the deck makes up (from memory)."""

# Chance of each cause on a deck whose response is looked at, and the spread of its size: all from
# memory, but for azimuth, which three decks of ten have by common practice.
SPACING_CHANCE, SPACING_MEAN_UM = 0.35, 0.4
AZIMUTH_CHANCE, AZIMUTH_SPREAD_ARCMIN = 0.30, 12.0
GAP_CHANCE = 0.10
SETTING_CHANCE = 0.10
ROLL_OFF_CHANCE = 0.10

SPACING_UM = np.concatenate((np.arange(0.02, 0.5, 0.02), np.arange(0.5, 3.01, 0.1)))
AZIMUTH_ARCMIN = np.concatenate((np.arange(1.0, 16.0, 1.0), np.arange(16.0, 27.0, 2.0)))
GAPS_UM = np.array([1.25, 1.5, 1.75, 2.0, 2.5, 3.0])
ROLL_OFF_HZ = np.array([5e3, 6.3e3, 8e3, 1e4, 1.25e4, 1.6e4, 2e4])
NODES = np.linspace(-2.4, 2.4, 7)
HEAD_HALVES_ARCMIN = 1.5
"""Spread of the azimuth read from the phase by gaps out of line (from memory)."""

NOTHING = "the treble is right"
SPACING = "tape kept off the head: dirt, wear, pad"
AZIMUTH = "azimuth"
GAP = "gap worn open"
SETTING = "deck at {:g} µs"
ROLL_OFF = "a fall after the head, in leads or amplifier"


@dataclass(frozen=True, slots=True)
class Interval:
    """Middle of what is believed of a size, and half its 95 % interval."""

    value: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class Treble:
    """What the treble looks like.

    Attributes:
        likely: the cause that takes most, with its chance; likeliest first, together 1.
        spacing_um: space between tape and head that goes with it.
        azimuth_arcmin: azimuth that goes with it; without a sign unless the phase gave one.
        gap_um: gap that goes with it.
        misfit: chance that a right mixture fits no better than the best one does.
    """

    likely: tuple[tuple[str, float], ...]
    spacing_um: Interval
    azimuth_arcmin: Interval
    gap_um: Interval
    misfit: float


@dataclass(frozen=True, slots=True, eq=False)
class _Cause:
    """Sizes of one cause, their prior, and the change in dB of each: shape (sizes, n)."""

    sizes: Array
    prior: Array
    change_db: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """How the tape was played: its time constant, the speed, a track's width, azimuth if known.

    `azimuth` is what the phase says, with half its 95 % interval.
    """

    replay_us: float
    speed_mm_s: float
    width_mm: float
    azimuth: tuple[float, float] | None = None


def explain_treble(
    frequency_hz: Array, level_db: Array, uncertainty_db: Array, reference_hz: float, how: Replay
) -> Treble:
    """Weigh the causes against levels re the reference, from 250 Hz up.

    Args:
        frequency_hz: rising; shape (n,).
        level_db: level re that at the reference; shape (n,).
        uncertainty_db: half the 95 % interval of each; shape (n,).
        reference_hz: the reference.
        how: how the tape was played.
    """
    is_used = frequency_hz >= FROM_HZ
    hz, db = frequency_hz[is_used], level_db[is_used]
    variance = (uncertainty_db[is_used] / 1.96) ** 2 + TAPE_DB**2
    causes = _causes(hz, reference_hz, how)
    shape = tuple(len(cause.sizes) for cause in causes)
    places = np.indices(shape).reshape(len(shape), -1)
    model = sum(
        (cause.change_db[place] for cause, place in zip(causes, places, strict=True)),
        np.zeros((places.shape[1], len(hz))),
    )
    prior = np.ones(places.shape[1])
    for cause, place in zip(causes, places, strict=True):
        prior *= cause.prior[place]
    square = _square(db - model, variance)
    chance = prior * np.exp(-(square - square.min()) / 2)
    chance /= chance.sum()
    sizes = [_interval(_sums(p, chance), c.sizes) for p, c in zip(places, causes, strict=True)]
    return Treble(
        _ranked(causes, places, chance, hz, how),
        spacing_um=sizes[0],
        azimuth_arcmin=sizes[1],
        gap_um=sizes[2],
        misfit=_misfit(float(square.min()), len(hz)),
    )


def _causes(hz: Array, reference_hz: float, how: Replay) -> tuple[_Cause, ...]:
    both = np.append(hz, reference_hz)
    speed = how.speed_mm_s

    def re_reference(changes: list[Array]) -> Array:
        table = np.array(changes)
        return table[:, :-1] - table[:, -1:]

    spacing = np.append(0.0, SPACING_UM)
    slab = np.gradient(SPACING_UM) * np.exp(-SPACING_UM / SPACING_MEAN_UM)
    azimuth, azimuth_prior = _azimuths(how)
    gaps = np.append(GAP_UM, GAPS_UM)
    others = [us for us in TREBLE_US if us != how.replay_us] if how.replay_us in TREBLE_US else []
    settings = np.array([how.replay_us, *others])
    corners = np.append(np.inf, ROLL_OFF_HZ)
    usual = gap_loss_db(both, GAP_UM, speed)
    return (
        _Cause(
            spacing,
            _spiked(SPACING_CHANCE, slab),
            re_reference([spacing_loss_db(both, size, speed) for size in spacing]),
        ),
        _Cause(
            azimuth,
            azimuth_prior,
            re_reference([azimuth_loss_db(both, size, how.width_mm, speed) for size in azimuth]),
        ),
        _Cause(
            gaps,
            _spiked(GAP_CHANCE, np.ones(len(GAPS_UM))),
            re_reference([gap_loss_db(both, size, speed) - usual for size in gaps]),
        ),
        _Cause(
            settings,
            _spiked(SETTING_CHANCE if others else 0.0, np.ones(len(others))),
            re_reference([mistaken_db(both, how.replay_us, us) for us in settings]),
        ),
        _Cause(
            corners,
            _spiked(ROLL_OFF_CHANCE, np.ones(len(ROLL_OFF_HZ))),
            re_reference([-10 * np.log10(1 + (both / corner) ** 2) for corner in corners]),
        ),
    )


def _azimuths(how: Replay) -> tuple[Array, Array]:
    """Sizes and prior of the azimuth: about what the phase says, else what is usual."""
    if how.azimuth is not None:
        angle, half = how.azimuth
        sizes = angle + NODES * np.hypot(half / 1.96, HEAD_HALVES_ARCMIN)
        weight = np.exp(-(NODES**2) / 2)
        return sizes, weight / weight.sum()
    slab = np.gradient(AZIMUTH_ARCMIN) * np.exp(
        -((AZIMUTH_ARCMIN / AZIMUTH_SPREAD_ARCMIN) ** 2) / 2
    )
    return np.append(0.0, AZIMUTH_ARCMIN), _spiked(AZIMUTH_CHANCE, slab)


def _spiked(chance: float, slab: Array) -> Array:
    """Absent first, then the sizes by their weights."""
    return np.append(1 - chance, chance * slab / slab.sum() if len(slab) else slab)


def _square(off: Array, variance: Array) -> Array:
    """Squares of deviations, where all may be shifted together by as much as one tone."""
    weight = 1 / variance
    shift = (off @ weight) ** 2 / (1 / TAPE_DB**2 + weight.sum())
    found: Array = (off**2) @ weight - shift
    return found


def _sums(place: Places, chance: Array) -> Array:
    return np.bincount(place, chance).astype(np.float64)


def _interval(chance: Array, sizes: Array) -> Interval:
    order = np.argsort(sizes, kind="stable")
    sizes, total = sizes[order], np.cumsum(chance[order])
    low, middle, high = (
        float(sizes[min(int(np.searchsorted(total, q)), len(sizes) - 1)])
        for q in (0.025, 0.5, 0.975)
    )
    finest = float(np.diff(sizes).min())
    return Interval(middle, max(middle - low, high - middle, finest))


def _ranked(
    causes: tuple[_Cause, ...], places: Places, chance: Array, hz: Array, how: Replay
) -> tuple[tuple[str, float], ...]:
    at = int(np.searchsorted(hz, SHOWN_HZ * 1.001)) - 1
    changes = np.array(
        [cause.change_db[place, at] for cause, place in zip(causes, places, strict=True)]
    )
    biggest = np.abs(changes).argmax(axis=0)
    is_little = np.abs(changes.sum(axis=0)) < LITTLE_DB
    shares = np.bincount(np.where(is_little, 0, 1 + biggest), chance, minlength=6)
    other = next((us for us in TREBLE_US if us != how.replay_us), how.replay_us)
    words = (NOTHING, SPACING, AZIMUTH, GAP, SETTING.format(other), ROLL_OFF)
    ranked = sorted(zip(words, shares.tolist(), strict=True), key=lambda pair: -pair[1])
    return tuple((word, share) for word, share in ranked if share > 0)


def _misfit(square: float, count: int) -> float:
    from scipy.special import chdtrc

    return float(chdtrc(count, square))
