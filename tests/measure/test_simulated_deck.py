"""The oracle itself: what it plays has the faults that it was given."""

from __future__ import annotations

from math import log10, pi

import numpy as np
import pytest
from simulated_deck import (
    TAPE_SPEED_MM_S,
    Dropout,
    SimulatedDeck,
    Swing,
    pieces_on_tape,
    sound_on_tape,
    tone,
    tones,
    white,
)

from diag.measure.signals import MadeSound
from diag.measure.sound import Samples
from diag.measure.test_signal import PinkNoise, Rest, Sweep, Tone

RATE = 48_000


def part(values: np.ndarray, hz: float) -> complex:
    """Amplitude and phase of a frequency of which the values hold whole periods."""
    at = np.arange(len(values)) / RATE
    return complex(2 * np.mean(values * np.exp(-2j * pi * hz * at)) * 1j)


def test_sound_deck_plays_what_is_recorded() -> None:
    """Without faults the tone comes back to rounding."""
    found = SimulatedDeck().play(tone(1000, -6), seconds=1)
    wanted = 10 ** (-6 / 20) * np.sin(2 * pi * 1000 * np.arange(RATE) / RATE)
    assert found.values == pytest.approx(np.stack([wanted, wanted], axis=1), abs=1e-9)


def test_speed_moves_the_tone() -> None:
    """By 2 % of speed, 1000 Hz become 1020."""
    values = SimulatedDeck(speed_error=0.02).play(tone(1000, 0), seconds=1).values[:, 0]
    assert abs(part(values, 1020)) == pytest.approx(1, abs=1e-6)


def test_flutter_gives_the_side_tones_of_frequency_modulation() -> None:
    """First side tone: half the modulation index, 3000 Hz * 0.1 % / 4 Hz = 0.75 (Bessel, J1)."""
    deck = SimulatedDeck(swings=(Swing(4, 0.001),))
    values = deck.play(tone(3000, 0), seconds=1).values[:, 0]
    # J0(0.75) and J1(0.75), from tables of Bessel functions.
    assert abs(part(values, 3000)) == pytest.approx(0.86424, abs=1e-4)
    assert abs(part(values, 3004)) == pytest.approx(0.34924, abs=1e-4)


def test_tape_time_is_the_integral_of_speed() -> None:
    """Both are written apart; a fine sum of one is the other."""
    deck = SimulatedDeck(
        speed_error=-0.01, drift=0.004, swings=(Swing(7, 0.002, 1.0),), random_flutter=0.001
    )
    speed = deck.speed(5, RATE, np.random.default_rng(3))
    place = deck.tape_time(5, RATE, np.random.default_rng(3))
    summed = np.concatenate([[0], np.cumsum((speed[1:] + speed[:-1]) / 2) / RATE])
    assert place == pytest.approx(summed, abs=1e-9)
    steady = SimulatedDeck(speed_error=-0.01, drift=0.004, swings=(Swing(0.3, 0.002, 1.0),))
    mean = steady.tape_time(5, RATE, np.random.default_rng(3))[-1] / (5 - 1 / RATE)
    assert steady.mean_speed_error(5) == pytest.approx(mean - 1, abs=1e-6)


def test_random_flutter_has_the_size_that_is_asked() -> None:
    """Over a long time; 100 s of a band of 100 Hz scatter by some 1 %."""
    speed = SimulatedDeck(random_flutter=0.001).speed(100, 6000, np.random.default_rng(1))
    assert np.std(speed) == pytest.approx(0.001, rel=0.03)


def test_azimuth_delays_the_right_channel() -> None:
    """One minute of arc over 0.9 mm at 4.7625 cm/s is 5.50 µs, 19.79° at 10 kHz (computed)."""
    deck = SimulatedDeck(azimuth_arcmin=1)
    assert deck.delay_us == pytest.approx(5.497, abs=0.001)
    values = deck.play(tone(10_000, 0), seconds=1).values
    turn = np.angle(part(values[:, 0], 10_000) / part(values[:, 1], 10_000), deg=True)
    assert turn == pytest.approx(19.79, abs=0.01)


