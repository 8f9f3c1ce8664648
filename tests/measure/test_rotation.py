"""Lines matched to parts, on invented decks whose culprit is known."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from drawn_tone import tone
from rotating_deck import RATE_HZ, REACHES_HZ, SPEED, Deck, draw_deck, draw_steady

from diag.errors import MeasureError
from diag.measure.demodulate import SpeedSeries, speed_series
from diag.measure.geometry import PARTS, Geometry
from diag.measure.result import Measurement
from diag.measure.rotation import HARMONICS, PRIORS, match_rotation
from diag.measure.sound import Array, Samples

TOGETHER = {"flywheel": "capstan", "motor pulley": "motor"}
"""Parts on one shaft: their rate is one."""
KNOWN = Geometry(
    drive="belt",
    capstan_mm=2.5,
    flywheel_mm=65,
    motor_pulley_mm=8.6,
    belt_mm=252,
    pinch_roller_mm=13,
    tape_um=18,
    played=0.5,
)


def by_shaft(found: Measurement) -> Counter[str]:
    """Chances of what turns together, added up."""
    chances: Counter[str] = Counter()
    for part, chance in found.likely:
        chances[TOGETHER.get(part, part)] += chance  # type: ignore[assignment]
    return chances


def named(decks: list[tuple[Deck, Geometry]]) -> tuple[float, float]:
    """Share of decks whose culprit is the likeliest, and the mean chance that was given to it."""
    right, claimed = [], []
    for deck, geometry in decks:
        chances = by_shaft(match_rotation(deck.series, geometry))
        (best, chance), *_ = chances.most_common(1) or [("nothing", 0.0)]
        right.append(best == TOGETHER.get(deck.culprit, deck.culprit))
        claimed.append(chance)
    return float(np.mean(right)), float(np.mean(claimed))


def measured(count: int, seconds: float, seed: int) -> list[tuple[Deck, Geometry]]:
    """Decks whose sizes a calliper, a string and a watch have told."""
    rng = np.random.default_rng(seed)
    return [(deck, deck.geometry(rng)) for deck in (draw_deck(rng, seconds) for _ in range(count))]


def series(values: Array, rate_hz: float = RATE_HZ, reaches_hz: float = REACHES_HZ) -> SpeedSeries:
    """A series without gaps."""
    return SpeedSeries(values, rate_hz, np.zeros(len(values), dtype=bool), reaches_hz)


def line(rate_hz: float, seconds: float = 30.0, amplitude: float = 1e-3, seed: int = 0) -> Array:
    """A steady line in a little noise."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    noise = 1e-3 * np.random.default_rng(seed).standard_normal(len(times))
    return np.asarray(noise + amplitude * np.cos(2 * np.pi * rate_hz * times))


def slow_noise(size: float, seconds: float, seed: int) -> Array:
    """Noise below some 3 Hz, of this root mean square: a deck that wavers without a rate."""
    white = np.random.default_rng(seed).standard_normal(round(seconds * RATE_HZ))
    rates = np.fft.rfftfreq(len(white), 1 / RATE_HZ)
    passed = (rates > 0.2) / np.sqrt(1 + (rates / 3) ** 4)
    values = np.fft.irfft(np.fft.rfft(white) * passed, len(white))
    return np.asarray(size * values / values.std())


def falsely_named(count: int, seconds: float, seed: int) -> float:
    """Share of decks without any rate of which a part is named all the same."""
    rng = np.random.default_rng(seed)
    decks = [draw_steady(rng, seconds) for _ in range(count)]
    found = [match_rotation(deck.series, deck.geometry(rng)) for deck in decks]
    return float(np.mean([bool(one.likely) for one in found]))


def test_names_no_part_of_decks_without_a_rate() -> None:
    """Of decks that waver without a rate, one of twenty at most is said to have one."""
    assert falsely_named(20, 30.0, 44) <= 0.05


def test_names_the_part_of_measured_decks() -> None:
    """At least nine of ten culprits of decks with one rate 6 dB over the others."""
    right, claimed = named(measured(25, 30.0, 41))
    assert right >= 0.9
    assert claimed - right < 0.05


@pytest.mark.proof
@pytest.mark.parametrize("seconds", [20.0, 30.0, 60.0, 150.0])
def test_names_the_part_as_often_as_it_says(seconds: float) -> None:
    """The same over many more decks, at several lengths; the chances that it gives are true."""
    right, claimed = named(measured(400, seconds, 42))
    assert right >= 0.9
    assert claimed == pytest.approx(right, abs=0.05)


@pytest.mark.proof
@pytest.mark.parametrize("seconds", [20.0, 60.0, 150.0])
def test_seldom_names_a_part_where_no_rate_is(seconds: float) -> None:
    """The same over more decks and at several lengths."""
    assert falsely_named(200, seconds, 45) <= 0.05


