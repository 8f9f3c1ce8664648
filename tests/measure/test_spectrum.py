"""Lines in noise: how often they are false, and whether their intervals hold the truth."""

from __future__ import annotations

import numpy as np
import pytest
from intervals import PROVED, QUICK

from diag.errors import MeasureError
from diag.measure.sound import Array
from diag.measure.spectrum import Line, line_at, lines, noise_floor, segments_of, spectrum

RATE_HZ = 50.0


def lines_of(values: Array) -> tuple[Line, ...]:
    """All lines of a series."""
    segments = segments_of(values, RATE_HZ)
    return lines(spectrum(segments), segments)


def noise(rng: np.random.Generator, seconds: float) -> Array:
    """Noise whose power rises by eight times towards low rates."""
    count = round(seconds * RATE_HZ)
    rates = np.fft.rfftfreq(count, 1 / RATE_HZ)
    shaped = np.fft.rfft(rng.standard_normal(count)) * np.sqrt(1 + 8 / (1 + rates**2))
    return np.asarray(1e-3 * np.fft.irfft(shaped, count))


def line(seconds: float, rate_hz: float, amplitude: float, phase: float = 0.3) -> Array:
    """A steady line."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.asarray(amplitude * np.cos(2 * np.pi * rate_hz * times + phase))


def share_with_lines(runs: int, seconds: float) -> float:
    """Share of spectra of noise in which a line is found."""
    rng = np.random.default_rng(31)
    return sum(bool(lines_of(noise(rng, seconds))) for _ in range(runs)) / runs


def shares_held(runs: int, seconds: float) -> tuple[float, float]:
    """Share of runs in which the intervals of rate and of amplitude hold the truth."""
    rng = np.random.default_rng(32)
    held = []
    for _ in range(runs):
        rate, amplitude = rng.uniform(2, 18), 10 ** rng.uniform(-2.9, -2.2)
        values = noise(rng, seconds) + line(seconds, rate, amplitude, rng.uniform(0, 6))
        found = min(lines_of(values), key=lambda one: abs(one.rate_hz - rate))
        held.append(
            (
                abs(found.rate_hz - rate) <= found.rate_uncertainty_hz,
                abs(found.amplitude - amplitude) <= found.amplitude_uncertainty,
            )
        )
    of_rate, of_amplitude = np.mean(held, axis=0)
    return float(of_rate), float(of_amplitude)


@pytest.mark.parametrize("seconds", [20.0, 100.0])
def test_noise_has_no_lines(seconds: float) -> None:
    """One in a hundred spectra of noise may have one; of sixty, more than four is past belief."""
    assert share_with_lines(60, seconds) <= 4 / 60


@pytest.mark.proof
@pytest.mark.parametrize("seconds", [20.0, 60.0, 100.0, 300.0])
def test_noise_has_as_few_lines_as_stated(seconds: float) -> None:
    """Of 1000 spectra of noise, some ten; 1 % is stated, 2 % is put up with."""
    assert share_with_lines(1000, seconds) <= 0.02


@pytest.mark.parametrize("seconds", [20.0, 100.0])
def test_intervals_hold_the_truth(seconds: float) -> None:
    """Rate and amplitude of lines at any height over the noise."""
    for share in shares_held(100, seconds):
        assert QUICK[0] <= share <= 1.0


@pytest.mark.proof
@pytest.mark.parametrize("seconds", [20.0, 75.0, 100.0, 300.0])
def test_intervals_hold_the_truth_as_often_as_stated(seconds: float) -> None:
    """The same over 2000 runs."""
    for share in shares_held(2000, seconds):
        assert PROVED[0] <= share <= PROVED[1]


def test_floor_is_that_of_the_noise() -> None:
    """White noise of 1e-3 has its power spread evenly: 4 x 1.5 / samples in units of amplitude."""
    rng = np.random.default_rng(33)
    values = 1e-3 * rng.standard_normal(60 * 50) + line(60, 5, 0.01)
    found = spectrum(segments_of(values, RATE_HZ))
    middle = (found.rates_hz > 1) & (found.rates_hz < 20)
    expected = 4 * 1.5 * 1e-6 / (60 * 50)
    assert np.median(found.floor[middle]) == pytest.approx(expected, rel=0.1)


def test_floor_follows_a_slope() -> None:
    """Powers of exactly the mean of exponential noise along a slope are told as they are."""
    rng = np.random.default_rng(34)
    rates = np.arange(10, 3000) / 60
    true = rates**-1.5
    floor, trust = noise_floor(rates, true * rng.exponential(size=len(rates)), 1.0, 60.0)
    assert np.abs(np.log(floor / true)).max() < 0.9
    assert np.abs(np.log(floor / true))[300:-300].max() < 0.35
    assert trust.min() > 2


def test_strong_line_has_no_false_neighbours() -> None:
    """The skirts of a line 60 dB over the noise aren't lines; a weak true one far off is."""
    rng = np.random.default_rng(35)
    values = 1e-5 * rng.standard_normal(60 * 50) + line(60, 6.007, 0.01) + line(60, 1.2, 1e-4)
    assert [round(one.rate_hz, 2) for one in lines_of(values)] == [6.01, 1.2]


