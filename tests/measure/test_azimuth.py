"""Azimuth from simulated captures, within its own uncertainty, and what is refused."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator
from math import inf, nextafter

import numpy as np
import pytest
from measure.two_tracks import noise, tones

from diag.errors import MeasureError
from diag.measure.azimuth import RIGHT_PHASE_DEG, measure_azimuth
from diag.measure.sound import Array, Samples
from diag.measure.tape_geometry import SPEED_MM_S, STEREO_ON_3_81_MM, Tracks, delay_of
from diag.model.figures import CheckId
from diag.reading.book import read_book
from diag.reading.location import shipped


@pytest.mark.parametrize("arcmin", [-25.0, -8.0, -0.3, 0.0, 4.0, 12.0, 30.0])
@pytest.mark.parametrize("kind", ["together", "in turn", "noise"])
def test_error_of_the_head_at_40_db(kind: str, arcmin: float) -> None:
    """Within half a minute of arc, past several turns of the phase; sign and size."""
    sound = (
        noise(arcmin, seconds=4)
        if kind == "noise"
        else tones([1000, 6300, 10_000], arcmin, seconds=4, in_turn=kind == "in turn")
    )
    found = measure_azimuth(sound)
    assert found["azimuth_arcmin"].value == pytest.approx(arcmin, abs=0.05)
    assert found["azimuth_arcmin"].uncertainty < 0.5
    assert found["delay_us"].value == pytest.approx(
        1e6 * delay_of(arcmin, STEREO_ON_3_81_MM, SPEED_MM_S), abs=0.3
    )
    assert not found.likely


def test_right_channel_late_is_plus() -> None:
    """Five samples later on the right, by hand."""
    rng = np.random.default_rng(5)
    plain = rng.normal(0, 0.1, 200_005)
    noise_of_tape = rng.normal(0, 0.001, (200_000, 2))
    both = np.stack((plain[5:], plain[:-5]), axis=1) + noise_of_tape
    found = measure_azimuth(Samples(both, 48_000))
    assert found["delay_us"].value == pytest.approx(5 / 0.048, abs=0.05)
    assert found["azimuth_arcmin"].value > 0
    assert "right channel comes late" in found.remarks[0]


@pytest.mark.parametrize(
    ("sound", "words"),
    [
        # 19.8 degrees at 10 kHz a minute, by arithmetic.
        (noise(-7.3), "The left channel comes late: at its track the gap"),
        (noise(2.6), "The right channel comes late: at its track the gap"),
        (noise(1.5), "The channels are 30 degrees apart at 10 kHz, and up to 45 is right: the "),
        (noise(-0.09), "The channels are 2 degrees apart at 10 kHz, and up to 45 is right: the "),
        (tones([10_000], 13.0), "Neither channel is late by more than the uncertainty"),
    ],
)
def test_screw_is_turned_only_where_the_error_is_known_and_matters(
    sound: Samples, words: str
) -> None:
    """A head within the limit stays as it is, and so does one that a lone tone leaves open."""
    told = measure_azimuth(sound).remarks[0]
    assert told.startswith(words)
    assert ("turn it" in told) == ("gap" in words)
    assert ("the screw alone" in told) == ("gap" not in words)


def test_little_that_is_hardly_known_is_right_as_far_as_can_be_told() -> None:
    """Below the limit, but not by more than its uncertainty."""
    found = measure_azimuth(noise(2.2, snr_db=0, seconds=3.1))
    azimuth = found["azimuth_arcmin"]
    # 45 degrees are 2.27 minutes, by arithmetic.
    assert azimuth.uncertainty < azimuth.value < 2.27 < azimuth.value + azimuth.uncertainty
    assert "right as far as can be told" in found.remarks[0]


def test_limit_is_that_of_the_check() -> None:
    """The remark and the book's check call the same azimuth right."""
    check = read_book(shipped(), "cassette").checks[CheckId("azimuth_phase")]
    assert check.answer_for(RIGHT_PHASE_DEG) == "right"
    assert check.answer_for(nextafter(RIGHT_PHASE_DEG, inf)) == "off"


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 96_000])
def test_every_rate(rate_hz: int) -> None:
    """Windows follow the rate."""
    found = measure_azimuth(noise(5.0, rate_hz=rate_hz, seconds=3.2))
    assert found["azimuth_arcmin"].value == pytest.approx(5, abs=0.05)


def test_other_tracks_and_speeds() -> None:
    """Twice as far apart, twice as fast: the same delay is the same azimuth."""
    found = measure_azimuth(noise(5.0), 2 * SPEED_MM_S, Tracks(1.0, 1.8))
    assert found["azimuth_arcmin"].value == pytest.approx(5, abs=0.05)


def test_card_is_taken_off() -> None:
    """What the card does to the channels is no error of the head."""
    found = measure_azimuth(noise(5.0), card_delay_us=5.497)
    assert found["azimuth_arcmin"].value == pytest.approx(4, abs=0.05)  # 5.497 µs a minute


def test_tone_alone_is_open_by_turns() -> None:
    """At 10 kHz a turn is 18.2 minutes: those that fit are told, and the uncertainty holds them."""
    found = measure_azimuth(tones([10_000], 13.0))
    azimuth = found["azimuth_arcmin"]
    assert abs(13.0 - azimuth.value) <= azimuth.uncertainty
    angles = sorted(float(words.split()[0]) for words, _ in found.likely)
    assert np.diff(angles) == pytest.approx(18.19, abs=0.1)
    assert min(abs(angle - 13.0) for angle in angles) < 0.1
    assert sum(chance for _, chance in found.likely) == pytest.approx(1)
    assert any("cycle" in remark for remark in found.remarks)


