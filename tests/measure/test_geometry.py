"""Rates of turning parts, against the bench sums and arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from diag.errors import MeasureError
from diag.measure.geometry import (
    PARTS,
    PRIOR_SPREAD,
    Geometry,
    pack_mm,
    part_rates,
    rim_mm_s,
    turning_hz,
)
from diag.workshop import belt_load, reels, speed

KNOWN = Geometry(
    drive="belt",
    capstan_mm=2.5,
    flywheel_mm=65,
    motor_pulley_mm=8.6,
    belt_mm=252,
    belt_thickness_mm=0.6,
    pinch_roller_mm=13,
    tape_um=18,
    played=0.4,
)


def middle(geometry: Geometry, part: str) -> float:
    """The rate of a part in the middle of its draws."""
    return float(np.nanmedian(part_rates(geometry, 256)[PARTS.index(part)]))


@pytest.mark.parametrize(
    ("diameter_mm", "turning"),
    [(2.0, 7.58), (2.5, 6.06), (3.0, 5.05), (13, 1.17), (22, 0.69), (44, 0.345), (52, 0.29)],
)
def test_turning_by_arithmetic(diameter_mm: float, turning: float) -> None:
    """Arithmetic: 47.625 mm/s over pi times the diameter, rounded to the digits given."""
    assert turning_hz(diameter_mm, 47.625) == pytest.approx(turning, rel=0.01)


def test_wheels_agree_with_bench_sums() -> None:
    """The sum of turning, and that of the capstan, run backwards."""
    assert turning_hz(13, 47.625) == pytest.approx(reels.turning(13, 4.7625)[0])
    turns = middle(KNOWN, "capstan")
    assert speed.capstan(2.5, turns * 60, 18)[0] == pytest.approx(4.7625, rel=2e-3)


def test_pack_agrees_with_bench_sum() -> None:
    """Length times thickness is the pack's side area."""
    full = reels.pack(22, 18, 30, 4.7625)[1]
    part = reels.pack(22, 18, 12, 4.7625)[1]
    assert pack_mm(22, full, 12 / 30) == pytest.approx(part)


def test_belt_thickness_counts_as_in_bench_sum() -> None:
    """A thicker belt changes the ratio of motor and flywheel by what the sum tells."""
    motor = [
        rim_mm_s(99.5, 6.0, thickness) / rim_mm_s(9.5, 1.0, thickness) for thickness in (0.5, 0.6)
    ]
    change = belt_load.thickness(9.5, 99.5, 0.5, 0.6)[0]
    assert motor[0] / motor[1] - 1 == pytest.approx(change / 100)


def test_belt_deck_by_arithmetic() -> None:
    """Belt and motor from the flywheel's rim at the belt's middle: pi x 65.6 mm a turn."""
    rim = np.pi * 65.6 * 47.625 / (np.pi * 2.518)
    assert middle(KNOWN, "capstan belt") == pytest.approx(rim / 252, rel=3e-3)
    assert middle(KNOWN, "motor") == pytest.approx(rim / (np.pi * 9.2), rel=3e-3)
    assert middle(KNOWN, "motor pulley") == middle(KNOWN, "motor")
    assert middle(KNOWN, "flywheel") == middle(KNOWN, "capstan")


def test_drive_decides_which_parts_there_are() -> None:
    """No belt in a direct drive, whose motor turns with the capstan; an idler's ratio by rims."""
    direct = part_rates(Geometry(drive="direct"), 64)
    assert np.isnan(direct[PARTS.index("capstan belt")]).all()
    assert np.isnan(direct[PARTS.index("motor pulley")]).all()
    assert (direct[PARTS.index("motor")] == direct[0]).all()
    idler = Geometry(drive="idler", capstan_mm=2.5, flywheel_mm=80, drive_idler_mm=32)
    assert middle(idler, "drive idler") == pytest.approx(2.5 * middle(idler, "capstan"), rel=5e-3)


def test_belt_length_names_the_drive() -> None:
    """Who gives a belt's length has a belt."""
    rates = part_rates(Geometry(belt_mm=250), 64)
    assert np.isfinite(rates[PARTS.index("capstan belt")]).all()
    assert np.isnan(rates[PARTS.index("drive idler")]).all()


def test_hubs_share_the_tape() -> None:
    """What has left one hub is on the other; at the start the supply hub is full."""
    start = Geometry(played=0.0, hub_mm=22, full_pack_mm=50)
    assert middle(start, "take-up hub") == pytest.approx(turning_hz(22, 47.625), rel=0.03)
    assert middle(start, "supply hub") == pytest.approx(turning_hz(50, 47.625), rel=0.03)


@pytest.mark.parametrize(
    ("mains_hz", "poles", "rpm"), [(50, 4, 1500), (60, 4, 1800), (60, 12, 600)]
)
def test_mains_motor_turns_with_the_mains(mains_hz: float, poles: float, rpm: float) -> None:
    """A little below 120 f/p, by a published table of synchronous speeds: that is its slip."""
    turning = part_rates(Geometry(drive="belt", mains_hz=mains_hz, poles=poles), 256)
    motor = 60 * turning[PARTS.index("motor")]
    assert 0.85 * rpm < motor.min() < motor.max() < rpm
    open_poles = part_rates(Geometry(drive="belt", mains_hz=mains_hz), 256)[PARTS.index("motor")]
    assert len({round(2 * mains_hz / rate) for rate in open_poles}) > 1


def test_wide_tape_has_sizes_of_its_own() -> None:
    """A roller of some 35 mm at 19 cm/s turns some 1.7 times a second (arithmetic)."""
    fast = Geometry(speed_mm_s=190.5)
    assert middle(fast, "pinch roller") == pytest.approx(190.5 / np.pi / 35.4, rel=0.03)
    assert middle(fast, "capstan") == pytest.approx(190.5 / np.pi / 7.5, rel=0.05)


def test_draws_are_the_same_each_time() -> None:
    """So that the same capture gives the same answer."""
    assert np.array_equal(part_rates(Geometry(), 32), part_rates(Geometry(), 32), equal_nan=True)


def test_unknown_sizes_spread_as_stated() -> None:
    """19 of 20 capstans lie within the range that is stated for them."""
    rates = part_rates(Geometry(tape_um=18), 2048)[0]
    low, high = 47.625 / (np.pi * 3.018), 47.625 / (np.pi * 1.918)
    assert np.mean((rates > low) & (rates < high)) == pytest.approx(PRIOR_SPREAD, abs=0.01)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"drive": "steam"}, "'steam' is no drive"),
        ({"capstan_mm": 0.25}, "capstan_mm is 0.25"),
        ({"capstan_mm": float("nan")}, "capstan_mm is nan"),
        ({"belt_mm": 25.0}, "belt_mm is 25"),
        ({"played": 12.0}, "played is 12"),
        ({"poles": 3.0}, "poles is 3"),
        ({"mains_hz": 55.0}, "no mains has 55 Hz"),
    ],
)
def test_refuses_sizes_that_cannot_be(given: dict[str, float | str], told: str) -> None:
    """The message names the size and what is asked for."""
    with pytest.raises(MeasureError, match=told) as caught:
        Geometry(**given)  # type: ignore[arg-type]
    assert caught.value.do.startswith("Give ")
