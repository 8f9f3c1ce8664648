"""The signals that are recorded: levels, lengths, spectra, and that they are found again."""

from __future__ import annotations

from itertools import pairwise
from math import log2, pi

import numpy as np
import pytest
from simulated_deck import SimulatedDeck, Swing

from diag.errors import MeasureError
from diag.measure.lead_in import find_signals
from diag.measure.signals import RATES_HZ, MadeSound, pink_round, tape_of, with_lead_in
from diag.measure.sound import Array, Samples, Sound, seconds
from diag.measure.test_signal import (
    REFERENCE_DB,
    SIGNALS,
    PinkNoise,
    Rest,
    Signal,
    Sweep,
    Tone,
    lead_in,
    ratio,
    signal_named,
)

RATE = 48_000


def whole(sound: Sound, frames: int = 1 << 16) -> Array:
    """All samples."""
    return np.concatenate(list(sound.blocks(frames)))


def short(name: str, *pieces: Tone | Rest) -> MadeSound:
    """A signal's lead-in before pieces that take no minutes to make."""
    return MadeSound((*lead_in(SIGNALS[name]), *pieces, Rest(0.5)), RATE)


def joined(*sounds: MadeSound) -> Samples:
    """Several one after the other."""
    return Samples(np.concatenate([whole(sound) for sound in sounds]), RATE)


