"""A capture of our own signals is measured on the signal that serves, and says where not."""

from __future__ import annotations

import numpy as np
import pytest
from measure.two_tracks import noise
from simulated_deck import SimulatedDeck, Swing, pieces_on_tape, tone

from diag.errors import MeasureError
from diag.measure.catalogue import MEASURES, Known, measure, measure_all
from diag.measure.result import Measurement
from diag.measure.signals import tape_of
from diag.measure.sound import Samples, seconds
from diag.measure.tape_geometry import SPEED_MM_S, STEREO_ON_3_81_MM, delay_of
from diag.measure.test_signal import SERVED_BY, SIGNALS

RATE = 48_000


def played(deck: SimulatedDeck, *names: str) -> Samples:
    """What a deck makes of a test tape of those signals."""
    tape = tape_of(names, RATE)
    left, right = (pieces_on_tape(tape, channel) for channel in (0, 1))
    return deck.play(left, right, seconds=seconds(tape) / (1 + deck.speed_error), seed=5)


def test_each_measurement_is_served_by_signals_that_are_there() -> None:
    """And every signal serves for something."""
    assert set(MEASURES) <= set(SERVED_BY)
    for served in SERVED_BY.values():
        for name, piece in served:
            assert piece is None or piece < len(SIGNALS[name].pieces)
    assert all(signal.serves for signal in SIGNALS.values())


def test_level_signal_gives_balance_and_separation() -> None:
    """Each from its own piece, on a deck that runs 3 % fast."""
    deck = SimulatedDeck(speed_error=0.03, balance_db=-1.5, crosstalk_db=-32, noise_db=-70)
    found = measure("level", played(deck, "level"))
    # Both channels have the tone, so that crosstalk adds alike to both.
    assert found["balance_db"].value == pytest.approx(1.5, abs=0.02)
    assert found["level_dbfs"].value == pytest.approx(-12 + 0.215, abs=0.02)
    # Crosstalk comes before the balance: -33.5 dB into the right, -30.5 dB into the left channel.
    assert found["separation_left_db"].value == pytest.approx(33.5, abs=0.1)
    assert found["separation_right_db"].value == pytest.approx(30.5, abs=0.1)
    assert found["separation_db"].value == found["separation_right_db"].value
    assert "test signal 'level', 4 s into" in found.remarks[0]
    assert found.remarks[1] == SIGNALS["level"].cannot


def test_noise_is_told_against_the_tone_of_the_same_capture() -> None:
    """The tone peaks at -12 dB, and levels are told re a sine that fills the scale."""
    capture = played(SimulatedDeck(noise_db=-60), "distortion", "silence")
    found = measure("noise", Samples(capture.values[: 52 * RATE], RATE))
    up = found["noise_unweighted_db"].value - found["noise_unweighted_dbfs"].value
    assert up == pytest.approx(12, abs=0.02)


def test_signal_that_is_not_there_is_asked_for() -> None:
    """A tape of other signals is not measured as if it were one tone."""
    capture = played(SimulatedDeck(noise_db=-60), "silence")
    with pytest.raises(MeasureError, match="holds 'silence'; azimuth needs 'azimuth' or 'noise'"):
        measure("azimuth", capture)
    told = measure_all(capture)
    assert isinstance(told["noise"], Measurement)
    assert isinstance(told["azimuth"], MeasureError)
    assert list(told) == list(MEASURES)


def test_cut_off_signal_is_told() -> None:
    """A tape that was not recorded to its end: what is there counts, the rest is asked for."""
    capture = played(SimulatedDeck(noise_db=-80), "level")
    cut = Samples(capture.values[: 26 * RATE], RATE)
    found = measure("level", cut)
    assert found["level_dbfs"].value == pytest.approx(-12, abs=0.02)
    assert "The recording ends before the signal does." in found.remarks[0]
    assert "Separation from the left channel wasn't told: it ends before" in found.remarks[-2]
    cut = Samples(capture.values[: 15 * RATE], RATE)
    with pytest.raises(MeasureError, match="it ends before the signal 'level' does"):
        measure("level", cut)


