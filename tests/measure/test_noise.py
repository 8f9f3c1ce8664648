"""Noise figures of drawn captures whose truth is known."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure import noise, weighting_468, weighting_a
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples
from diag.measure.weighting import Response

RATE_HZ = 22_050
SCALE_DB = 10 * np.log10(2)
"""A mean square of one half is 0 dB re full scale."""


def hiss(rng: np.random.Generator, seconds: float = 10.0, channels: int = 2) -> Array:
    """White noise at a mean square of one millionth."""
    return rng.normal(0, 1e-3, (round(seconds * RATE_HZ), channels))


def of_white_noise(response: Response, rate_hz: int = RATE_HZ) -> float:
    """What white noise of one millionth loses or gains, by integration up to half the rate."""
    hz = np.linspace(0, rate_hz / 2, 200_001)
    return float(10 * np.log10(np.mean(np.abs(response(hz)) ** 2) * 1e-6) + SCALE_DB)


def test_white_noise_reads_what_the_weightings_make_of_it() -> None:
    """Integrals of the two responses; the band takes off next to nothing."""
    found = noise.measure_noise(Samples(hiss(np.random.default_rng(1), 20, 1), RATE_HZ))
    for key, truth in (
        ("noise_a_weighted_dbfs", of_white_noise(weighting_a.response)),
        ("noise_468_dbfs", of_white_noise(weighting_468.response)),
        ("noise_unweighted_dbfs", -60 + SCALE_DB),
    ):
        assert found[key].value == pytest.approx(truth, abs=0.1)


def test_quasi_peak_reads_gaussian_noise_some_4_db_higher() -> None:
    """The meter's excess over the root mean square of noise, from memory: 4 to 5 dB."""
    found = noise.measure_noise(Samples(hiss(np.random.default_rng(2), 15, 1), RATE_HZ))
    excess = found["noise_468_quasi_peak_dbfs"].value - found["noise_468_dbfs"].value
    assert 3.0 < excess < 5.5


def test_a_reference_shifts_every_figure() -> None:
    """A figure, and a capture of a tone at the same level."""
    rng = np.random.default_rng(3)
    sound = Samples(hiss(rng), RATE_HZ)
    times = np.arange(5 * RATE_HZ) / RATE_HZ
    wave = 10 ** (-12 / 20) * np.sin(2 * np.pi * 315 * times)
    plain = noise.measure_noise(sound)
    by_figure = noise.measure_noise(sound, reference_dbfs=-12.0)
    by_capture = noise.measure_noise(
        sound, reference=Samples(np.stack([wave, wave / 2], axis=1), RATE_HZ)
    )
    for stem, _ in noise.KINDS:
        left = plain[f"{stem}_left_dbfs"].value
        assert by_figure[f"{stem}_left_db"].value == pytest.approx(left + 12)
        assert by_capture[f"{stem}_left_db"].value == pytest.approx(left + 12, abs=0.01)
        right = plain[f"{stem}_right_dbfs"].value
        assert by_capture[f"{stem}_right_db"].value == pytest.approx(right + 18.02, abs=0.01)


def test_the_noisier_channel_decides() -> None:
    """Its figure stands under the key without a side."""
    values = hiss(np.random.default_rng(4)) * [1.0, 3.0]
    found = noise.measure_noise(Samples(values, RATE_HZ))
    assert found["noise_468_dbfs"].value == found["noise_468_right_dbfs"].value
    assert found["noise_468_left_dbfs"].value == pytest.approx(
        found["noise_468_right_dbfs"].value - 9.54, abs=0.15
    )


def test_the_spectrum_of_white_noise_rises_by_3_db_an_octave() -> None:
    """Thirds of an octave widen with frequency; by arithmetic."""
    found = noise.measure_noise(Samples(hiss(np.random.default_rng(5), 20, 1), RATE_HZ))
    (curve,) = found.curves
    slope = np.polyfit(np.log2(curve.x[10:]), curve.y[10:], 1)[0]
    assert slope == pytest.approx(3.01, abs=0.1)
    assert curve.x[0] == pytest.approx(31.6, abs=0.1)


def test_noise_that_is_not_steady_is_told() -> None:
    """A part that fries for a while; steady noise has no such remark."""
    steady = hiss(np.random.default_rng(6))
    frying = steady.copy()
    frying[4 * RATE_HZ : 6 * RATE_HZ, 0] *= 4
    assert any("steady" in told for told in noise.measure_noise(Samples(frying, RATE_HZ)).remarks)
    told = noise.measure_noise(Samples(steady, RATE_HZ)).remarks
    assert not any("steady" in remark for remark in told)
    assert any("nothing above 11 kHz" in remark for remark in told)


def runs(count: int) -> dict[str, list[tuple[Figure, float]]]:
    """Figures of drawn captures with their true values, by key.

    The meter's true mean reading on such noise is that of all the runs together.
    """
    rng = np.random.default_rng(7)
    captures = [noise.measure_noise(Samples(hiss(rng), RATE_HZ)) for _ in range(count)]
    figures = {
        stem: [found[f"{stem}_{side}_dbfs"] for found in captures for side in ("left", "right")]
        for stem, _ in noise.KINDS
    }
    together = [figure.value for figure in figures["noise_468_quasi_peak"]]
    truths = {
        "noise_a_weighted": of_white_noise(weighting_a.response),
        "noise_468": of_white_noise(weighting_468.response),
        "noise_468_quasi_peak": float(np.mean(together)),
    }
    return {key: [(figure, truth) for figure in figures[key]] for key, truth in truths.items()}


def test_intervals_hold_the_truth() -> None:
    """45 captures of two channels."""
    for pairs in runs(45).values():
        assert QUICK[0] <= share_held(pairs) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    for pairs in runs(600).values():
        assert PROVED[0] <= share_held(pairs) <= PROVED[1]


def test_memory_does_not_grow_with_the_capture() -> None:
    """What is held beside the samples themselves, for half a minute as for less."""
    peaks = []
    for seconds in (12, 30):
        sound = Samples(hiss(np.random.default_rng(8), seconds, 1), RATE_HZ)
        tracemalloc.start()
        noise.measure_noise(sound)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < peaks[0] + 2**19


def music(rng: np.random.Generator) -> Array:
    """Loud noise: as loud as a programme."""
    return hiss(rng) * 300


def with_tone(rng: np.random.Generator) -> Array:
    """A reference tone where a blank tape was due."""
    values = hiss(rng)
    values += 0.03 * np.sin(2 * np.pi * 315 * np.arange(len(values)) / RATE_HZ)[:, None]
    return values


def one_connected(rng: np.random.Generator) -> Array:
    """The right lead is out."""
    return hiss(rng) * [1.0, 1e-3]


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        (lambda rng: hiss(rng, 4), "4.0 s long"),
        (lambda rng: hiss(rng) * 0, "no noise at all"),
        (lambda rng: hiss(rng) * [1.0, 0.0], "right channel holds no noise"),
        (one_connected, "60 dB below the other"),
        (lambda rng: np.clip(hiss(rng) * 1000, -1, 1), "clipped"),
        (music, "too loud for noise"),
        (with_tone, "tone of 315 Hz"),
    ],
    ids=["short", "muted", "dead channel", "lead out", "clipped", "music", "tone"],
)
def test_what_is_no_noise_is_refused(drawn, words: str) -> None:  # type: ignore[no-untyped-def]
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        noise.measure_noise(Samples(drawn(np.random.default_rng(9)), RATE_HZ))
    assert caught.value.do
