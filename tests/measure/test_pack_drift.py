"""Hubs' tracks, against turns that are counted step by step."""

from __future__ import annotations

import numpy as np
import pytest
from rotating_deck import pack_turns

from diag.measure.pack_drift import SUPPLY, TAKE_UP, Packs, drifting_lines, rate_at, tracks, turns
from diag.measure.sound import Array
from diag.measure.spectrum import Line, lines, segments_of, spectrum

RATE_HZ = 20.0
SPEED = 47.625
PACKS = Packs(slowest_hz=SPEED / np.pi / 51, fastest_hz=SPEED / np.pi / 21.5, speed_mm_s=SPEED)


def hub(seconds: float, radius_mm: float, tape_um: float, way: int) -> tuple[Array, float]:
    """Turns of a hub, and its rate in the middle."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    path = pack_turns(times, radius_mm, -way * tape_um / 1e3)
    middle = len(path) // 2
    return path, float(path[middle + 1] - path[middle - 1]) * RATE_HZ / 2


def found_lines(values: Array) -> tuple[list[tuple[Line, int, int]], tuple[Line, ...]]:
    """Drifting lines with way and order, the strongest first; and the steady ones."""
    segments = segments_of(values, RATE_HZ)
    found = spectrum(segments)
    drifting = drifting_lines(found, tracks(segments, PACKS), segments)
    told = [(line, track.way, track.order) for line, track in drifting]
    return sorted(told, key=lambda one: -one[0].amplitude), lines(found, segments)


@pytest.mark.parametrize("way", [SUPPLY, TAKE_UP])
@pytest.mark.parametrize("tape_um", [9.0, 18.0])
def test_turns_are_those_of_a_growing_pack(way: int, tape_um: float) -> None:
    """To a hundredth of a turn over two minutes; counted in steps of a twentieth of a second."""
    path, rate = hub(120.0, 15.0, tape_um, way)
    times = np.arange(len(path)) / RATE_HZ
    middle = times[len(times) // 2]
    worked_out = turns(np.array(rate), times - middle, way, tape_um, SPEED)
    assert np.abs(worked_out - (path - path[len(path) // 2])).max() < 0.01
    last = (path[-1] - path[-2]) * RATE_HZ
    assert rate_at(np.array(rate), 60.0, way, tape_um, SPEED) == pytest.approx(last, rel=2e-3)


def test_a_pack_ends() -> None:
    """Past its end a hub has no rate."""
    assert np.isinf(rate_at(np.array(0.69), 4000.0, SUPPLY, 18.0, SPEED))


@pytest.mark.parametrize("way", [SUPPLY, TAKE_UP])
def test_hub_of_a_long_capture_is_found_whole(way: int) -> None:
    """Over six minutes the rate sweeps by a fifth: one line, of the right hub and strength."""
    path, rate = hub(360.0, 16.0, 12.0, way)
    rng = np.random.default_rng(51)
    values = 1e-3 * np.cos(2 * np.pi * path) + 1e-3 * rng.standard_normal(len(path))
    (line, of_way, order), *_ = found_lines(values)[0]
    assert (of_way, order) == (way, 1)
    assert line.rate_hz == pytest.approx(rate, rel=0.005)
    assert line.amplitude == pytest.approx(1e-3, rel=0.05)


def test_intervals_of_hubs_hold_the_truth() -> None:
    """Rate in the middle and amplitude, for tapes of three thicknesses anywhere on their way."""
    rng = np.random.default_rng(52)
    held = []
    for _ in range(60):
        way = int(rng.choice([SUPPLY, TAKE_UP]))
        path, rate = hub(40.0, rng.uniform(13, 22), float(rng.choice([9, 12, 18])), way)
        values = 1e-3 * np.cos(2 * np.pi * path + rng.uniform(0, 6))
        drifting = found_lines(values + 1.5e-3 * rng.standard_normal(len(path)))[0]
        line = next(line for line, _, order in drifting if order == 1)
        held.append(
            (
                abs(line.rate_hz - rate) <= line.rate_uncertainty_hz,
                abs(line.amplitude - 1e-3) <= line.amplitude_uncertainty,
            )
        )
    assert (np.mean(held, axis=0) >= 0.88).all()
