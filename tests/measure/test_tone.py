"""Which test tone is told, and what is refused."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from measure.drawn_tone import sine, steady, tone

from diag.errors import MeasureError
from diag.measure.demodulate import speed_series
from diag.measure.sound import Array, Samples
from diag.measure.tone import NOMINAL_HZ, find_tone

RATE_HZ = 48_000


@pytest.mark.parametrize("nominal_hz", NOMINAL_HZ)
@pytest.mark.parametrize("error", [-0.02, 0.0, 0.02])
def test_every_tone_near_its_speed(nominal_hz: float, error: float) -> None:
    """Up to 2 % off, each is told as itself, and its place is good to 0.1 %."""
    found = find_tone(tone(steady(1, RATE_HZ, error), nominal_hz, RATE_HZ, snr_db=40))
    assert found.nominal_hz == nominal_hz
    assert found.hz == pytest.approx(nominal_hz * (1 + error), rel=1e-3)
    assert found.share > 0.99


@pytest.mark.parametrize("error", [-0.12, -0.05, 0.05, 0.12])
@pytest.mark.parametrize("nominal_hz", [315, 3150, 10_000, 2000])
def test_given_tone_far_off_speed(nominal_hz: float, error: float) -> None:
    """A tone that is given is taken for it up to 12 % off, whatever lies nearer."""
    found = find_tone(tone(steady(1, RATE_HZ, error), nominal_hz, RATE_HZ), nominal_hz)
    assert found.nominal_hz == nominal_hz
    assert found.hz == pytest.approx(nominal_hz * (1 + error), rel=1e-3)
    assert not found.remarks


@pytest.mark.parametrize(
    ("heard_hz", "nearest_hz", "other_hz", "off"),
    [(3060, 3000, 3150, "-2.9 %"), (3090, 3150, 3000, "+3.0 %"), (426, 440, 400, "+6.5 %")],
)
def test_two_that_fit(heard_hz: float, nearest_hz: float, other_hz: float, off: str) -> None:
    """The nearer of two is taken, and the other one told with the error that it would mean."""
    found = find_tone(tone(steady(1, RATE_HZ), heard_hz, RATE_HZ))
    assert found.nominal_hz == nearest_hz
    assert f"{other_hz} Hz would fit, too" in found.remarks[0]
    assert off in found.remarks[0]


@pytest.mark.parametrize(
    ("heard_hz", "given_hz", "otherwise_hz"),
    [
        (3075, None, 3000),
        (3060, None, 3150),
        (324, None, 315),
        (3000, None, None),
        (3150, None, None),
        (3075, 3000, None),
        (3075, 3150, None),
    ],
)
def test_tone_between_two_leaves_a_doubt_until_it_is_given(
    heard_hz: float, given_hz: float | None, otherwise_hz: float | None
) -> None:
    """3075 Hz is 3000 a little fast or 3150 a little slow; on the spot there is no doubt."""
    found = find_tone(tone(steady(1, RATE_HZ), heard_hz, RATE_HZ), given_hz)
    assert found.otherwise_hz == otherwise_hz
    assert sum(chance for _, chance in found.likely) == pytest.approx(1)
    asks = any("Which one is on the tape?" in remark for remark in found.remarks)
    assert asks == (otherwise_hz is not None)


def test_strong_flutter_is_still_one_tone() -> None:
    """A slow swing of 2 % smears the tone over its neighbourhood, not out of it."""
    found = find_tone(tone(sine(4, RATE_HZ, 1, 0.02), 8000, RATE_HZ))
    assert found.nominal_hz == 8000
    assert found.share > 0.99


def test_hum_and_a_square_wave() -> None:
    """Hum as strong as the tone does not hide it; nor do the harmonics of a square wave."""
    at = np.arange(2 * RATE_HZ) / RATE_HZ
    square = 0.3 * np.sign(np.sin(2 * np.pi * 1000 * at)) + 0.3 * np.sin(2 * np.pi * 50 * at)
    assert find_tone(Samples(square[:, None], RATE_HZ)).nominal_hz == 1000


def test_stronger_channel_is_taken() -> None:
    """The right one here."""
    right = tone(steady(1, RATE_HZ), 3150, RATE_HZ).values
    found = find_tone(Samples(np.hstack([0.1 * right, right]), RATE_HZ))
    assert found.channel == 1


def test_blocks_of_any_size() -> None:
    """A sound may give smaller blocks than it was asked for."""

    class Crumbs(Samples):
        def blocks(self, frames: int) -> Iterator[Array]:
            return super().blocks(min(frames, 1000))

    values = tone(steady(1, RATE_HZ), 3150, RATE_HZ).values
    assert find_tone(Crumbs(values, RATE_HZ)) == find_tone(Samples(values, RATE_HZ))
    crumbs = speed_series(Crumbs(values, RATE_HZ), 3150)
    assert np.allclose(crumbs.values, speed_series(Samples(values, RATE_HZ), 3150).values)


@pytest.mark.parametrize(
    ("heard_hz", "nominal_hz", "says"),
    [
        (2000, None, "the tone lies at 2000 Hz; that is none of a test tape"),
        (1000, 3150, "the tone lies at 1000 Hz; that is none near 3150 Hz"),
        (3150, 50, "a test tone of 50 Hz can't be followed"),
        (3150, float("nan"), "a test tone of nan Hz can't be followed"),
    ],
)
def test_wrong_tone_is_refused(heard_hz: float, nominal_hz: float | None, says: str) -> None:
    """It says what was found, and what to do."""
    with pytest.raises(MeasureError, match=says) as refused:
        find_tone(tone(steady(1, RATE_HZ), heard_hz, RATE_HZ), nominal_hz)
    assert refused.value.do


def test_no_tone_is_refused() -> None:
    """Noise, two tones of one strength, nothing, and too little."""
    noise = np.random.default_rng(0).standard_normal((RATE_HZ, 1))
    both = tone(steady(1, RATE_HZ), 1000, RATE_HZ).values
    both = both + tone(steady(1, RATE_HZ), 5000, RATE_HZ).values
    for values in (noise, both, np.zeros((RATE_HZ, 1)), np.ones((100, 1))):
        with pytest.raises(MeasureError, match="no tone stands out"):
            find_tone(Samples(values, RATE_HZ))