def test_blocks_are_alike_whatever_their_size() -> None:
    """Pieces don't shine through, and noise is the same each time."""
    made = MadeSound((Tone(1000, 0.5), PinkNoise(0.7), Sweep(40, 16_000, 0.6), Rest(0.1)), RATE)
    blocks = list(made.blocks(10_007))
    assert {len(block) for block in blocks[:-1]} == {10_007}
    assert sum(map(len, blocks)) == made.frames == round(1.9 * RATE)
    assert np.array_equal(np.concatenate(blocks), whole(made, 1 << 20))


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_tone_has_its_frequency_and_level_at_every_rate(rate_hz: int) -> None:
    """By a sum over whole periods, inside the fades."""
    values = whole(MadeSound((Tone(1000, 1.2, -12.0, channels=(1,)),), rate_hz))
    inner = values[rate_hz // 10 : rate_hz // 10 + rate_hz]
    at = np.arange(rate_hz) / rate_hz
    amplitude = abs(2 * np.mean(inner[:, 1] * np.exp(-2j * pi * 1000 * at)))
    assert amplitude == pytest.approx(10 ** (-12 / 20), abs=1e-9)
    assert not values[:, 0].any()


def test_sweep_runs_from_end_to_end() -> None:
    """It crosses zero twice a period; the middle of the time is the geometric mean."""
    values = whole(MadeSound((Sweep(100, 6400, 6, 0.0),), RATE))[:, 0]

    def hz_near(second: float) -> float:
        part = values[round((second - 0.05) * RATE) : round((second + 0.05) * RATE)]
        return float(np.count_nonzero(np.diff(np.signbit(part))) / 0.1 / 2)

    # 100 to 6400 Hz are six octaves in six seconds.
    for second in (1, 3, 5):
        assert hz_near(second) == pytest.approx(100 * 2**second, rel=0.03)


def test_noise_is_pink() -> None:
    """As much power in every octave of its band, root mean square 1, peaks below 15 dB."""
    values = pink_round(RATE)
    power = np.abs(np.fft.rfft(values)) ** 2
    hz = np.fft.rfftfreq(len(values), 1 / RATE)
    shares = [power[(hz >= low) & (hz < 2 * low)].sum() for low in (40, 320, 2560, 9000)]
    assert shares == pytest.approx([shares[1]] * 4, rel=0.01)
    assert shares[1] / power.sum() == pytest.approx(1 / log2(1000), rel=0.01)
    assert np.mean(values**2) == pytest.approx(1)
    assert np.abs(values).max() < 10 ** (15 / 20)


@pytest.mark.parametrize("name", SIGNALS)
def test_signal_says_what_it_is(name: str) -> None:
    """Sentences are there, levels leave head room, its length is that of its pieces."""
    signal = signal_named(name)
    assert signal.proves.endswith(".")
    assert signal.cannot.endswith(".")
    for piece in signal.pieces:
        # Noise peaks up to 15 dB above its root mean square.
        head_room = 15 if isinstance(piece, PinkNoise) else 0
        assert isinstance(piece, Rest) or piece.level_db + head_room < -1
    lead = sum(piece.seconds for piece in lead_in(signal))
    made = MadeSound(with_lead_in(signal), RATE)
    assert seconds(made) == pytest.approx(lead + signal.seconds + 1, abs=0.01)


def test_lead_ins_are_apart() -> None:
    """Ratios differ by more than a deck's flutter could do."""
    ratios = [ratio(signal) for signal in SIGNALS.values()]
    assert min(b / a for a, b in pairwise(ratios)) > 1.05


def test_unknown_signal_and_rate_are_told() -> None:
    """With what there is."""
    with pytest.raises(MeasureError, match="Did you mean 'azimuth'"):
        signal_named("azimut")
    with pytest.raises(MeasureError, match="47000 Hz is no rate that is written"):
        tape_of(("speed",), 47_000)


@pytest.mark.parametrize(
    "deck",
    [
        SimulatedDeck(),
        SimulatedDeck(speed_error=0.11, noise_db=-50, hum=((50, -26),)),
        SimulatedDeck(speed_error=-0.11, noise_db=-45, spacing_um=3, level_db=-15),
        SimulatedDeck(swings=(Swing(1, 0.01), Swing(8, 0.003)), noise_db=-45, cubic=0.3),
    ],
    ids=["sound", "fast", "slow", "flutter"],
)
def test_signals_are_found_again(deck: SimulatedDeck) -> None:
    """Which, where to a tenth of a second, and how fast; on decks that run off, hum and flutter."""
    tape = joined(short("level", Tone(315, 1)), short("erase", Tone(1000, 1)))
    found = find_signals(deck.play(tape, seconds=seconds(tape) / (1 + deck.speed_error)))
    assert [one.signal.name for one in found] == ["level", "erase"]
    for one, begin in zip(found, (0.0, 5.0), strict=True):
        assert one.speed == pytest.approx(1 + deck.speed_error, abs=0.012)
        assert not one.is_whole
        lead = sum(piece.seconds for piece in lead_in(one.signal))
        at = one.sound.first / RATE * (1 + deck.speed_error)
        assert at == pytest.approx(begin + lead + 0.125, abs=0.1)


def test_stretch_holds_the_signal_alone() -> None:
    """From the end of the lead-in to the end of the signal, without its edges."""
    signal = Signal(name="speed", says="", proves="", cannot="", pieces=(Tone(3150, 120),))
    made = MadeSound(with_lead_in(signal), RATE)
    (found,) = find_signals(made)
    assert found.is_whole
    begin = sum(piece.seconds for piece in lead_in(signal))
    assert found.sound.first / RATE == pytest.approx(begin + 0.125, abs=0.1)
    assert found.sound.last / RATE == pytest.approx(begin + 120 - 0.125, abs=0.15)
    inside = whole(found.sound)
    assert len(inside) == found.sound.frames
    # Every stretch of 10 ms is at full level.
    level = np.abs(inside[: len(inside) // 480 * 480, 0].reshape(-1, 480)).max(axis=1)
    assert level == pytest.approx(10 ** (REFERENCE_DB / 20), rel=0.02)


def test_music_and_lone_tones_are_no_lead_in() -> None:
    """Nothing is found where no lead-in is; noise and a steady 800 Hz least of all."""
    steady = MadeSound((Tone(800, 5), Rest(0.5), Tone(1000, 0.5), PinkNoise(3)), RATE)
    assert find_signals(steady) == ()
    wrong = MadeSound(
        (Tone(800, 0.5), Rest(0.15), Tone(900, 0.5), Rest(0.15), Tone(800, 0.5)), RATE
    )
    assert find_signals(wrong) == ()
    assert find_signals(Samples(np.zeros((100, 1)), RATE)) == ()
