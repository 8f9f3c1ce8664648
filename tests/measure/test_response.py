"""Response from simulated test tapes: levels, what they look like, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from measure.replayed import RATE_HZ, played

from diag.errors import MeasureError
from diag.measure.equalisation import mistaken_db
from diag.measure.losses import azimuth_loss_db, gap_loss_db, spacing_loss_db
from diag.measure.response import measure_response
from diag.measure.result import Measurement
from diag.measure.sound import Array, Samples
from diag.measure.tape_geometry import SPEED_MM_S, STEREO_ON_3_81_MM, delay_of
from diag.measure.tape_levels import levels_of_noise, levels_of_tones
from diag.model import test_tape

TONES = test_tape.TestTape(
    id="tones",
    says="tones",
    holds="tones",
    tones_hz=(315, 40, 63, 125, 250, 1000, 4000, 6300, 8000, 10_000, 12_500, 14_000),
    reference_hz=315,
    replay_us=120,
)
SWEEP = test_tape.TestTape(
    id="sweep",
    says="sweep",
    holds="sweep",
    low_hz=40,
    high_hz=14_000,
    reference_hz=1000,
    replay_us=120,
)
NOISE = test_tape.TestTape(
    id="noise",
    says="noise",
    holds="noise",
    low_hz=63,
    high_hz=14_000,
    reference_hz=1000,
    replay_us=70,
)


def flat(hz: Array) -> Array:
    """A right deck."""
    return np.zeros_like(hz)


def wavy(hz: Array) -> Array:
    """Six decibels of ups and downs."""
    return 3 * np.sin(2 * np.log2(hz))


def dirty(hz: Array) -> Array:
    """0.4 µm between tape and head."""
    return spacing_loss_db(hz, 0.4, SPEED_MM_S)


def askew(hz: Array) -> Array:
    """Twelve minutes of arc."""
    return azimuth_loss_db(hz, 12.0, 0.6, SPEED_MM_S)


def worn(hz: Array) -> Array:
    """A gap of 2.2 µm where 1 µm is made up for."""
    return gap_loss_db(hz, 2.2, SPEED_MM_S) - gap_loss_db(hz, 1.0, SPEED_MM_S)


def other_setting(hz: Array) -> Array:
    """A tape for 120 µs on a deck at 70."""
    return mistaken_db(hz, 120.0, 70.0)


@pytest.mark.parametrize(
    ("tape", "off_db"), [(TONES, 0.1), (SWEEP, 0.2), (NOISE, 0.6)], ids=lambda p: str(p)[:0] or None
)
def test_levels(tape: test_tape.TestTape, off_db: float) -> None:
    """Tones within a tenth; noise by its own scatter in the bass."""
    found = measure_response(played(tape, wavy, seconds=1.5), tape)
    curve = found.curves[0]
    hz = np.array(curve.x)
    truth = wavy(hz) - wavy(np.array([tape.reference_hz]))
    assert np.array(curve.y) == pytest.approx(truth, abs=off_db)
    assert {curve.name for curve in found.curves} == {"response_left", "response_right"}


@pytest.mark.parametrize("speed", [0.96, 1.04])
def test_speed_does_not_matter(speed: float) -> None:
    """Tones are known four in a hundred off."""
    found = measure_response(played(TONES, flat, speed=speed, seconds=1.3), TONES)
    assert found["response_315_to_10k_db"].value == pytest.approx(0, abs=0.1)
    assert len(found.curves[0].x) == len(TONES.tones_hz)


def test_level_section_before_it_does_not_count() -> None:
    """The same tones 10 dB higher stand before the response section."""
    sound = played(TONES, flat, before=((315, 10.0), (10_000, 10.0)), seconds=1.3)
    found = measure_response(sound, TONES)
    assert found["response_315_to_10k_db"].value == pytest.approx(0, abs=0.1)
    assert found["response_315_to_1k_db"].value == pytest.approx(0, abs=0.1)


def likeliest(found: Measurement) -> tuple[str, float]:
    """The first of the causes."""
    assert sum(chance for _, chance in found.likely) == pytest.approx(1)
    return found.likely[0]


def test_flat_is_right() -> None:
    """No loss, no bump, no space."""
    found = measure_response(played(TONES, flat, seconds=1.3), TONES)
    assert likeliest(found)[0] == "the treble is right"
    assert found["spacing_um"].value <= found["spacing_um"].uncertainty < 0.1
    bump = found["head_bump_db"]
    assert abs(bump.value) <= bump.uncertainty
    assert found["response_spread_40_to_12500_hz_db"].value < 0.2


def test_dirt() -> None:
    """Loss in proportion to frequency."""
    found = measure_response(played(TONES, dirty, seconds=1.3), TONES)
    word, chance = likeliest(found)
    assert word.startswith("tape kept off")
    assert chance > 0.8
    assert found["spacing_um"].value == pytest.approx(0.4, abs=0.1)


def test_other_setting() -> None:
    """-4.4 dB at 10 kHz re 315 Hz, by arithmetic; most of it already at 4 kHz."""
    found = measure_response(played(TONES, other_setting, seconds=1.3), TONES)
    assert found["response_315_to_10k_db"].value == pytest.approx(-4.38, abs=0.1)
    assert likeliest(found)[0] == "deck at 70 µs"


def test_azimuth_is_known_by_the_phase() -> None:
    """The level falls alike for a worn gap; the delay between the channels tells."""
    late_s = delay_of(12.0, STEREO_ON_3_81_MM, SPEED_MM_S)
    found = measure_response(played(TONES, askew, late_s=late_s, seconds=1.3), TONES)
    assert likeliest(found)[0] == "azimuth"
    straight = measure_response(played(TONES, worn, seconds=1.3), TONES)
    assert likeliest(straight)[0] == "gap worn open"


def test_one_channel_can_not_tell_azimuth_from_gap() -> None:
    """Both are named, and neither is sure."""
    found = measure_response(played(TONES, worn, channels=1, seconds=1.3), TONES)
    assert {word for word, _ in found.likely[:2]} == {"azimuth", "gap worn open"}
    assert likeliest(found)[1] < 0.97
    assert found["azimuth_by_level_arcmin"].uncertainty > 3


def test_head_bump() -> None:
    """3 dB at 70 Hz."""
    found = measure_response(
        played(TONES, lambda hz: 3 * np.exp(-((np.log2(hz / 70) / 0.4) ** 2) / 2), seconds=1.3),
        TONES,
    )
    bump = found["head_bump_db"]
    assert abs(bump.value - 3) <= bump.uncertainty
    assert bump.value > 2


def test_unlike_channels_and_a_dead_one() -> None:
    """Told, and the dead one left out."""
    good, bad = played(TONES, flat, seconds=1.3), played(TONES, dirty, seconds=1.3)
    both = np.stack((good.values[:, 0], bad.values[:, 1]), axis=1)
    found = measure_response(Samples(both, RATE_HZ), TONES)
    assert any("right channel has less treble" in remark for remark in found.remarks)
    assert found["response_315_to_10k_left_db"].value == pytest.approx(0, abs=0.2)
    alone = measure_response(Samples(good.values * [1, 1e-4], RATE_HZ), TONES)
    assert any("dead" in remark for remark in alone.remarks)
    assert len(alone.curves) == 1


def test_tone_lost_is_told() -> None:
    """A null at 14 kHz."""
    found = measure_response(
        played(TONES, lambda hz: np.where(hz > 13_000, -80.0, 0.0), seconds=1.3), TONES
    )
    assert "Not found: 14 kHz." in found.remarks


def fluctuating(seconds: float, rng: np.random.Generator) -> Array:
    """A tape's level, 0.3 dB up and down within a few tenths of a second; shape (frames,)."""
    grid = np.zeros(int(seconds * 20) + 3)
    for n in range(1, len(grid)):
        grid[n] = 0.6 * grid[n - 1] + 0.8 * 0.3 * rng.normal()
    return 10 ** (
        np.interp(np.arange(int(seconds * 22_050)) / 22_050 * 20, range(len(grid)), grid) / 20
    )


