"""Erase depth of drawn captures whose rest is known."""

from __future__ import annotations

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure.erase import measure_erase
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples

RATE_HZ = 22_050
TONE_DB = -10.0


def tone(seconds: float, dbfs: float, flutter: float = 1e-3, hz: float = 1000.0) -> Array:
    """A tone that sways by `flutter` at 5 Hz."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    phase = 2 * np.pi * hz * (times - flutter * np.cos(2 * np.pi * 5 * times) / (2 * np.pi * 5))
    wave: Array = 10 ** (dbfs / 20) * np.sin(phase)
    return wave


def hissing(values: Array, rng: np.random.Generator, hiss: float = 5e-4) -> Samples:
    """One channel with hiss."""
    return Samples((values + rng.normal(0, hiss, len(values)))[:, None], RATE_HZ)


def half_erased(
    depth_db: float, rng: np.random.Generator, seconds: float = 8.0, hiss: float = 5e-4
) -> Samples:
    """A tone, and as long again what erasing left of it."""
    parts = [tone(seconds, TONE_DB), tone(seconds, TONE_DB - depth_db)]
    return hissing(np.concatenate(parts), rng, hiss)


@pytest.mark.parametrize("depth_db", [12.0, 30.0, 60.0, 70.0])
def test_depth_is_told_from_one_capture(depth_db: float) -> None:
    """At 70 dB the rest lies 17 dB under the hiss."""
    figure = measure_erase(half_erased(depth_db, np.random.default_rng(1)))["erase_depth_db"]
    assert abs(figure.value - depth_db) < max(1.5 * figure.uncertainty, 0.05)


def test_depth_is_told_against_a_capture_or_a_level() -> None:
    """The erased part alone, with the tone given in two ways."""
    rng = np.random.default_rng(2)
    erased = hissing(tone(10, TONE_DB - 45), rng)
    by_capture = measure_erase(erased, reference=hissing(tone(8, TONE_DB), rng))
    by_level = measure_erase(erased, reference_dbfs=TONE_DB, nominal_hz=1000.0)
    assert by_capture["erase_depth_db"].value == pytest.approx(45, abs=0.3)
    assert by_level["erase_depth_db"].value == pytest.approx(45, abs=0.3)


def test_hum_and_hiss_are_no_rest_of_the_tone() -> None:
    """Nothing but those is left: the figure is a limit, and a high one."""
    rng = np.random.default_rng(3)
    hum = 0.01 * np.sin(2 * np.pi * 100 * np.arange(10 * RATE_HZ) / RATE_HZ)
    found = measure_erase(hissing(hum, rng), reference=hissing(tone(8, TONE_DB), rng))
    assert 65 < found["erase_depth_at_least_db"].value < 90


def test_the_channel_that_is_erased_worse_decides() -> None:
    """Dirt on one track of the erase head."""
    rng = np.random.default_rng(4)
    good, poor = half_erased(60, rng), half_erased(25, rng)
    found = measure_erase(Samples(np.hstack([good.values, poor.values]), RATE_HZ))
    assert found["erase_depth_db"].value == pytest.approx(25, abs=0.1)
    assert "right channel" in found["erase_depth_db"].says
    assert any("erase head" in remark for remark in found.remarks)


def runs(count: int) -> list[tuple[Figure, float]]:
    """Depths of drawn captures with their true values."""
    rng = np.random.default_rng(5)
    depths = rng.uniform(30, 60, count)
    return [
        (measure_erase(half_erased(depth, rng, 7, hiss=2e-3))["erase_depth_db"], depth)
        for depth in depths
    ]


def test_intervals_hold_the_truth() -> None:
    """100 captures."""
    assert QUICK[0] <= share_held(runs(100)) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    assert PROVED[0] <= share_held(runs(2000)) <= PROVED[1]


RNG = np.random.default_rng(6)


@pytest.mark.parametrize(
    ("sound", "words"),
    [
        (hissing(tone(3, TONE_DB), RNG), "3.0 s long"),
        (hissing(tone(16, TONE_DB), RNG), "0 s at least 8 dB below"),
        (half_erased(40, RNG, seconds=3), "5 s of each are needed"),
        (Samples(RNG.normal(0, 0.1, (16 * RATE_HZ, 1)), RATE_HZ), "no steady tone"),
        (Samples(np.zeros((16 * RATE_HZ, 1)), RATE_HZ), "silent"),
        (Samples(np.clip(tone(16, 10.0), -1, 1)[:, None], RATE_HZ), "clipped"),
    ],
    ids=["short", "not erased", "parts short", "no tone", "silent", "clipped"],
)
def test_what_is_unfit_is_refused(sound: Samples, words: str) -> None:
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_erase(sound)
    assert caught.value.do


def test_a_reference_that_does_not_fit_is_refused() -> None:
    """A level without its tone, and a capture of more channels."""
    rng = np.random.default_rng(7)
    erased = hissing(tone(8, -60), rng)
    with pytest.raises(MeasureError, match="which tone"):
        measure_erase(erased, reference_dbfs=-10.0)
    both = Samples(np.hstack([hissing(tone(8, TONE_DB), rng).values] * 2), RATE_HZ)
    with pytest.raises(MeasureError, match="2 channel"):
        measure_erase(erased, reference=both)
