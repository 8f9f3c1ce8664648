"""Weightings and quasi-peak meter against the tables of IEC 61672-1 and ITU-R BS.468-4.

The tables lie in `reference/`, each with its source and standing.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from diag.measure import weighting_468, weighting_a
from diag.measure.quasi_peak import QuasiPeakMeter
from diag.measure.segments import segments
from diag.measure.sound import Array, Samples
from diag.measure.weighting import Response, Weighting, audio_band

REFERENCE = Path(__file__).parent / "reference"
RATES_HZ = (22_050, 44_100, 48_000, 96_000, 192_000)
ROUNDED_DB = 0.051
"""The tables are rounded to a tenth of a decibel; the rest is ours."""


def table(name: str) -> list[dict[str, float]]:
    """Rows of a reference table."""
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [{key: float(value) for key, value in row.items()} for row in rows]


def put_through(response: Response, rate_hz: int, hz: Array) -> Array:
    """Responses in dB at frequencies, of an impulse that went through block by block."""
    impulse = np.zeros((2 * rate_hz, 1))
    impulse[0] = 1.0
    weigh = Weighting((response,), rate_hz, 1)
    pieces = segments(Samples(impulse, rate_hz), rate_hz // 3)
    after = np.concatenate([weigh(piece)[0] for piece in pieces])[:, 0]
    turns = np.exp(-2j * np.pi * np.outer(hz, np.arange(len(after))) / rate_hz)
    decibels: Array = 20 * np.log10(np.abs(turns @ after))
    return decibels


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_a_weighting_meets_every_row_of_its_table(rate_hz: int) -> None:
    """Far inside the limits of the standard: only the table's own rounding is left."""
    rows = [row for row in table("a_weighting_iec61672.csv") if row["exact_hz"] < 0.49 * rate_hz]
    found = put_through(weighting_a.response, rate_hz, np.array([row["exact_hz"] for row in rows]))
    assert found == pytest.approx([row["a_db"] for row in rows], abs=ROUNDED_DB)
    assert len(rows) >= 31


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_468_weighting_meets_every_row_of_its_table(rate_hz: int) -> None:
    """The row of 6.3 kHz has a tolerance of nothing, which no table of tenths can ask for."""
    rows = [row for row in table("itu_r_468.csv") if row["hz"] < 0.49 * rate_hz]
    found = put_through(weighting_468.response, rate_hz, np.array([row["hz"] for row in rows]))
    for row, decibels in zip(rows, found, strict=True):
        assert abs(decibels - row["response_db"]) <= max(row["tolerance_db"], ROUNDED_DB)
    assert found == pytest.approx([row["response_db"] for row in rows], abs=ROUNDED_DB)


def test_unweighted_band_falls_by_18_db_an_octave() -> None:
    """3 dB down at 22.4 Hz and 22.4 kHz; by arithmetic of a third-order filter."""
    hz = np.array([11.2, 22.4, 1000.0, 22_400.0, 44_800.0])
    found = put_through(audio_band, 192_000, hz)
    assert found == pytest.approx([-18.13, -3.01, 0.0, -3.01, -18.13], abs=0.01)


def test_white_noise_to_20_khz_falls_by_2_05_db_under_a_weighting() -> None:
    """The figure follows from the formula of the standard by integration."""
    hz = np.linspace(0, 20_000, 200_001)
    mean_square = np.trapezoid(weighting_a.response(hz) ** 2, hz) / 20_000
    assert 10 * np.log10(mean_square) == pytest.approx(-2.05, abs=0.005)


@pytest.mark.parametrize("rate_hz", [22_050, 48_000])
@pytest.mark.parametrize("row", table("itu_r_468_quasi_peak_bursts.csv"), ids=str)
def test_quasi_peak_meter_reads_each_burst_within_its_limits(
    rate_hz: int, row: dict[str, float]
) -> None:
    """Also within 4 % of the nominal reading, wherever a burst begins between two steps."""
    times = np.arange(int(1.7 * rate_hz)) / rate_hz
    for late_s in (0.0, 1.3e-4, 2.9e-4):
        since = times - late_s
        phase = since % (1 / row["bursts_per_s"]) if row["bursts_per_s"] else since
        on = (since >= 0) & (phase < row["burst_ms"] / 1000)
        bursts = np.where(on, np.sin(2 * np.pi * 5000 * phase), 0.0)
        reading = QuasiPeakMeter(rate_hz, 1)(bursts[:, None]).max() * np.sqrt(2) * 100
        assert row["lower_percent"] <= reading <= row["upper_percent"]
        assert reading == pytest.approx(row["nominal_percent"], rel=0.04)


@pytest.mark.parametrize("hz", [100, 1000, 5000])
def test_quasi_peak_meter_reads_the_root_mean_square_of_a_steady_sine(hz: int) -> None:
    """As the Recommendation sets the meter; both channels, in blocks of any length."""
    rate_hz = 48_000
    wave = np.sin(2 * np.pi * hz * np.arange(3 * rate_hz) / rate_hz)
    sound = Samples(np.stack([wave, 0.1 * wave], axis=1), rate_hz)
    meter = QuasiPeakMeter(rate_hz, 2)
    readings = np.concatenate([meter(piece) for piece in segments(sound, 1111)])
    assert readings[-1] == pytest.approx([0.5**0.5, 0.1 * 0.5**0.5], rel=5e-3)