def test_gaps_are_left_out() -> None:
    """A line is told right although a tenth of the samples is filled with rubbish."""
    rng = np.random.default_rng(36)
    values = line(60, 3.0, 1e-3) + 1e-4 * rng.standard_normal(3000)
    gone = np.zeros(3000, dtype=bool)
    for start in rng.integers(0, 2980, 15):
        gone[start : start + 20] = True
    values[gone] = 5.0
    segments = segments_of(values, RATE_HZ, gone)
    found = lines(spectrum(segments), segments)
    assert found[0].rate_hz == pytest.approx(3.0, abs=2e-3)
    assert found[0].amplitude == pytest.approx(1e-3, rel=0.05)


def test_line_without_noise_is_within_its_interval() -> None:
    """What is left is the parabola's own error, anywhere between two ordinates."""
    for rate in np.linspace(5, 5 + 1 / 240, 9):
        segments = segments_of(line(60, rate, 1.0), RATE_HZ)
        found = spectrum(segments)
        at = int(np.argmax(found.power))
        told = line_at(found.rates_hz, found.power, at, 1e-18, segments)
        assert abs(told.rate_hz - rate) <= told.rate_uncertainty_hz < 5e-6
        assert abs(told.amplitude - 1) <= told.amplitude_uncertainty < 2e-4


@pytest.mark.parametrize("power", [[0, 1e-6, 1e-8], [1e-6, 1e-8, 0], [1e-8, 1e-7, 1e-6]])
def test_line_at_an_end_is_taken_as_it_is(power: list[float]) -> None:
    """A parabola through nothing would put it anywhere, at any height."""
    segments = segments_of(np.zeros(1000), RATE_HZ)
    at = int(np.argmax(power))
    found = line_at(np.array([1.0, 1.1, 1.2]), np.array(power), at, 1e-9, segments)
    assert found.rate_hz == 1.0 + 0.1 * at
    assert found.amplitude == pytest.approx(1e-3, rel=1e-3)


def test_refuses_a_short_series() -> None:
    """Ten seconds are the least."""
    with pytest.raises(MeasureError, match=r"8\.0 s long; 10 s are needed"):
        segments_of(np.zeros(400), RATE_HZ)


def test_refuses_what_are_no_numbers() -> None:
    """Unless they are marked as missing."""
    values = np.zeros(1000)
    values[10] = np.nan
    with pytest.raises(MeasureError, match="no numbers"):
        segments_of(values, RATE_HZ)


def test_refuses_too_many_gaps() -> None:
    """Most of the tone is missing."""
    gone = np.arange(1000) % 2 == 0
    with pytest.raises(MeasureError, match="50% of the speed error is missing"):
        segments_of(np.zeros(1000), RATE_HZ, gone)
