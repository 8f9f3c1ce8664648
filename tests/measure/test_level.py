"""Level, balance and separation of drawn captures whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure.level import measure_level
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples

RATE_HZ = 22_050
TONE_HZ = 1000.0


def tone(seconds: float, dbfs: float = -12.0, hz: float = TONE_HZ, rate_hz: int = RATE_HZ) -> Array:
    """A sine of so many dB re one that fills the scale."""
    times = np.arange(round(seconds * rate_hz)) / rate_hz
    wave: Array = 10 ** (dbfs / 20) * np.sin(2 * np.pi * hz * times)
    return wave


def stereo(left: Array, right: Array, rng: np.random.Generator, hiss: float = 1e-4) -> Samples:
    """Two channels, each with a hiss of its own."""
    values = np.stack([left, right], axis=1)
    return Samples(values + rng.normal(0, hiss, values.shape), RATE_HZ)


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000, 96_000, 192_000])
def test_a_sine_that_half_fills_the_scale_is_at_minus_6_db(rate_hz: int) -> None:
    """By arithmetic, at every rate; what is constant doesn't count."""
    sound = Samples(tone(4, -6.0206, 315, rate_hz)[:, None] + 0.1, rate_hz)
    found = measure_level(sound)
    assert found["level_dbfs"].value == pytest.approx(-6.0206, abs=0.003)
    assert [figure.key for figure in found.figures] == ["level_dbfs"]


def test_levels_and_balance_of_two_channels() -> None:
    """The higher channel stands under the key itself; balance is left over right."""
    rng = np.random.default_rng(1)
    found = measure_level(stereo(tone(4, -14), tone(4, -12), rng))
    assert found["level_dbfs"].value == pytest.approx(-12, abs=0.01)
    assert found["level_left_dbfs"].value == pytest.approx(-14, abs=0.01)
    assert found["level_right_dbfs"].value == pytest.approx(-12, abs=0.01)
    assert found["balance_db"].value == pytest.approx(-2, abs=0.01)


def with_leader(wave: Array) -> Array:
    """Four seconds of nothing before a tone and three after it."""
    return np.concatenate([np.zeros(4 * RATE_HZ), wave, np.zeros(3 * RATE_HZ)])


def test_what_lies_before_and_after_the_tone_does_not_count() -> None:
    """Levels, balance and separation are those of the tone."""
    rng = np.random.default_rng(3)
    both = stereo(with_leader(tone(8, -14)), with_leader(tone(8, -12)), rng)
    found = measure_level(both)
    assert found["level_dbfs"].value == pytest.approx(-12, abs=0.01)
    assert found["level_dbfs"].uncertainty < 0.01
    assert found["balance_db"].value == pytest.approx(-2, abs=0.01)
    one_sided = stereo(with_leader(tone(8)), with_leader(tone(8, -47)), rng, hiss=1e-3)
    one_sided.values[13 * RATE_HZ :] = 0
    assert measure_level(one_sided)["separation_db"].value == pytest.approx(35, abs=0.2)


def test_a_tone_that_stops_too_soon_is_refused() -> None:
    """Two seconds of it are not enough, however long the capture is."""
    rng = np.random.default_rng(4)
    short = np.concatenate([tone(2), np.zeros(3 * RATE_HZ)])
    with pytest.raises(MeasureError, match=r"loud for 1\.9 s only; 3 s are needed"):
        measure_level(stereo(short, short, rng))


@pytest.mark.parametrize("separation_db", [20.0, 35.0, 50.0])
@pytest.mark.parametrize("driven", [0, 1])
def test_separation_is_told_under_the_hiss(separation_db: float, driven: int) -> None:
    """At 50 dB the tone lies 14 dB under the hiss of its channel."""
    rng = np.random.default_rng(2)
    pair = [tone(10), tone(10, -12 - separation_db)]
    found = measure_level(stereo(*(pair if driven == 0 else pair[::-1]), rng, hiss=3e-3))
    separation = found["separation_db"]
    assert abs(separation.value - separation_db) < max(1.5 * separation.uncertainty, 0.05)
    assert ("left channel" in separation.says) == (driven == 0)
    with pytest.raises(KeyError):
        found["balance_db"]


def test_separation_past_what_the_hiss_lets_through_is_a_limit() -> None:
    """No figure is told for a tone that wasn't found; its key is another one."""
    rng = np.random.default_rng(3)
    found = measure_level(stereo(tone(5), np.zeros(5 * RATE_HZ), rng, hiss=1e-3))
    assert 70 < found["separation_at_least_db"].value < 110
    with pytest.raises(KeyError):
        found["separation_db"]
    assert any("weak or dead" in remark for remark in found.remarks)


def test_separation_is_not_told_of_music() -> None:
    """A channel of noise holds no steady tone."""
    rng = np.random.default_rng(4)
    found = measure_level(stereo(rng.normal(0, 0.05, 5 * RATE_HZ), np.zeros(5 * RATE_HZ), rng))
    assert not any(figure.key.startswith("separation") for figure in found.figures)
    assert any("no steady tone" in remark for remark in found.remarks)


def runs(count: int) -> list[tuple[Figure, float]]:
    """Figures of drawn decks whose level wanders, with their true values."""
    rng = np.random.default_rng(5)
    told = []
    for _ in range(count):
        left, right = tone(6, -15), tone(6, -16)
        # Each channel flickers by some tenths of a decibel, anew every tenth of a second.
        flicker = 1 + np.repeat(rng.normal(0, 0.02, (60, 2)), RATE_HZ // 10, axis=0)
        sound = stereo(left * flicker[:, 0], right * flicker[:, 1], rng, hiss=2e-3)
        lift = 10 * np.log10(1 + 0.02**2)
        noise_db = 10 * np.log10(1 + 2 * 2e-3**2 * 10 ** (np.array([15, 16]) / 10))
        found = measure_level(sound)
        told += [
            (found["level_left_dbfs"], -15 + lift + noise_db[0]),
            (found["level_right_dbfs"], -16 + lift + noise_db[1]),
        ]
    return told


def separations(count: int) -> list[tuple[Figure, float]]:
    """Separations of drawn decks, 46 dB by truth, under a hiss that matters."""
    rng = np.random.default_rng(6)
    pairs = [
        stereo(tone(5), tone(5, -58, TONE_HZ), rng, hiss=10 ** rng.uniform(-3, -2))
        for _ in range(count)
    ]
    return [(measure_level(sound)["separation_db"], 46.0) for sound in pairs]


def test_intervals_hold_the_truth() -> None:
    """120 levels, and 100 separations."""
    assert QUICK[0] <= share_held(runs(60)) <= QUICK[1]
    assert QUICK[0] <= share_held(separations(100)) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    assert PROVED[0] <= share_held(runs(1000)) <= PROVED[1]
    assert PROVED[0] <= share_held(separations(2000)) <= PROVED[1]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (tone(1)[:, None], "1.0 s long"),
        (np.zeros((5 * RATE_HZ, 2)), "silent"),
        (np.clip(tone(5, 6), -1, 1)[:, None], "clipped"),
        (np.stack([tone(5), np.zeros(5 * RATE_HZ)], axis=1), "nothing at all"),
    ],
    ids=["short", "silent", "clipped", "empty channel"],
)
def test_what_is_unfit_is_refused(values: Array, words: str) -> None:
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_level(Samples(values, RATE_HZ))
    assert caught.value.do