def test_capture_without_lead_in_is_measured_as_a_whole() -> None:
    """And what is known besides is passed on."""
    capture = SimulatedDeck(cubic=0.05, noise_db=-90).play(tone(333, -6), seconds=8)
    found = measure("distortion", capture, Known(nominal_hz=333))
    amplitude = 10 ** (-6 / 20)
    third = 0.05 * amplitude**2 / 4 / (1 - 3 * 0.05 * amplitude**2 / 4)
    assert found["third_harmonic_percent"].value == pytest.approx(100 * third, rel=0.01)
    with pytest.raises(MeasureError):
        measure("distortion", capture, Known(nominal_hz=400))


def test_flutter_is_matched_to_parts_only_at_a_known_speed() -> None:
    """Of a tape whose speed isn't told the figures stand, and what to do about the parts."""
    capture = SimulatedDeck(swings=(Swing(1.17, 1e-3, 0.0),), noise_db=-70).play(
        tone(3150), seconds=19
    )
    found = measure("flutter", capture, Known(speed_is_known=False))
    assert found.likely == ()
    assert "speed of the tape isn't known. Put it among the facts" in found.remarks[-1]
    told = measure("flutter", capture)
    assert told.likely[0][0] == "pinch roller"
    assert told.figures[: len(found.figures)] == found.figures


def test_unknown_measurement_is_told() -> None:
    """With the nearest that there is."""
    with pytest.raises(MeasureError, match="Did you mean 'azimuth'"):
        measure("azimut", Samples(np.zeros((10, 1)), RATE))


@pytest.mark.parametrize("error_percent", [-8.0, -1.5, 6.0])
def test_azimuth_of_a_foreign_tape_at_the_true_speed(error_percent: float) -> None:
    """A tape of 20 minutes of arc: a fast deck makes its delay shorter, by arithmetic."""
    speed = 1 + error_percent / 100
    at_nominal = 20.0 / speed
    sound = noise(at_nominal, seconds=4)
    plain = measure("azimuth", sound)
    assert plain["azimuth_arcmin"].value == pytest.approx(at_nominal, abs=0.05)
    known = Known(speed_error_percent=(error_percent, 0.2))
    found = measure("azimuth", sound, known)
    assert found["azimuth_arcmin"].value == pytest.approx(20, abs=0.05)
    # 0.2 % of the nominal speed in 20 minutes, beside the scatter.
    scatter = plain["azimuth_arcmin"].uncertainty * speed
    assert found["azimuth_arcmin"].uncertainty == pytest.approx(
        np.hypot(scatter, 0.04 / speed), rel=0.01
    )
    assert found["delay_us"].value == pytest.approx(plain["delay_us"].value, rel=1e-6)
    assert f"{error_percent:+.2f} % off in speed" in found.remarks[-1]


def test_speed_of_the_same_recording_serves_its_azimuth() -> None:
    """A tone of 3150 Hz 4 % slow and noise, both channels 20 minutes askew."""
    slow = 0.96
    both = noise(20.0 / slow, seconds=8).values
    late_s = delay_of(20.0, STEREO_ON_3_81_MM, SPEED_MM_S * slow)
    at = np.arange(len(both))[:, None] / 32_000 - np.array([0.0, late_s])
    sound = Samples(both * 0.1 + 0.3 * np.sin(2 * np.pi * 3150 * slow * at), 32_000)
    told = measure_all(sound, Known(nominal_hz=3150.0))
    azimuth = told["azimuth"]
    assert isinstance(azimuth, Measurement)
    assert azimuth["azimuth_arcmin"].value == pytest.approx(20, abs=0.1)
    assert "-4.00 % off in speed" in azimuth.remarks[-1]


@pytest.mark.parametrize(("nominal_hz", "is_used"), [(None, False), (3000.0, True)])
def test_speed_in_doubt_does_not_serve_the_azimuth(nominal_hz: float | None, is_used: bool) -> None:
    """A tone of 3075 Hz and noise: which tone is on the tape must be told first."""
    at = np.arange(8 * 32_000)[:, None] / 32_000
    sound = Samples(
        noise(20.0, seconds=8).values * 0.1 + 0.3 * np.sin(2 * np.pi * 3075 * at), 32_000
    )
    azimuth = measure_all(sound, Known(nominal_hz=nominal_hz))["azimuth"]
    assert isinstance(azimuth, Measurement)
    assert any("off in speed" in remark for remark in azimuth.remarks) == is_used


def test_speed_at_which_no_tape_moves_is_refused() -> None:
    """With what to give."""
    with pytest.raises(MeasureError, match="moves no tape"):
        Known(speed_error_percent=(-100.0, 0.1))