@pytest.mark.parametrize(
    ("deck", "hz", "wanted_db"),
    [
        # Computed from the formulas of Wallace and of the gap, from the time constants, and from
        # sin x / x over the track; the same figures stand in published tables of such losses.
        (SimulatedDeck(spacing_um=1), 10_000, -11.46),
        (SimulatedDeck(gap_um=1.0), 10_000, -0.79),
        (SimulatedDeck(azimuth_arcmin=10, azimuth_loss=True), 10_000, -2.01),
        (SimulatedDeck(recorded_us=70, replay_us=120), 10_000, 4.53 - 0.15 + 0.145),
    ],
)
def test_losses_are_those_of_the_formulas(deck: SimulatedDeck, hz: float, wanted_db: float) -> None:
    """Read from what is played, not from the gain that was put in."""
    values = deck.play(tone(hz, 0), seconds=1).values[:, 0]
    # The edges of the capture ring a little.
    inner = values[RATE // 4 : RATE * 3 // 4]
    assert 20 * log10(abs(part(inner, hz))) == pytest.approx(wanted_db, abs=0.02)


def test_levels_are_what_is_asked() -> None:
    """Gain, balance, crosstalk, hum, noise and the third harmonic."""
    deck = SimulatedDeck(level_db=-3, balance_db=-2, crosstalk_db=-30, cubic=0.1, hum=((100, -50),))
    values = deck.play(tone(1000, 0), tones(), seconds=1).values
    first, third = abs(part(values[:, 0], 1000)), abs(part(values[:, 0], 3000))
    # x - 0.1 x^3: the first is 1 - 0.075, the third 0.025 (by sin^3).
    assert 20 * log10(first / 0.925) == pytest.approx(-3, abs=1e-6)
    assert third / first == pytest.approx(0.025 / 0.925, abs=1e-6)
    assert 20 * log10(abs(part(values[:, 1], 1000)) / 0.925) == pytest.approx(-35, abs=1e-6)
    assert 20 * log10(abs(part(values[:, 0], 100))) == pytest.approx(-50, abs=1e-6)
    noise = SimulatedDeck(noise_db=-60).play(tones(), seconds=4).values
    assert 20 * log10(np.std(noise)) == pytest.approx(-60, abs=0.05)


def test_dropout_lowers_its_channel_for_its_time() -> None:
    """Full depth within, nothing outside nor in the other channel."""
    deck = SimulatedDeck(dropouts=(Dropout(0.5, 0.1, 20, channel=1),))
    values = deck.play(tone(1000, 0), seconds=1).values
    assert abs(part(values[25_200:27_600, 1], 1000)) == pytest.approx(0.1, abs=1e-6)
    assert abs(part(values[25_200:27_600, 0], 1000)) == pytest.approx(1, abs=1e-6)
    assert abs(part(values[:22_800, 1], 1000)) == pytest.approx(1, abs=1e-6)


def test_recorded_sound_is_read_between_its_samples() -> None:
    """As good as the tone itself, to 90 dB, up to 0.4 of the rate."""
    for hz in (315, 6300, 19_000):
        held = tone(hz, 0)(np.arange(RATE) / RATE)
        at = np.linspace(0.1, 0.9, 5000)
        assert sound_on_tape(Samples(held[:, None], RATE))(at) == pytest.approx(
            tone(hz, 0)(at), abs=3e-5
        )


def test_test_tape_is_played_as_it_was_made() -> None:
    """At nominal speed, sample by sample, pieces of every kind."""
    pieces = (Rest(0.1), Tone(1000, 0.2, channels=(1,)), PinkNoise(0.5), Sweep(40, 16_000, 0.4))
    made = MadeSound(pieces, RATE)
    left, right = (pieces_on_tape(made, channel) for channel in (0, 1))
    wanted = np.concatenate(list(made.blocks(1 << 16)))
    found = SimulatedDeck().play(left, right, seconds=1.2)
    assert found.values == pytest.approx(wanted, abs=1e-4)


def test_faster_deck_shortens_noise() -> None:
    """White noise played 1 % fast is over sooner; both channels carry it."""
    found = SimulatedDeck(speed_error=0.01).play(white(2), seconds=2).values
    assert np.abs(found[: RATE * 19 // 10]).max() > 0.1
    assert not found[round(RATE * 2 / 1.01) + 100 :].any()
    assert found[:, 0] == pytest.approx(found[:, 1])
    assert TAPE_SPEED_MM_S == 1.875 * 25.4