def tone_levels_covered(runs: int, seed: int) -> float:
    """Share of levels whose uncertainty holds the truth."""
    rng = np.random.default_rng(seed)
    hits = []
    for _ in range(runs):
        t = np.arange(5 * 22_050) / 22_050
        tones = [np.sin(2 * np.pi * hz * t) * fluctuating(5, rng) for hz in (315, 6300)]
        one = 0.1 * np.concatenate(tones)
        sound = Samples((one + rng.normal(0, 0.003, len(one)))[:, None], 22_050)
        levels = levels_of_tones(sound, [0], [315, 6300])
        off = np.abs(levels.db - 10 * np.log10(0.1**2 / 2))
        hits += (off <= levels.uncertainty_db)[:, 0].tolist()
    return float(np.mean(hits))


def noise_levels_covered(runs: int, seed: int) -> float:
    """The same for bands of pink noise against each other."""
    hits = []
    for run in range(runs):
        sound = played(NOISE, flat, seconds=0.5, snr_db=90, channels=1, seed=seed + run)
        levels = levels_of_noise(sound, [0], 63, 14_000)
        off = np.abs(levels.db[1:] - levels.db[:-1])
        half = np.hypot(levels.uncertainty_db[1:], levels.uncertainty_db[:-1])
        hits += (off <= half)[:, 0].tolist()
    return float(np.mean(hits))


def test_uncertainty_of_levels_holds_the_truth() -> None:
    """In 95 of 100; 80 tones leave it at 88 to 100, 500 bands at 92 to 98."""
    assert tone_levels_covered(40, 1) >= 0.88
    assert 0.92 <= noise_levels_covered(20, 1) <= 0.98


@pytest.mark.proof
def test_uncertainty_of_levels_holds_the_truth_in_many() -> None:
    """The same, closer."""
    assert 0.93 <= tone_levels_covered(600, 1000) <= 0.97
    assert 0.93 <= noise_levels_covered(200, 1000) <= 0.97


@pytest.mark.parametrize(
    ("sound", "words"),
    [
        (Samples(np.zeros((RATE_HZ, 2)), RATE_HZ), "5 s are needed"),
        (Samples(np.zeros((10 * RATE_HZ, 2)), RATE_HZ), "silent"),
        (Samples(np.full((10 * RATE_HZ, 2), np.nan), RATE_HZ), "no numbers"),
        (
            Samples(np.clip(played(TONES, flat, seconds=1.3).values * 30, -1, 1), RATE_HZ),
            "clipped",
        ),
        (played(NOISE, flat, seconds=0.5), "of the 12 tones"),
    ],
    ids=["short", "silent", "nan", "clipped", "noise"],
)
def test_refused(sound: Samples, words: str) -> None:
    """With what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_response(sound, TONES)
    assert caught.value.do


def test_reference_lost_is_refused() -> None:
    """Nothing to hold the others against."""
    sound = played(TONES, lambda hz: np.where(hz == 315, -90.0, 0.0), seconds=1.3)
    with pytest.raises(MeasureError, match="315 Hz was not found"):
        measure_response(sound, TONES)


def test_tones_are_no_sweep() -> None:
    """The wrong description."""
    with pytest.raises(MeasureError, match="no slow sweep"):
        measure_response(played(TONES, flat, seconds=1.3), SWEEP)
