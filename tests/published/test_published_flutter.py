"""Flutter readings against tables from outside the project.

The weighting table is from memory of IEC 60386 (AES6, DIN 45507 and CCIR 409 have the same): no
page that shows it could be read. What a sine must read follows from it by arithmetic, and so has
the same standing; the unweighted figures need no table.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from measure.drawn_tone import sine, tone

from diag.measure.flutter import measure_flutter
from diag.measure.flutter_weighting import TABLE, flutter, network, unweighted, weighting, wow

REFERENCE = Path(__file__).parent / "reference"
RATE_HZ = 22_050


def _rows(name: str) -> list[list[float]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        lines = [line for line in file if not line.startswith("#")]
    return [[float(cell) for cell in row] for row in list(csv.reader(lines))[1:]]


def test_curve_goes_through_the_table() -> None:
    """Every point of the table, from memory, to a thousandth of a decibel."""
    rates_hz, levels_db = np.array(_rows("flutter_weighting_iec60386.csv")).T[:2]
    assert [(rate, level) for rate, level in TABLE] == list(zip(rates_hz, levels_db, strict=True))
    assert 20 * np.log10(np.abs(weighting(rates_hz))) == pytest.approx(levels_db, abs=1e-3)


def test_curve_as_described_in_words() -> None:
    """Published words: 0 dB near 4 Hz, about 6 dB an octave on either side, more below 0.5 Hz."""

    def fall_db(first_hz: float, second_hz: float) -> float:
        low, high = np.abs(weighting(np.array([first_hz, second_hz])))
        return float(20 * np.log10(low / high))

    rates_hz = np.geomspace(0.05, 300, 2000)
    size = np.abs(weighting(rates_hz))
    assert rates_hz[np.argmax(size)] == pytest.approx(4, rel=0.05)
    assert size.max() == pytest.approx(1, abs=1e-3)
    assert fall_db(1, 0.5) == pytest.approx(6, abs=2.5)
    assert fall_db(50, 100) == pytest.approx(6, abs=1)
    assert fall_db(0.2, 0.1) > 12


def test_network_of_the_phase() -> None:
    """The network that lends its phase is within 0.34 dB of the table, as computed with it."""
    rates_hz, levels_db, *_, fitted_off_db = np.array(_rows("flutter_weighting_iec60386.csv")).T
    off_db = 20 * np.log10(np.abs(network(rates_hz))) - levels_db
    assert off_db == pytest.approx(fitted_off_db, abs=2e-3)
    assert np.abs(off_db).max() <= 0.341


def test_bands_add_up() -> None:
    """Wow and flutter share out the unweighted power; JIS C 5569 parts them at 10 Hz."""
    rates_hz = np.geomspace(0.1, 200, 500)
    parts = np.abs(wow(rates_hz)) ** 2 + np.abs(flutter(rates_hz)) ** 2
    assert parts == pytest.approx(np.abs(unweighted(rates_hz)) ** 2, rel=1e-12)
    assert abs(wow(np.array([10.0]))[0]) == pytest.approx(abs(flutter(np.array([10.0]))[0]))
    assert np.abs(unweighted(rates_hz)).min() > 0.99


@pytest.mark.parametrize(
    "row", _rows("flutter_sine_readings.csv"), ids=lambda row: f"{row[0]:g} Hz"
)
def test_sine_readings(row: list[float]) -> None:
    """A swing of 0.1 % reads within 1 % of theory at every rate, weighted or not."""
    flutter_hz, _, peak, _, weighted_rms, weighted_two_sigma = row
    seconds = max(12.0, min(200.0, 20 / flutter_hz))
    found = measure_flutter(tone(sine(seconds, RATE_HZ, flutter_hz), 3150, RATE_HZ), 3150)
    assert found["weighted_peak_percent"].value == pytest.approx(weighted_two_sigma, rel=0.01)
    assert found["weighted_rms_percent"].value == pytest.approx(weighted_rms, rel=0.01)
    # Two-sigma of a sine: sin(0.95 x 90 degrees) of its peak (arithmetic).
    assert found["unweighted_peak_percent"].value == pytest.approx(0.99692 * peak, rel=0.01)
    assert found["unweighted_rms_percent"].value == pytest.approx(peak / 2**0.5, rel=0.01)


def test_peak_over_rms_as_makers_quote_them() -> None:
    """One maker's deck: 0.085 % weighted peak and 0.06 % weighted rms, 1.42 (seen in a manual).

    A sine has 1.41, Gaussian flutter 1.96; a deck in order lies between them, near the sine.
    """
    found = measure_flutter(tone(sine(12, RATE_HZ, 4), 3150, RATE_HZ), 3150)
    ratio = found["weighted_peak_percent"].value / found["weighted_rms_percent"].value
    assert ratio == pytest.approx(1.42, abs=0.02)
