"""Harmonics of drawn tones whose distortion is known."""

from __future__ import annotations

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure.distortion import measure_distortion
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples

RATE_HZ = 22_050


def tone(
    shares: dict[int, float],
    rng: np.random.Generator,
    *,
    hz: float = 315.0,
    seconds: float = 8.0,
    flutter: float = 0.0,
    hiss: float = 1e-3,
    rate_hz: int = RATE_HZ,
    size: float = 0.3,
) -> Array:
    """One channel: a tone with harmonics of these shares, swaying by `flutter` at 7 Hz."""
    times = np.arange(round(seconds * rate_hz)) / rate_hz
    phase = 2 * np.pi * hz * (times - flutter * np.cos(2 * np.pi * 7 * times) / (2 * np.pi * 7))
    values = np.sin(phase)
    for order, share in shares.items():
        values += share * np.sin(order * phase + rng.uniform(0, 2 * np.pi))
    return size * values[:, None] + rng.normal(0, hiss, (len(times), 1))


@pytest.mark.parametrize("hz", [315.0, 333.0, 400.0, 1000.0])
@pytest.mark.parametrize("flutter", [0.0, 0.01])
def test_harmonics_are_found_under_flutter(hz: float, flutter: float) -> None:
    """One percent of flutter smears a third harmonic over 19 Hz, and changes no figure."""
    rng = np.random.default_rng(1)
    shares = {2: 0.004, 3: 0.03, 5: 0.005}
    found = measure_distortion(Samples(tone(shares, rng, hz=hz, flutter=flutter), RATE_HZ))
    assert found["third_harmonic_percent"].value == pytest.approx(3.0, abs=0.02)
    assert found["second_harmonic_percent"].value == pytest.approx(0.4, abs=0.02)
    assert found["thd_percent"].value == pytest.approx(3.068, abs=0.02)


def test_a_cubic_bend_makes_the_third_harmonic_of_the_textbook() -> None:
    """Less c of its cube, a sine of size a has c a^2 / 4 over 1 - 3 c a^2 / 4; by trigonometry."""
    wave = tone({}, np.random.default_rng(2), size=0.5, hiss=1e-5)
    found = measure_distortion(Samples(wave - 0.5 * wave**3, RATE_HZ))
    truth = 100 * 0.5 * 0.25 / 4 / (1 - 0.75 * 0.5 * 0.25)
    assert found["third_harmonic_percent"].value == pytest.approx(truth, rel=1e-3)


def test_three_percent_is_30_5_db_down() -> None:
    """As the minimum of DIN 45500 is printed in both ways."""
    wave = tone({3: 10 ** (-30.5 / 20)}, np.random.default_rng(3))
    found = measure_distortion(Samples(wave, RATE_HZ))
    assert found["third_harmonic_percent"].value == pytest.approx(3.0, abs=0.03)


def test_what_lies_before_and_after_the_tone_does_not_count() -> None:
    """Nor does the window in which the tone begins or ends, whose edge is full of harmonics."""
    wave = tone({3: 0.01}, np.random.default_rng(11), seconds=15.6)
    wave[: int(4.1 * RATE_HZ)] *= 1e-3
    wave[int(12.9 * RATE_HZ) :] = 0
    found = measure_distortion(Samples(wave, RATE_HZ))["third_harmonic_percent"]
    assert abs(found.value - 1.0) <= found.uncertainty < 0.02


def test_a_tone_that_stops_too_soon_is_refused() -> None:
    """What counts is how long the tone plays."""
    wave = tone({3: 0.01}, np.random.default_rng(12))
    wave[int(4.1 * RATE_HZ) :] *= 1e-3
    with pytest.raises(MeasureError, match=r"plays steadily for 4\.0 s only; 5 s are needed"):
        measure_distortion(Samples(wave, RATE_HZ))


def test_a_tone_without_harmonics_reads_next_to_nothing() -> None:
    """Noise doesn't pass for distortion: its interval reaches down to nothing."""
    found = measure_distortion(Samples(tone({}, np.random.default_rng(4)), RATE_HZ))
    for figure in found.figures:
        assert figure.value - figure.uncertainty <= 0
        assert figure.value + figure.uncertainty < 0.02


