"""Lines matched to parts, on invented decks whose culprit is known."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from drawn_tone import tone
from rotating_deck import RATE_HZ, REACHES_HZ, SPEED, Deck, draw_deck

from diag.errors import MeasureError
from diag.measure.demodulate import SpeedSeries, speed_series
from diag.measure.geometry import PARTS, Geometry
from diag.measure.result import Measurement
from diag.measure.rotation import HARMONICS, PRIORS, match_rotation
from diag.measure.sound import Array

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


def test_names_the_part_of_measured_decks() -> None:
    """At least nine of ten culprits of decks with one rate 6 dB over the others."""
    right, claimed = named(measured(50, 30.0, 41))
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
    assert {part for part, _ in found.likely} == {*PARTS, "unknown"}
    assert sum(chance for _, chance in found.likely) == pytest.approx(1)
    assert dict(found.likely)["capstan belt"] == 0
    assert found.likely[0][0] == "pinch roller"


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
    chance = dict(found.likely)
    assert chance["motor"] + chance["motor pulley"] > 0.05
    other = dict(match_rotation(series(values, 40.0, 17.0), KNOWN).likely)
    assert other["motor"] + other["motor pulley"] < 0.01


def test_no_line_is_no_answer() -> None:
    """Noise alone: nothing stands out, and no part is blamed."""
    found = match_rotation(series(line(1.0, amplitude=0.0)), KNOWN)
    assert found.likely == ()
    assert found.figures == ()
    assert "No rate stands out" in found.remarks[0]
    assert len(found.curves[0].x) > 200
    assert match_rotation(series(np.zeros(12_000)), KNOWN).likely == ()


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
