"""The delay between two channels, from their cross spectrum: its mean, its course, its scatter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.errors import MeasureError
from diag.measure.sound import Array, Sound
from diag.measure.windows import count_windows, taper, window_size, windows

Complex: TypeAlias = NDArray[np.complex128]

WINDOW_SECONDS = 0.085
LOWEST_HZ, HIGHEST_HZ = 200.0, 18_000.0
DEPTH = 10**-7.5
"""Power re the strongest below which side lobes of the taper may stand for a signal."""
FALSE_ALARM = 1e-3
"""Chance that two channels of unlike noise seem to have anything in common."""
LOBE_BINS = 8
"""As wide as the main lobe of the taper is; about any bin of a lobe this holds all of it."""
BANDS_AN_OCTAVE = 6
ALIKE_RAD = 0.06
"""Phase by which the channels of a deck and a card differ by themselves (from memory)."""
STEP_S = 1e-6
INVERTED_LEAD = 10.0
"""Natural log of the odds from which on one channel is taken to be inverted."""
NEGLIGIBLE = 0.01
PARTS = 20
LEAST_PARTS = 8
WINDOWS_A_PART = 8
QUIET = 0.1
"""Windows that say less than this share of the most telling ones are left out of the course."""


@dataclass(frozen=True, slots=True, eq=False)
class Common:
    """What two channels have in common, bin by bin.

    Attributes:
        rate_rad_s: angular frequency of each bin kept, rising; shape (bins,).
        bins: their places in the spectrum of a window.
        cross: left times conjugate right, summed over the windows.
        weight: weight of a bin's cross power, so that its phase counts by how sure it is.
        sure: one over the variance of a bin's phase in rad².
        size: samples of a window.
    """

    rate_rad_s: Array
    bins: NDArray[np.intp]
    cross: Complex
    weight: Array
    sure: Array
    size: int


@dataclass(frozen=True, slots=True)
class Choice:
    """Delays that fit, with their chances, the likeliest first; a channel may be inverted."""

    delays_s: tuple[float, ...]
    chances: tuple[float, ...]
    is_inverted: bool


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """How the delay goes on through the sound.

    Attributes:
        uncertainty_s: half the width of the 95 % interval of the mean delay.
        at_s: middle of each window that tells something.
        delays_s: delay in it.
        weave_s: root mean square of the true wandering, and its uncertainty.
    """

    uncertainty_s: float
    at_s: Array
    delays_s: Array
    weave_s: tuple[float, float]


def in_common(sound: Sound) -> Common:
    """Go through a sound of two channels once and keep the bins in which they agree.

    Raises:
        MeasureError: both channels are the same, sample for sample.
    """
    size = window_size(sound.rate_hz, WINDOW_SECONDS)
    power = np.zeros((2, size // 2 + 1))
    cross = np.zeros(size // 2 + 1, dtype=np.complex128)
    is_same = True
    for spectra in _spectra(sound, size):
        power += (np.abs(spectra) ** 2).sum(axis=0)
        cross += (spectra[:, 0] * spectra[:, 1].conj()).sum(axis=0)
        is_same = is_same and bool(np.array_equal(spectra[:, 0], spectra[:, 1]))
    if is_same:
        raise MeasureError(
            "both channels are the same, sample for sample.",
            do="Record in stereo; the card or the program has made one channel of the two.",
        )
    hz = np.fft.rfftfreq(size, 1 / sound.rate_hz)
    count = count_windows(sound.frames, size)
    product = power[0] * power[1]
    power_of_both = np.sqrt(product)
    about = np.maximum(_about(power_of_both), 1e-300)
    is_heard = (hz >= LOWEST_HZ) & (hz <= min(HIGHEST_HZ, 0.45 * sound.rate_hz))
    is_heard &= power_of_both > power_of_both.max() * DEPTH
    agree = np.zeros_like(product)
    agree[is_heard] = np.abs(cross[is_heard]) ** 2 / product[is_heard]
    chance = FALSE_ALARM / max(1, is_heard.sum())
    keep = np.flatnonzero(is_heard & (agree > 1 - chance ** (1 / (count - 1))))
    # Chance alone makes 1/count; what is left is never taken for perfect.
    true = np.clip((agree[keep] - 1 / count) / (1 - 1 / count), 1e-6, 1 - 1e-4)
    odds = true / (1 - true)
    return Common(
        rate_rad_s=np.asarray(2 * np.pi * hz[keep], dtype=np.float64),
        bins=keep,
        cross=cross[keep],
        weight=odds / about[keep],
        sure=2 * count * odds,
        size=size,
    )


def _about(power: Array) -> Array:
    """Sums over the bins about each: a tone counts once, whatever its lobe spreads over."""
    found: Array = np.convolve(power, np.ones(2 * LOBE_BINS + 1), "same")
    return found


def choose(common: Common, delays_s: Array, usual: Array) -> Choice:
    """The delays that fit the phases, by likelihood and by how usual they are.

    A band of a sixth of an octave counts by its phase, which is known no better than the channels
    of the electronics are alike.

    Args:
        common: of two channels.
        delays_s: delays to look at, rising in steps of `STEP_S`.
        usual: natural log of the prior density of each.
    """
    fit = _fit(common, delays_s)
    is_inverted = bool((usual - fit).max() > (usual + fit).max() + INVERTED_LEAD)
    total = usual - fit if is_inverted else usual + fit
    inner = total[1:-1]
    peaks = 1 + np.flatnonzero((inner >= total[:-2]) & (inner > total[2:]))
    if not len(peaks):
        peaks = np.array([int(total.argmax())])
    peaks = peaks[np.argsort(-total[peaks], kind="stable")]
    chances = np.exp(total[peaks] - total[peaks[0]])
    chances /= chances.sum()
    is_kept = chances >= NEGLIGIBLE
    cross = -common.cross if is_inverted else common.cross
    found = [_refined(common, cross, float(delays_s[peak])) for peak in peaks[is_kept]]
    kept = chances[is_kept] / chances[is_kept].sum()
    return Choice(tuple(found), tuple(kept.tolist()), is_inverted)


def bands_of(common: Common) -> tuple[Array, NDArray[np.intp]]:
    """Middle of each band in rad/s, and the band of each bin."""
    octave = np.round(np.log2(common.rate_rad_s) * BANDS_AN_OCTAVE).astype(np.intp)
    _, band = np.unique(octave, return_inverse=True)
    middle = np.bincount(band, common.rate_rad_s * common.sure) / np.bincount(band, common.sure)
    return middle, band


def phases(common: Common, delay_s: float, is_inverted: bool) -> Array:
    """Phase in rad by which the right channel comes late, band by band, near that of a delay."""
    middle, band = bands_of(common)
    turned = common.weight * common.cross * np.exp(-1j * common.rate_rad_s * delay_s)
    rest = np.bincount(band, turned.real) + 1j * np.bincount(band, turned.imag)
    found: Array = middle * delay_s + np.angle(-rest if is_inverted else rest)
    return found


def follow(sound: Sound, common: Common, choice: Choice) -> Course:
    """Go through the sound again for the delay of each window about the likeliest one."""
    count = count_windows(sound.frames, common.size)
    part = np.arange(count) * max(LEAST_PARTS, min(PARTS, count // WINDOWS_A_PART)) // count
    push, pull, own = (
        np.concatenate(series) for series in zip(*_pushes(sound, common, choice), strict=True)
    )
    each_push, each_pull = np.bincount(part, push), np.bincount(part, pull)
    without = (each_push.sum() - each_push) / (each_pull.sum() - each_pull)
    at_s = (np.arange(count) + 1) * common.size / 2 / sound.rate_hz
    telling = pull > QUIET * np.quantile(pull, 0.9)
    return Course(
        uncertainty_s=_half_width(without),
        at_s=at_s[telling],
        delays_s=own[telling],
        weave_s=_weave(own, telling, part),
    )


def _pushes(sound: Sound, common: Common, choice: Choice) -> Iterator[tuple[Array, Array, Array]]:
    """For each window: slope and curvature of the fit at the likeliest delay, and its own delay."""
    rate = common.rate_rad_s
    delay_s = choice.delays_s[0]
    turn = np.exp(-1j * rate * delay_s) * (-1 if choice.is_inverted else 1)
    first, second = common.weight * rate, common.weight * rate**2
    # A window may be off by as much as takes the treble round by a right angle.
    mean_rad_s = (second * np.abs(common.cross)).sum() / (first * np.abs(common.cross)).sum()
    furthest_s = np.pi / 2 / mean_rad_s
    for spectra in _spectra(sound, common.size, common.bins):
        turned = spectra[:, 0] * spectra[:, 1].conj() * turn
        push, pull = turned.imag @ first, turned.real @ second
        # Exact for a tone however far off, and the first step of the search for noise.
        own = np.arctan2(push * mean_rad_s, pull) / mean_rad_s
        again = turned * np.exp(-1j * np.outer(own, rate))
        step = (again.imag @ first) / np.maximum(again.real @ second, 1e-30)
        yield push, pull, delay_s + own + np.clip(step, -furthest_s, furthest_s)


def _spectra(sound: Sound, size: int, bins: NDArray[np.intp] | None = None) -> Iterator[Complex]:
    shape = taper(size)
    for cut in windows(sound, size):
        spectra = np.fft.rfft(cut * shape, axis=-1)
        yield spectra if bins is None else spectra[:, :, bins]


def _fit(common: Common, delays: Array) -> Array:
    """Natural log of the likelihood of delays, up to a constant."""
    _, band = bands_of(common)
    size = np.abs(common.cross) * common.weight
    in_band = np.bincount(band, size)
    sure = 1 / (ALIKE_RAD**2 + 1 / np.bincount(band, common.sure))
    share = sure[band] * common.weight * common.cross / in_band[band]
    found: Array = np.concatenate(
        [
            (np.exp(-1j * np.outer(some, common.rate_rad_s)) @ share).real
            for some in np.array_split(delays, max(1, len(delays) // 64))
        ]
    )
    return found


def _refined(common: Common, cross: Complex, delay_s: float) -> float:
    """The delay near one at which the cross power, by its weights, is in phase."""
    rate = common.rate_rad_s
    for _ in range(6):
        turned = common.weight * cross * np.exp(-1j * rate * delay_s)
        pull = float((rate**2 * turned.real).sum())
        if pull <= 0:
            break
        step = float((rate * turned.imag).sum()) / pull
        delay_s += min(max(step, -5 * STEP_S), 5 * STEP_S)
    return delay_s


def _half_width(without: Array) -> float:
    """Half the 95 % interval of a mean from what it is with each part left out."""
    from scipy.special import stdtrit

    parts = len(without)
    variance = (parts - 1) / parts * ((without - without.mean()) ** 2).sum()
    return float(stdtrit(parts - 1, 0.975) * np.sqrt(variance))


def _weave(own: Array, telling: NDArray[np.bool_], part: NDArray[np.intp]) -> tuple[float, float]:
    """Root mean square of what neighbouring windows share, and its uncertainty.

    Their noise is not shared, so that it falls out of the product. What is lost by the time
    between neighbours is found from the next but one, as on a parabola.
    """
    off = np.where(telling, own - own[telling].mean(), 0.0)
    once, twice = off[:-2] * off[1:-1], off[:-2] * off[2:]
    is_told = telling[:-2] & telling[1:-1] & telling[2:]
    if is_told.sum() < LEAST_PARTS:
        return 0.0, 0.0
    of_part = part[:-2][is_told]
    sums = np.bincount(of_part, ((4 * once - twice) / 3)[is_told])
    counts = np.bincount(of_part)
    sums, counts = sums[counts > 0], counts[counts > 0]
    square = sums.sum() / counts.sum()
    reach = _half_width((sums.sum() - sums) / (counts.sum() - counts)) if len(sums) > 1 else 0.0
    weave = float(np.sqrt(max(square, 0.0)))
    above = float(np.sqrt(max(square, 0.0) + reach)) - weave
    below = weave - float(np.sqrt(max(square - reach, 0.0)))
    return weave, max(above, below)