def test_each_channel_is_told_and_the_worse_one_decides() -> None:
    """A second harmonic above the third is told with what makes it."""
    rng = np.random.default_rng(5)
    both = np.hstack([tone({3: 0.01}, rng), tone({2: 0.02, 3: 0.005}, rng)])
    found = measure_distortion(Samples(both, RATE_HZ))
    assert found["third_harmonic_percent"].value == found["third_harmonic_left_percent"].value
    assert found["third_harmonic_right_percent"].value == pytest.approx(0.5, abs=0.02)
    assert found["second_harmonic_percent"].value == pytest.approx(2.0, abs=0.02)
    assert any("magnetised" in remark for remark in found.remarks)


def test_the_card_widens_the_interval_by_what_it_makes() -> None:
    """Whether its harmonics add or take off is not known."""
    rng = np.random.default_rng(6)
    deck = Samples(tone({3: 0.01}, rng), RATE_HZ)
    good = Samples(tone({3: 1e-4}, rng), RATE_HZ)
    poor = Samples(tone({3: 5e-3}, rng), RATE_HZ)
    alone, with_good, with_poor = (
        measure_distortion(deck, card=card) for card in (None, good, poor)
    )
    key = "third_harmonic_percent"
    assert any("card's own" in remark for remark in alone.remarks)
    assert with_good[key].uncertainty == pytest.approx(alone[key].uncertainty + 0.01, abs=0.01)
    assert with_poor[key].uncertainty == pytest.approx(alone[key].uncertainty + 0.5, abs=0.02)
    assert not any("told apart" in remark for remark in with_good.remarks)
    assert any("told apart" in remark for remark in with_poor.remarks)


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        ({"size": 0.05}, "16 dB off"),
        ({"hz": 400.0}, "277 to 353 Hz are needed"),
    ],
    ids=["level", "tone"],
)
def test_a_capture_of_the_card_that_is_not_alike_is_refused(
    drawn: dict[str, float], words: str
) -> None:
    """Its distortion goes with level and frequency."""
    rng = np.random.default_rng(7)
    card = Samples(tone({}, rng, **drawn), RATE_HZ)  # type: ignore[arg-type]
    with pytest.raises(MeasureError, match=words):
        measure_distortion(Samples(tone({}, rng), RATE_HZ), card=card)


def runs(count: int) -> dict[str, list[tuple[Figure, float]]]:
    """Figures of drawn tones with their true values, from under the noise to 3 %."""
    rng = np.random.default_rng(8)
    told: dict[str, list[tuple[Figure, float]]] = {"third_harmonic_percent": [], "thd_percent": []}
    for _ in range(count):
        shares = {2: 10 ** rng.uniform(-4, -2.5), 3: 10 ** rng.uniform(-4, -1.5)}
        values = tone(shares, rng, hiss=5e-3, flutter=2e-3, seconds=6.5)
        found = measure_distortion(Samples(values, RATE_HZ))
        told["third_harmonic_percent"].append((found["third_harmonic_percent"], 100 * shares[3]))
        told["thd_percent"].append((found["thd_percent"], 100 * float(np.hypot(*shares.values()))))
    return told


def test_intervals_hold_the_truth() -> None:
    """100 tones in hiss."""
    for pairs in runs(100).values():
        assert QUICK[0] <= share_held(pairs) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    for pairs in runs(1500).values():
        assert PROVED[0] <= share_held(pairs) <= PROVED[1]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (tone({}, np.random.default_rng(9), seconds=3), "3.0 s long"),
        (np.zeros((8 * RATE_HZ, 1)), "silent"),
        (np.clip(tone({}, np.random.default_rng(9), size=2.0), -1, 1), "clipped"),
        (tone({}, np.random.default_rng(9), hz=3150), "tone of 3150 Hz"),
        (tone({}, np.random.default_rng(9), size=1e-3, hiss=0.01), "no tone stands out"),
        (
            np.hstack(
                [tone({}, np.random.default_rng(9)), tone({}, np.random.default_rng(9), size=0.0)]
            ),
            "no tone stands out in the right channel",
        ),
    ],
    ids=["short", "silent", "clipped", "wrong tone", "noise", "one channel"],
)
def test_what_is_unfit_is_refused(values: Array, words: str) -> None:
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_distortion(Samples(values, RATE_HZ))
    assert caught.value.do


def test_the_nominal_tone_is_minded() -> None:
    """A tone 12 % off speed passes, another nominal doesn't."""
    sound = Samples(tone({3: 0.01}, np.random.default_rng(10), hz=315 * 1.1), RATE_HZ)
    found = measure_distortion(sound, nominal_hz=315.0)
    assert found["third_harmonic_percent"].value == pytest.approx(1.0, abs=0.02)
    with pytest.raises(MeasureError, match="needed"):
        measure_distortion(sound, nominal_hz=1000.0)