@pytest.mark.proof
def test_is_honest_where_nothing_is_known() -> None:
    """With no size given the culprit is named less often, and that is said."""
    rng = np.random.default_rng(43)
    right, claimed = named([(draw_deck(rng, 40.0), Geometry()) for _ in range(400)])
    assert right >= 0.6
    assert claimed == pytest.approx(right, abs=0.08)


def test_parts_on_one_shaft_share_the_chance() -> None:
    """In proportion to how often each is at fault, and it is said that they turn together."""
    found = match_rotation(series(line(47.625 / np.pi / 2.518)), KNOWN)
    chance = dict(found.likely)
    assert chance["capstan"] / chance["flywheel"] == pytest.approx(
        PRIORS["capstan"] / PRIORS["flywheel"]
    )
    assert chance["capstan"] + chance["flywheel"] > 0.9
    assert "the capstan or the flywheel" in found.remarks[0]
    assert "turn together" in found.remarks[0]
    assert found["flutter_rate_hz"].value == pytest.approx(6.02, abs=0.01)
    assert found["flutter_line_percent"].value == pytest.approx(0.1, rel=0.05)


def test_chances_are_of_all_parts_and_add_up() -> None:
    """Those of a deck without a belt have none for it."""
    found = match_rotation(series(line(1.166)), Geometry(drive="direct"))
    named = dict(found.likely)
    assert set(named) <= {*PARTS, "unknown", "others"}
    assert sum(named.values()) == pytest.approx(1)
    assert "capstan belt" not in named
    assert found.likely[0][0] == "pinch roller"


def test_next_to_no_chance_is_told_together() -> None:
    """No part stands in the list with a chance that is rounded to nothing."""
    *named, (last, rest) = match_rotation(series(line(1.1661)), KNOWN).likely
    assert last == "others"
    assert 0 < rest < 0.05
    assert all(chance >= 0.005 for _, chance in named)


def test_harmonics_add_up_to_one() -> None:
    """They are the chances of all ways in which a part makes a line."""
    assert sum(HARMONICS) == pytest.approx(1)


def test_second_harmonic_is_told_by_its_fundamental() -> None:
    """A roller with two dents: the strongest line is at twice its rate, a weak one at its rate."""
    values = line(2 * 1.1661) + line(1.1661, amplitude=2e-4)
    assert match_rotation(series(values), KNOWN).likely[0][0] == "pinch roller"


def test_what_fits_no_part_is_unknown() -> None:
    """A line between all rates and their harmonics."""
    found = match_rotation(series(line(26.7)), KNOWN)
    assert found.likely[0][0] == "unknown"
    assert "fits no part" in found.remarks[0]


def test_folded_rate_is_found_as_such() -> None:
    """A motor of 46 Hz, seen in a series of 40 samples a second, stands at 6 Hz."""
    geometry = Geometry(
        drive="belt", motor_rpm=46 * 60, capstan_mm=2.0, flywheel_mm=60, belt_mm=250, played=0.5,
        pinch_roller_mm=13,
    )  # fmt: skip
    times = np.arange(1600) / 40
    noise = 1e-3 * np.random.default_rng(0).standard_normal(1600)
    values = noise + 1e-3 * np.cos(2 * np.pi * 46 * times)
    found = match_rotation(series(values, 40.0, 17.0), geometry)
    assert found["flutter_rate_hz"].value == pytest.approx(6.0, abs=0.01)
    assert by_shaft(found)["motor"] > 0.05
    assert by_shaft(match_rotation(series(values, 40.0, 17.0), KNOWN))["motor"] < 0.01


def test_no_line_is_no_answer() -> None:
    """Noise alone: nothing stands out, and no part is blamed."""
    found = match_rotation(series(line(1.0, amplitude=0.0)), KNOWN)
    assert found.likely == ()
    assert "comes from no single part" in found.remarks[0]
    assert len(found.curves[0].x) > 200
    assert match_rotation(series(np.zeros(12_000)), KNOWN).likely == ()


def test_rounding_is_no_line() -> None:
    """A tone of 3150 Hz without any flutter, kept in 16 bits: what rounding makes is no part's."""
    at = np.arange(30 * 22_050) / 22_050
    rounded = np.round(0.5 * np.sin(2 * np.pi * 3150 * at) * 32_767) / 32_768
    found = match_rotation(speed_series(Samples(rounded[:, None], 22_050), 3150), KNOWN)
    assert found.likely == ()
    assert found["flutter_line_share_at_most_percent"].value < 5


def test_line_that_makes_little_of_the_flutter_is_no_answer() -> None:
    """A twentieth of the power is the border: weaker lines stay unnamed, stronger ones don't."""
    noise = 1e-3
    for share, is_named in ((0.025, False), (0.1, True)):
        amplitude = noise * (2 * share * REACHES_HZ / RATE_HZ * 2) ** 0.5
        values = line(1.1661, 150.0, amplitude)
        assert bool(match_rotation(series(values), KNOWN).likely) == is_named


