"""Hum of drawn captures whose lines are known."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure.hum import measure_hum
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples

RATE_HZ = 22_050
PICKED_UP = {1: 1e-3, 2: 5e-5, 3: 3e-4, 5: 1e-4}
RIPPLE = {2: 1e-3, 4: 3e-4, 6: 1e-4}
HALF_WAVE = {order: 1e-3 / order for order in range(1, 11)}


def hum(
    lines: dict[int, float],
    rng: np.random.Generator,
    mains_hz: float = 50.0,
    seconds: float = 14.0,
    hiss: float = 1e-3,
) -> Array:
    """One channel of hiss with sines at multiples of the mains frequency."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    values = rng.normal(0, hiss, len(times))
    for order, size in lines.items():
        phase = rng.uniform(0, 2 * np.pi)
        values += size * np.sin(2 * np.pi * order * mains_hz * times + phase)
    return values[:, None]


def dbfs(*sizes: float) -> float:
    """Level of sines together re one that fills the scale."""
    return float(10 * np.log10(sum(size**2 for size in sizes)))


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("off", [0.9985, 1.0, 1.0015])
def test_lines_and_mains_frequency_are_found(mains_hz: float, off: float) -> None:
    """Also where grid and card are 0.15 % off together."""
    rng = np.random.default_rng(1)
    found = measure_hum(Samples(hum(PICKED_UP, rng, mains_hz * off), RATE_HZ))
    assert found["hum_dbfs"].value == pytest.approx(dbfs(*PICKED_UP.values()), abs=0.15)
    assert found[f"hum_{mains_hz:.0f}hz_dbfs"].value == pytest.approx(-60, abs=0.15)
    assert found[f"hum_{3 * mains_hz:.0f}hz_dbfs"].value == pytest.approx(dbfs(3e-4), abs=0.3)
    assert f"{mains_hz:.0f} Hz mains" in found["hum_dbfs"].says


@pytest.mark.parametrize(
    ("lines", "origin"),
    [(PICKED_UP, "picked up"), (RIPPLE, "ripple")],
    ids=["picked up", "ripple"],
)
@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
def test_the_origin_follows_from_odd_and_even_lines(
    lines: dict[int, float], origin: str, mains_hz: float
) -> None:
    """Common practice: the mains rate is picked up, twice the rate is ripple."""
    found = measure_hum(Samples(hum(lines, np.random.default_rng(2), mains_hz), RATE_HZ))
    says, chance = found.likely[0]
    assert says.startswith(origin)
    assert 0.8 < chance < 0.995
    assert sum(chance for _, chance in found.likely) == pytest.approx(1.0)
    assert all(one[1] >= other[1] for one, other in pairwise(found.likely))


def test_half_wave_ripple_raises_the_chance_of_an_open_diode() -> None:
    """From its share of 4 % in decks that hum to more than five times that."""
    found = measure_hum(Samples(hum(HALF_WAVE, np.random.default_rng(3)), RATE_HZ))
    assert dict(found.likely)["one rectifier diode open"] > 0.2


def test_a_tone_between_the_lines_is_no_hum() -> None:
    """A whine of 333 Hz, and a line of 75 Hz."""
    rng = np.random.default_rng(4)
    values = hum({}, rng, hiss=1e-4) + hum({1: 1e-3}, rng, 333.0) + hum({1: 1e-3}, rng, 75.0)
    found = measure_hum(Samples(values, RATE_HZ))
    assert found.figures[0].key == "hum_at_most_dbfs"


def test_no_hum_gives_a_limit_that_holds() -> None:
    """A line too weak to stand out lies under the limit in nearly every capture."""
    rng = np.random.default_rng(5)
    limits = [
        measure_hum(Samples(hum({1: 1e-5}, rng), RATE_HZ), mains_hz=50.0).figures[0]
        for _ in range(40)
    ]
    assert {figure.key for figure in limits} == {"hum_at_most_dbfs"}
    assert sum(figure.value > dbfs(1e-5) for figure in limits) >= 37


def test_the_channel_that_hums_more_is_told_re_its_reference() -> None:
    """A figure of -10 dB shifts every level by ten; the remark names the channel."""
    rng = np.random.default_rng(6)
    both = Samples(np.hstack([hum({}, rng), hum(RIPPLE, rng)]), RATE_HZ)
    found = measure_hum(both, reference_dbfs=-10.0)
    assert found["hum_db"].value == pytest.approx(dbfs(*RIPPLE.values()) + 10, abs=0.2)
    assert found["hum_100hz_db"].value == pytest.approx(-50, abs=0.2)
    assert any("right channel" in remark for remark in found.remarks)


def test_lines_of_both_mains_are_told() -> None:
    """A tape recorded elsewhere; saying which mains is ours picks its lines."""
    rng = np.random.default_rng(7)
    values = hum({1: 1e-3}, rng) + hum({1: 8e-4}, rng, 60.0)
    found = measure_hum(Samples(values, RATE_HZ))
    assert any("50 and of 60 Hz" in remark for remark in found.remarks)
    ours = measure_hum(Samples(values, RATE_HZ), mains_hz=60.0)
    assert ours["hum_60hz_dbfs"].value == pytest.approx(dbfs(8e-4), abs=0.2)


def runs(count: int) -> list[tuple[Figure, float]]:
    """Figures of drawn captures with their true values: all lines, and the first."""
    rng = np.random.default_rng(8)
    told = []
    for _ in range(count):
        lines = {order: size * rng.uniform(0.3, 1.0) for order, size in PICKED_UP.items()}
        found = measure_hum(Samples(hum(lines, rng, rng.choice([50.0, 60.0]) + 0.02), RATE_HZ))
        told.append((found["hum_dbfs"], dbfs(*lines.values())))
        first = next(figure for figure in found.figures if figure.key in FIRST)
        told.append((first, dbfs(lines[1])))
    return told


FIRST = ("hum_50hz_dbfs", "hum_60hz_dbfs")


def test_intervals_hold_the_truth() -> None:
    """60 captures, two figures each."""
    assert QUICK[0] <= share_held(runs(60)) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    assert PROVED[0] <= share_held(runs(1000)) <= PROVED[1]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (np.full((8 * RATE_HZ, 1), 1e-3), "8.0 s long"),
        (np.zeros((14 * RATE_HZ, 2)), "silent"),
        (hum({1: 0.5}, np.random.default_rng(9)), "too loud for a pause"),
        (np.clip(hum({1: 3.0}, np.random.default_rng(9)), -1, 1), "clipped"),
    ],
    ids=["short", "silent", "loud", "clipped"],
)
def test_what_is_no_pause_is_refused(values: Array, words: str) -> None:
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_hum(Samples(values, RATE_HZ))
    assert caught.value.do


def test_a_mains_frequency_that_no_land_has_is_refused() -> None:
    """Only 50 and 60 Hz are known."""
    sound = Samples(hum(RIPPLE, np.random.default_rng(10)), RATE_HZ)
    with pytest.raises(MeasureError, match="no mains has 55 Hz"):
        measure_hum(sound, mains_hz=55.0)
