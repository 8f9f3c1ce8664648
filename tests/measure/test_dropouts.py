"""Dropouts and crackle of drawn captures whose events are known."""

from __future__ import annotations

import numpy as np
import pytest
from intervals import PROVED, QUICK, share_held

from diag.errors import MeasureError
from diag.measure.clicks import click_times
from diag.measure.dropouts import measure_dropouts
from diag.measure.events import comes_round, per_minute
from diag.measure.result import Figure
from diag.measure.sound import Array, Samples

RATE_HZ = 22_050
EDGE_S = 2e-3


def tone(
    dips_s: Array,
    rng: np.random.Generator,
    *,
    seconds: float = 30.0,
    depth_db: float | Array = 14.0,
    length_s: float = 0.03,
    hiss: float = 1e-3,
    hz: float = 3150.0,
) -> Array:
    """One channel: a tone that dips at these times."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    gain = np.ones(len(times))
    for begin, depth in zip(dips_s, np.broadcast_to(depth_db, len(dips_s)), strict=True):
        at = slice(int(begin * RATE_HZ), int((begin + length_s + 2 * EDGE_S) * RATE_HZ))
        inside = np.clip((times[at] - begin) / EDGE_S, 0, 1) * np.clip(
            (begin + length_s + EDGE_S - times[at]) / EDGE_S, 0, 1
        )
        gain[at] = 10 ** (-depth / 20 * inside)
    sway = 2e-3 * hz / 7 * np.sin(2 * np.pi * 7 * times)
    wave = 0.2 * gain * np.sin(2 * np.pi * hz * times + sway)
    return wave[:, None] + rng.normal(0, hiss, (len(times), 1))


def clicking(values: Array, clicks_s: Array, size: float = 0.05) -> Array:
    """The same with a click at each of these times: a jump that dies away in a millisecond."""
    shape = size * np.exp(-np.arange(60) / 10) * np.where(np.arange(60) % 2, -1.0, 1.0)
    clicked = values.copy()
    for begin in clicks_s:
        at = round(begin * RATE_HZ)
        clicked[at : at + 60] += shape[: len(clicked) - at, None]
    return clicked


def apart(count: int, seconds: float, rng: np.random.Generator) -> Array:
    """Chance times, none within a tenth of a second of another: two would count as one."""
    free = np.sort(rng.uniform(0.2, seconds - 0.3 - 0.1 * count, count))
    times: Array = free + 0.1 * np.arange(count)
    return times


def test_each_dropout_is_found_with_its_depth_and_length() -> None:
    """Eight dips of 14 dB and some 30 ms."""
    rng = np.random.default_rng(1)
    found = measure_dropouts(Samples(tone(apart(8, 30, rng), rng), RATE_HZ))
    assert found["dropouts_per_minute"].value == pytest.approx(16, rel=0.1)
    assert found["dropout_depth_db"].value == pytest.approx(14, abs=0.5)
    assert found["dropout_length_ms"].value == pytest.approx(31.5, abs=3)
    assert found["crackle_per_minute"].value == 0
    assert any("8 dropouts" in remark for remark in found.remarks)


@pytest.mark.parametrize("hz", [315.0, 1000.0, 6300.0])
def test_a_steady_tone_has_none(hz: float) -> None:
    """Neither hiss nor flutter nor a slow change of level counts."""
    rng = np.random.default_rng(2)
    values = tone(np.zeros(0), rng, hz=hz, hiss=5e-3)
    values *= np.linspace(1.0, 0.3, len(values))[:, None]
    found = measure_dropouts(Samples(values, RATE_HZ))
    assert [figure.key for figure in found.figures] == ["dropouts_per_minute", "crackle_per_minute"]
    assert found["dropouts_per_minute"].value == found["crackle_per_minute"].value == 0


@pytest.mark.parametrize(
    ("drawn", "count"),
    [
        ({"depth_db": 4.5}, 0),
        ({"depth_db": 8.0}, 6),
        ({"length_s": 0.004}, 0),
        ({"length_s": 0.016}, 6),
    ],
    ids=["shallow", "deep", "short", "long"],
)
def test_only_what_is_deep_and_long_enough_counts(drawn: dict[str, float], count: int) -> None:
    """6 dB and 10 ms."""
    rng = np.random.default_rng(3)
    values = tone(apart(6, 30, rng), rng, **drawn)  # type: ignore[arg-type]
    found = measure_dropouts(Samples(values, RATE_HZ))
    assert round(found["dropouts_per_minute"].value / 2) == count


@pytest.mark.parametrize("with_tone", [True, False], ids=["tone", "blank tape"])
def test_clicks_are_found_over_a_tone_and_without(with_tone: bool) -> None:
    """34 dB below full scale, under a tone at 14."""
    rng = np.random.default_rng(4)
    values = tone(np.zeros(0), rng) if with_tone else rng.normal(0, 1e-3, (30 * RATE_HZ, 1))
    times = apart(9, 30, rng)
    found = measure_dropouts(Samples(clicking(values, times, 0.02), RATE_HZ))
    assert found["crackle_per_minute"].value == pytest.approx(18, rel=0.05)
    (clicks,), _ = click_times(Samples(clicking(values, times, 0.02), RATE_HZ))
    assert clicks == pytest.approx(times, abs=2e-3)
    told = any("can't be told" in remark for remark in found.remarks)
    assert told != with_tone


@pytest.mark.parametrize(("period_s", "seconds"), [(0.132, 20.0), (0.85, 30.0), (2.4, 60.0)])
def test_events_that_come_round_tell_their_period(period_s: float, seconds: float) -> None:
    """A capstan, a pinch roller and a hub; some turns are missed, some dips are by chance."""
    rng = np.random.default_rng(5)
    turns = np.arange(0.4, seconds - 2, period_s)
    turns = turns[rng.uniform(size=len(turns)) < 0.8]
    times = np.sort([*turns + rng.normal(0, 0.01 * period_s, len(turns)), 7.77, 13.3])
    found = measure_dropouts(Samples(tone(times, rng, seconds=seconds, length_s=0.02), RATE_HZ))
    period = found["dropout_period_s"]
    assert abs(period.value - period_s) < max(1.5 * period.uncertainty, 1e-4)
    assert period.uncertainty < 0.01 * period_s
    assert any("a part that turns" in remark for remark in found.remarks)


def test_crackle_that_comes_round_tells_its_period() -> None:
    """A hub that pops."""
    rng = np.random.default_rng(6)
    values = clicking(tone(np.zeros(0), rng), np.arange(0.5, 29, 1.3))
    found = measure_dropouts(Samples(values, RATE_HZ))
    assert found["crackle_period_s"].value == pytest.approx(1.3, abs=2e-3)


def test_chance_seldom_passes_for_a_rate() -> None:
    """Chance times; one in a hundred may pass, so of 200 hardly more than six."""
    rng = np.random.default_rng(7)
    passed = [comes_round(np.sort(rng.uniform(0, 30, 20)), 30.0) for _ in range(200)]
    assert sum(found is not None for found in passed) <= 6


def test_the_channel_that_drops_out_more_is_told() -> None:
    """Dirt on one track of the head."""
    rng = np.random.default_rng(8)
    both = np.hstack([tone(apart(2, 30, rng), rng), tone(apart(9, 30, rng), rng)])
    found = measure_dropouts(Samples(both, RATE_HZ))
    assert found["dropouts_per_minute"].value == pytest.approx(18, rel=0.1)
    assert any("right channel" in remark for remark in found.remarks)


def runs(count: int) -> dict[str, list[tuple[Figure, float]]]:
    """Rates and depths of drawn captures with their true values."""
    rng = np.random.default_rng(9)
    seconds = 21.8
    told: dict[str, list[tuple[Figure, float]]] = {"rate": [], "depth": []}
    for _ in range(count):
        rate = rng.uniform(10, 50)
        dips = apart(rng.poisson(rate * seconds / 60), seconds, rng)
        depths = rng.normal(12, 1.0, len(dips))
        values = tone(dips, rng, seconds=seconds, depth_db=depths)
        found = measure_dropouts(Samples(values, RATE_HZ))
        told["rate"].append((found["dropouts_per_minute"], rate))
        told["depth"] += [(f, 12.0) for f in found.figures if f.key == "dropout_depth_db"]
    return told


def counts(count: int) -> float:
    """Share of drawn counts whose interval holds the rate behind them, of 10 to 50 a minute."""
    rng = np.random.default_rng(12)
    pairs = []
    for rate in rng.uniform(10, 50, count):
        figure = per_minute("dropouts_per_minute", "", int(rng.poisson(rate * 22 / 60)), 22.0)
        pairs.append((figure, rate))
    return share_held(pairs)


def periods(count: int) -> float:
    """Share of drawn turns whose period lies in the interval."""
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(count):
        true_s = rng.uniform(0.3, 1.2)
        turns = np.arange(rng.uniform(0.3, 1.2), 40.0, true_s)
        found = comes_round(turns + rng.normal(0, 0.02 * true_s, len(turns)), 40.0)
        assert found is not None
        held += abs(found.period_s - true_s) <= found.uncertainty_s
    return held / count


def test_intervals_hold_the_truth() -> None:
    """Counts are whole, so that their interval may hold the rate more often."""
    told = runs(12)
    assert sum(share_held(pairs) for pairs in told.values()) / 2 >= 0.85
    assert PROVED[0] <= counts(2000) <= PROVED[1]
    assert QUICK[0] <= periods(200) <= QUICK[1]


@pytest.mark.proof
def test_intervals_hold_the_truth_in_95_of_100() -> None:
    """As the quick test, with enough runs to tell 93 from 95."""
    for pairs in runs(600).values():
        assert PROVED[0] <= share_held(pairs) <= PROVED[1]
    assert PROVED[0] <= periods(2000) <= PROVED[1]


def tape_ends(rng: np.random.Generator) -> Array:
    """The tone stops after two thirds."""
    values = tone(np.zeros(0), rng)
    values[20 * RATE_HZ :] = rng.normal(0, 1e-3, (10 * RATE_HZ, 1))
    return values


RNG = np.random.default_rng(10)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (tone(np.zeros(0), RNG, seconds=10), "10.0 s long"),
        (np.zeros((30 * RATE_HZ, 1)), "silent"),
        (np.clip(10 * tone(np.zeros(0), RNG), -1, 1), "clipped"),
        (tape_ends(RNG), "gone for 3[0-9]% of the time"),
    ],
    ids=["short", "silent", "clipped", "tape ends"],
)
def test_what_is_unfit_is_refused(values: Array, words: str) -> None:
    """Each with what was found and what to do."""
    with pytest.raises(MeasureError, match=words) as caught:
        measure_dropouts(Samples(values, RATE_HZ))
    assert caught.value.do