def test_what_a_short_capture_hides_is_told() -> None:
    """Slow noise in a minute: a rate may hide, and the figure says how much of the flutter it is.

    The check value is a line half as strong again, which is found in the same noise.
    """
    brief = match_rotation(series(slow_noise(1e-3, 20.0, seed=1)), KNOWN)
    assert brief["flutter_line_share_at_most_percent"].value == 100
    assert "two minutes or more" in brief.remarks[0]
    slow = slow_noise(1e-3, 60.0, seed=1)
    found = match_rotation(series(slow), KNOWN)
    assert found.likely == ()
    share = found["flutter_line_share_at_most_percent"].value / 100
    assert 0.05 < share < 0.5
    amplitude = (2 * 1.5 * share) ** 0.5 * float(np.std(slow))
    times = np.arange(len(slow)) / RATE_HZ
    added = match_rotation(series(slow + amplitude * np.cos(2 * np.pi * 1.1661 * times)), KNOWN)
    assert added.likely[0][0] == "pinch roller"


def test_rates_that_are_not_shown_are_no_answer() -> None:
    """Eleven seconds show no hub with all its tape: that no rate stands out says too little."""
    found = match_rotation(series(line(1.0, 11.0, amplitude=0.0)), Geometry())
    assert found.figures == ()
    assert "parts turn 0.3" in found.remarks[0]


def test_long_capture_of_a_steady_part() -> None:
    """Half an hour at the rate of demodulating: thinned out, told right, not taken for a hub."""
    at = np.arange(1800 * 500) / 500
    noise = 1e-3 * np.random.default_rng(0).standard_normal(len(at))
    values = noise + 1e-3 * np.cos(2 * np.pi * 1.1661 * at)
    found = match_rotation(series(values, 500.0, 100.0), KNOWN)
    assert found.likely[0][0] == "pinch roller"
    assert found["flutter_rate_hz"].value == pytest.approx(1.1661, abs=1e-3)
    assert found["flutter_line_percent"].value == pytest.approx(0.1, rel=0.02)


def test_speed_error_moves_the_rates() -> None:
    """A deck that runs 8 % fast turns all its parts 8 % faster."""
    found = match_rotation(series(line(6.023 * 1.08) + 0.08), KNOWN)
    assert found.likely[0][0] == "capstan"


def test_mains_and_poles_tell_the_motor() -> None:
    """A line at 24.3 Hz fits a motor of 4 poles on 50 Hz, and hardly one of 60 Hz."""
    fast = Geometry(drive="belt", speed_mm_s=190.5, poles=4, mains_hz=50)
    at_50 = by_shaft(match_rotation(series(line(24.3)), fast))
    assert at_50.most_common(1)[0][0] == "motor"
    at_60 = by_shaft(match_rotation(series(line(24.3)), replace(fast, mains_hz=60)))
    assert at_60["motor"] < at_50["motor"] / 5


def test_wide_tape_is_matched_by_its_own_speed() -> None:
    """A capstan of 6 mm at 19 cm/s; one of a slow tape turns half as often at most."""
    fast, slow = (Geometry(drive="belt", speed_mm_s=speed) for speed in (190.5, 47.625))
    values = line(190.5 / np.pi / 6.03)
    right, wrong = (by_shaft(match_rotation(series(values), each)) for each in (fast, slow))
    assert right.most_common(1)[0][0] == "capstan"
    assert wrong["capstan"] < right["capstan"] / 2


def test_doubt_asks_for_sizes() -> None:
    """Where nothing is known, capstan and belt lie close; their sizes would tell."""
    found = match_rotation(series(line(5.3)), Geometry(drive="belt"))
    assert any("To tell better, measure" in remark for remark in found.remarks)
    assert any("the belt's length" in remark for remark in found.remarks)


def test_short_capture_says_what_it_cannot_show() -> None:
    """Four turns of a full pack take 13 s and more."""
    found = match_rotation(series(line(6.0, 11.0)), KNOWN)
    assert "nothing slower than 0.36 Hz" in found.remarks[-1]
    assert "record 13 s" in found.remarks[-1]


def test_from_a_tone_to_the_part() -> None:
    """The whole way: a tone of 3150 Hz that a dented roller wavers by 0.1 %."""
    at = np.arange(20 * 22_050) / 22_050
    speed = 1e-3 * np.sin(2 * np.pi * SPEED / (np.pi * 13) * at)
    heard = speed_series(tone(speed, 3150, 22_050, snr_db=40), 3150)
    found = match_rotation(heard, KNOWN)
    assert found.likely[0][0] == "pinch roller"
    assert found["flutter_rate_hz"].value == pytest.approx(1.1661, abs=0.003)
    assert found["flutter_line_percent"].value == pytest.approx(0.1, rel=0.02)


def test_refuses_what_no_rate_can_be_told_of() -> None:
    """Too short, or no numbers."""
    with pytest.raises(MeasureError, match="10 s are needed"):
        match_rotation(series(np.zeros(800)), KNOWN)
    broken = line(1.0)
    broken[100] = np.nan
    with pytest.raises(MeasureError, match="no numbers"):
        match_rotation(series(broken), KNOWN)
