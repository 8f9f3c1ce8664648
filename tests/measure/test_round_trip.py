"""Our own signals on random decks: what is measured holds the truth within its uncertainty."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import tau

import numpy as np
import pytest
from scipy.stats import binom
from simulated_deck import SimulatedDeck, Swing, pieces_on_tape

from diag.measure.catalogue import measure
from diag.measure.lead_in import find_signals
from diag.measure.signals import MadeSound
from diag.measure.sound import Samples, seconds
from diag.measure.test_signal import (
    LOW_DB,
    SIGNALS,
    STEPS_HZ,
    Piece,
    PinkNoise,
    Rest,
    Tone,
    lead_in,
)

Miss = tuple[str, float]
"""A figure, and by how much it misses the truth in units of its uncertainty."""
Told = Callable[[SimulatedDeck], Iterator[Miss]]


def capture(deck: SimulatedDeck, name: str, pieces: tuple[Piece, ...], rate_hz: int) -> Samples:
    """A signal, shortened to those pieces, on a deck."""
    made = MadeSound((*lead_in(SIGNALS[name]), *pieces, Rest(0.5)), rate_hz)
    left, right = (pieces_on_tape(made, channel) for channel in (0, 1))
    length = seconds(made) / (1 + deck.speed_error)
    return deck.play(left, right, seconds=length, rate_hz=rate_hz, seed=int(1e6 * length) % 10_007)


def random_deck(random: np.random.Generator) -> SimulatedDeck:
    """A deck with everything a little wrong."""
    return SimulatedDeck(
        speed_error=random.uniform(-0.03, 0.03),
        swings=tuple(
            Swing(rate, random.uniform(2e-4, 1.5e-3), random.uniform(0, tau))
            for rate in (random.uniform(0.8, 2), random.uniform(4, 9), random.uniform(12, 40))
        ),
        azimuth_arcmin=random.uniform(-10, 10),
        spacing_um=random.uniform(0, 0.6),
        cubic=random.uniform(0.1, 0.6),
        level_db=random.uniform(-6, 3),
        balance_db=random.uniform(-2, 2),
        noise_db=random.uniform(-65, -50),
        hum=((50, random.uniform(-75, -55)), (100, random.uniform(-75, -55))),
    )


def of_speed(deck: SimulatedDeck) -> Iterator[Miss]:
    """Speed over the stretch that was measured, and the size of its swings."""
    sound = capture(deck, "speed", (Tone(3150, 10),), 12_000)
    (found,) = find_signals(sound)
    stretch = found.sound
    place = deck.tape_time(seconds(sound), sound.rate_hz, np.random.default_rng(0))
    way = place[stretch.last - 1] - place[stretch.first]
    mean = way / (stretch.frames - 1) * sound.rate_hz - 1
    yield _miss("speed", sound, "speed_error_percent", 100 * mean)
    rms = np.hypot.reduce([swing.peak for swing in deck.swings]) / 2**0.5
    yield _miss("flutter", sound, "unweighted_rms_percent", 100 * rms / (1 + deck.speed_error))


def of_level(deck: SimulatedDeck) -> Iterator[Miss]:
    """Balance, and the third harmonic of the cubic bend: a quarter of its share, by sin cubed."""
    sound = capture(deck, "distortion", (Tone(333, 7),), 12_000)
    yield _miss("level", sound, "balance_db", -deck.balance_db)
    bend = deck.cubic * 10 ** (2 * -12 / 20)
    third = bend / 4 / (1 - 3 * bend / 4)
    lost_db = np.diff(deck.response_db((1 + deck.speed_error) * np.array([333.0, 999.0])))[0]
    percent = 100 * third * 10 ** (lost_db / 20)
    yield _miss("distortion", sound, "third_harmonic_left_percent", percent)


def of_azimuth(deck: SimulatedDeck) -> Iterator[Miss]:
    """From noise; the deck's delay stands for 0.9 mm between the tracks."""
    sound = capture(deck, "noise", (PinkNoise(5, LOW_DB + 10),), 32_000)
    yield _miss("azimuth", sound, "azimuth_arcmin", deck.azimuth_arcmin)


def of_response(deck: SimulatedDeck) -> Iterator[Miss]:
    """By the formulas of spacing loss, at the frequency that came out.

    Of a deck so dull and noisy that 10 kHz can't be found, nothing is told.
    """
    tones = (315, *STEPS_HZ)
    pieces = [Tone(hz, 4 if hz == 315 else 2, LOW_DB) for hz in tones]
    sound = capture(deck, "steps", tuple(pieces), 44_100)
    lost_db = np.diff(deck.response_db((1 + deck.speed_error) * np.array([315.0, 10_000.0])))[0]
    try:
        yield _miss("response", sound, "response_315_to_10k_db", float(lost_db))
    except KeyError:
        assert any("Not found: 10 kHz" in remark for remark in measure("response", sound).remarks)


def _miss(what: str, sound: Samples, key: str, truth: float) -> Miss:
    figure = measure(what, sound)[key]
    return key, (figure.value - truth) / figure.uncertainty


def misses(told: Told, decks: int, seed: int) -> dict[str, list[float]]:
    """Of every figure on so many decks."""
    random = np.random.default_rng(seed)
    found: dict[str, list[float]] = {}
    for _ in range(decks):
        for key, miss in told(random_deck(random)):
            found.setdefault(key, []).append(miss)
    return found


@pytest.mark.parametrize(
    ("told", "decks"), [(of_speed, 20), (of_level, 20), (of_azimuth, 6), (of_response, 2)]
)
def test_truth_lies_within_the_uncertainty(told: Told, decks: int) -> None:
    """In 95 of 100 cases; fewer than here come up once in some hundred runs by chance alone."""
    least = int(binom.ppf(0.01, decks, 0.95))
    for key, found in misses(told, decks, seed=1).items():
        assert sum(abs(miss) <= 1 for miss in found) >= least, (key, found)
        # Three times as wide an interval holds it always, as good as.
        assert max(map(abs, found)) < 3, (key, found)


@pytest.mark.proof
@pytest.mark.parametrize("told", [of_speed, of_level, of_azimuth, of_response])
def test_truth_lies_within_the_uncertainty_on_many_decks(told: Told) -> None:
    """Of 200 decks 182 at least: fewer come up once in some hundred runs by chance alone."""
    for key, found in misses(told, 200, seed=2).items():
        assert len(found) >= 196, key
        least = binom.ppf(0.01, len(found), 0.95)
        assert sum(abs(miss) <= 1 for miss in found) >= least, (key, found)
