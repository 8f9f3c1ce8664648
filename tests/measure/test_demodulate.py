"""The speed that is told from a tone, against speeds that are known and a second demodulator."""

from __future__ import annotations

import numpy as np
import pytest
from measure.drawn_tone import amplitude, sine, steady, tone
from scipy.signal import hilbert

from diag.errors import MeasureError
from diag.measure.demodulate import speed_series
from diag.measure.sound import Samples


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000, 192_000])
@pytest.mark.parametrize("flutter_hz", [0.5, 4.0, 63.0, 200.0])
def test_sine_keeps_its_depth(rate_hz: int, flutter_hz: float) -> None:
    """A swing of 0.1 % is told as 0.1 %, whatever its rate and that of the sound (arithmetic)."""
    series = speed_series(tone(sine(4, rate_hz, flutter_hz), 3150, rate_hz), 3150)
    inner = series.values[100:-100]
    assert amplitude(inner, series.rate_hz, flutter_hz) == pytest.approx(1e-3, rel=5e-4)
    assert not series.gaps.any()


@pytest.mark.parametrize(
    ("tone_hz", "reaches_hz"), [(315, 94.5), (400, 120), (1000, 200), (3000, 200), (10_000, 200)]
)
def test_every_test_tone(tone_hz: float, reaches_hz: float) -> None:
    """A low tone tells slower flutter only, and says how far."""
    found = speed_series(tone(sine(4, 48_000, 8), tone_hz, 48_000), tone_hz)
    assert amplitude(found.values[100:-100], found.rate_hz, 8) == pytest.approx(1e-3, rel=5e-4)
    assert found.reaches_hz == pytest.approx(reaches_hz)
    edge_hz = reaches_hz * 0.99
    found = speed_series(tone(sine(4, 48_000, edge_hz), tone_hz, 48_000), tone_hz)
    assert amplitude(found.values[100:-100], found.rate_hz, edge_hz) == pytest.approx(
        1e-3, rel=0.02
    )


def test_second_opinion() -> None:
    """The analytic signal of the whole capture, by the FFT, tells the same speed."""
    rate_hz = 48_000
    speed = sine(3, rate_hz, 7, 2e-3) + sine(3, rate_hz, 55, 1e-3) + 0.004
    sound = tone(speed, 3150, rate_hz, snr_db=60)
    series = speed_series(sound, 3150)
    whole = np.unwrap(np.angle(hilbert(sound.values[:, 0])))
    other = np.gradient(whole) * rate_hz / (2 * np.pi * 3150) - 1
    for flutter_hz, peak in ((7, 2e-3), (55, 1e-3)):
        ours = amplitude(series.values[100:-100], series.rate_hz, flutter_hz)
        theirs = amplitude(other[2400:-2400], rate_hz, flutter_hz)
        assert ours == pytest.approx(theirs, rel=2e-3)
        assert ours == pytest.approx(peak, rel=2e-3)
    assert np.mean(series.values) == pytest.approx(0.004, abs=1e-5)


def test_blocks_do_not_show() -> None:
    """A sound longer than several blocks and chunks is followed as one piece."""
    rate_hz = 22_050
    series = speed_series(tone(sine(75, rate_hz, 3), 3150, rate_hz), 3150)
    at = np.arange(len(series.values)) / series.rate_hz
    inner = slice(100, -100)
    terms = np.column_stack([np.cos(2 * np.pi * 3 * at), np.sin(2 * np.pi * 3 * at)])[inner]
    fit = np.linalg.lstsq(terms, series.values[inner], rcond=None)[0]
    assert np.abs(series.values[inner] - terms @ fit).max() < 1e-6


def test_drift_of_five_percent_is_followed() -> None:
    """A battery that runs down is no failure of the tone."""
    rate_hz = 48_000
    speed = np.linspace(0.025, -0.025, 4 * rate_hz) + sine(4, rate_hz, 30)
    series = speed_series(tone(speed, 3150, rate_hz, snr_db=50), 3150)
    assert not series.gaps.any()
    assert series.values[100] - series.values[-100] == pytest.approx(0.05, rel=0.1)
    assert amplitude(series.values[1000:-1000], series.rate_hz, 30) == pytest.approx(1e-3, rel=0.02)


@pytest.mark.parametrize("hum_hz", [50, 60, 150])
def test_hum_and_harmonics_stay_out(hum_hz: float) -> None:
    """Hum 20 dB below the tone and 10 % of two harmonics leave nothing in the speed."""
    rate_hz = 48_000
    sound = tone(steady(4, rate_hz), 3150, rate_hz)
    at = 2 * np.pi * np.arange(sound.frames) / rate_hz
    dirt = np.sin(hum_hz * at) + np.sin(2 * 3150 * at + 1) + np.sin(3 * 3150 * at + 2)
    series = speed_series(Samples(sound.values + 0.03 * dirt[:, None], rate_hz), 3150)
    assert np.abs(series.values[50:-50]).max() < 2e-6
    assert not series.gaps.any()