def test_small_error_of_a_tone_alone_is_believed() -> None:
    """A whole turn off is so rare that a phase near nought is taken for what it is."""
    found = measure_azimuth(tones([10_000], 0.6))
    assert found["azimuth_arcmin"].value == pytest.approx(0.6, abs=0.05)
    assert found["azimuth_arcmin"].uncertainty < 0.5
    assert any("cycle" in remark for remark in found.remarks)


@pytest.mark.parametrize("low_hz", [315, 400, 1000])
def test_low_tone_before_it_tells_the_turn(low_hz: float) -> None:
    """The level tone of a test tape is enough, here one after the other."""
    found = measure_azimuth(tones([low_hz, 10_000], -16.0, in_turn=True))
    assert found["azimuth_arcmin"].value == pytest.approx(-16, abs=0.05)
    assert found["azimuth_arcmin"].uncertainty < 0.5


def test_inverted_channel_is_told() -> None:
    """It doesn't count as half a turn."""
    sound = noise(6.0)
    found = measure_azimuth(Samples(sound.values * [1, -1], sound.rate_hz))
    assert found["azimuth_arcmin"].value == pytest.approx(6, abs=0.05)
    assert any("upside down" in remark for remark in found.remarks)


@pytest.mark.parametrize("weave_hz", [0.5, 1.0, 2.0])
def test_weave(weave_hz: float) -> None:
    """Its root mean square, whatever the rate, and a remark where it is more than usual."""
    sound = tones([1000, 10_000], 3.0, weave_arcmin=1.6, weave_hz=weave_hz, seconds=10)
    found = measure_azimuth(sound)
    weave = found["azimuth_weave_arcmin"]
    assert weave.value == pytest.approx(1.6, rel=0.05)
    assert weave.uncertainty < 0.5
    assert found["azimuth_arcmin"].value == pytest.approx(3, abs=0.1)
    assert any("weaves more" in remark for remark in found.remarks)
    course = found.curves[0]
    assert len(course.x) == len(course.y) <= 400
    assert np.std(course.y) == pytest.approx(1.6, rel=0.1)


def test_steady_head_does_not_weave() -> None:
    """Noise alone makes none."""
    weave = measure_azimuth(noise(3.0, snr_db=20))["azimuth_weave_arcmin"]
    assert weave.value <= weave.uncertainty < 0.1


def test_phase_over_frequency_is_a_straight_line() -> None:
    """Past 180 degrees, too."""
    curve = measure_azimuth(noise(12.0)).curves[1]
    # 12 minutes: 237.5 degrees at 10 kHz, by arithmetic.
    assert np.array(curve.y) == pytest.approx(np.array(curve.x) * 0.023748, abs=2)
    assert max(curve.y) > 200


def covered(runs: int, seed: int) -> float:
    """Share of runs in which the true azimuth lies within the uncertainty."""
    rng = np.random.default_rng(seed)
    hits = 0
    for run in range(runs):
        arcmin, snr_db = rng.uniform(-20, 20), rng.uniform(15, 45)
        sound = (
            noise(arcmin, snr_db=snr_db, seconds=3.1, rate_hz=22_050, seed=seed + run)
            if run % 2
            else tones(
                [1000, 8000],
                arcmin,
                snr_db=snr_db,
                seconds=3.1,
                rate_hz=22_050,
                seed=seed + run,
            )
        )
        azimuth = measure_azimuth(sound)["azimuth_arcmin"]
        hits += abs(azimuth.value - arcmin) <= azimuth.uncertainty
    return hits / runs


def test_uncertainty_holds_the_truth() -> None:
    """In 95 of 100 runs; a hundred of them leave it at 91 to 99."""
    assert 0.91 <= covered(100, 1) <= 0.99


@pytest.mark.proof
def test_uncertainty_holds_the_truth_in_a_thousand() -> None:
    """The same, closer."""
    assert 0.93 <= covered(1500, 10_000) <= 0.97


class _Hour:
    """A tone of 60 minutes that is never in memory as a whole."""

    rate_hz = 48_000
    channels = 2
    frames = 48_000 * 3600

    def blocks(self, frames: int) -> Iterator[Array]:
        rng = np.random.default_rng(0)
        both = rng.normal(0, 0.05, frames)[:, None] + rng.normal(0, 0.001, (frames, 2))
        for at in range(0, self.frames, frames):
            yield both[: min(frames, self.frames - at)]


@pytest.mark.proof
def test_an_hour_fits_into_memory() -> None:
    """Less than 400 MB at the most."""
    tracemalloc.start()
    measure_azimuth(_Hour())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 400e6


@pytest.mark.parametrize(
    ("sound", "words"),
    [
        (noise(3.0, seconds=1.0), "3 s are needed"),
        (
            Samples(np.where(np.arange(160_000)[:, None] == 9, np.nan, noise(3.0).values), 32_000),
            "no numbers",
        ),
        (Samples(noise(3.0).values * 1e-4, 32_000), "silent"),
        (Samples(np.clip(noise(3.0).values * 12, -1, 1), 32_000), "clipped"),
        (Samples(noise(3.0).values[:, :1], 32_000), "one channel"),
        (Samples(noise(3.0).values * [1, 0], 32_000), "dead"),
        (Samples(noise(3.0).values[:, [0, 0]], 32_000), "sample for sample"),
        (
            Samples(np.random.default_rng(3).normal(0, 0.1, (160_000, 2)), 32_000),
            "nothing in common",
        ),
        (tones([315], 3.0), "hardly shows"),
        (
            Samples(noise(3.0, snr_db=-22).values * 0.1, 32_000),
            "nothing in common|agree too little",
        ),
    ],
)
def test_refused(sound: Samples, words: str) -> None:
    """With what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_azimuth(sound)
    assert caught.value.do