def test_noise_is_what_theory_says() -> None:
    """White noise makes a phase noise of 1 / (ratio of powers x band), its rate times that.

    The mean square of the speed to a rate f is then f^3 / 3 of it over the tone squared (from
    memory: any text book of FM). The smoother goes on somewhat past 200 Hz.
    """
    rate_hz = 48_000
    series = speed_series(tone(steady(20, rate_hz), 3150, rate_hz, snr_db=40), 3150)
    power = np.abs(np.fft.rfft(series.values)) ** 2 / len(series.values) ** 2 * 2
    rates_hz = np.fft.rfftfreq(len(series.values), 1 / series.rate_hz)
    found = power[(rates_hz > 0) & (rates_hz <= 200)].sum() ** 0.5
    assert found == pytest.approx((200**3 / 3 / (1e4 * 24_000)) ** 0.5 / 3150, rel=0.05)


@pytest.mark.parametrize("milliseconds", [3, 20, 200])
def test_dropout_is_marked_and_bridged(milliseconds: int) -> None:
    """What a dropout leaves is marked; the speed outside and the bridge stay sound."""
    rate_hz = 48_000
    sound = tone(sine(6, rate_hz, 2), 3150, rate_hz, snr_db=50)
    start, length = 3 * rate_hz, rate_hz * milliseconds // 1000
    sound.values[start : start + length] *= 0.02
    series = speed_series(sound, 3150)
    marked = np.flatnonzero(series.gaps) / series.rate_hz
    assert marked.min() > 2.95
    assert marked.max() < 3.05 + milliseconds / 1e3
    assert len(marked) / series.rate_hz == pytest.approx(milliseconds / 1e3, abs=0.03)
    assert np.abs(series.values[50:-50]).max() < 1.3e-3


@pytest.mark.parametrize("jump_deg", [5, 30, 90, 180, -120])
def test_jump_of_phase_is_no_speed(jump_deg: float) -> None:
    """A splice or a lost buffer shifts the phase at once; a swing of 0.1 % stays what it is."""
    rate_hz = 48_000
    speed = sine(6, rate_hz, 2)
    whole = tone(speed, 3150, rate_hz)
    at = np.arange(len(speed))
    turns = np.concatenate([[0.0], np.cumsum(speed[1:] + speed[:-1]) / 2])
    shifted = 0.3 * np.sin(2 * np.pi * 3150 / rate_hz * (at + turns) + np.radians(jump_deg))
    values = np.where(at < 3 * rate_hz, whole.values[:, 0], shifted)
    series = speed_series(Samples(values[:, None], rate_hz), 3150)
    marked = np.flatnonzero(series.gaps) / series.rate_hz
    assert 0 < len(marked) < 0.08 * series.rate_hz
    assert np.abs(marked - 3).max() < 0.06
    assert np.abs(series.values[50:-50]).max() < 1.05e-3


def test_flat_spot_is_speed() -> None:
    """A knock of 40 ms once a second is no jump of phase, however far it stands out."""
    rate_hz = 48_000
    at = np.arange(6 * rate_hz) / rate_hz
    speed = 0.02 * np.exp(-(((at % 1 - 0.5) / 0.02) ** 2))
    series = speed_series(tone(speed, 3150, rate_hz, snr_db=50), 3150)
    assert not series.gaps.any()
    assert series.values.max() == pytest.approx(0.02, rel=0.02)


def test_right_channel() -> None:
    """The channel asked for is the one that is followed."""
    rate_hz = 22_050
    both = [tone(steady(2, rate_hz, error), 1000, rate_hz).values for error in (0.0, 0.01)]
    series = speed_series(Samples(np.hstack(both), rate_hz), 1000, channel=1)
    assert np.median(series.values) == pytest.approx(0.01, abs=1e-6)


@pytest.mark.parametrize("frames", [0, 10, 2000])
def test_too_short_is_refused(frames: int) -> None:
    """Less than the filters need is told."""
    with pytest.raises(MeasureError, match="no tone of 3150 Hz"):
        speed_series(Samples(np.ones((frames, 1)), 48_000), 3150)


def test_nothing_is_refused() -> None:
    """Silence has no speed."""
    with pytest.raises(MeasureError, match="no tone"):
        speed_series(Samples(np.zeros((96_000, 1)), 48_000), 3150)
