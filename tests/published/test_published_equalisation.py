"""Replay equalisation against a table worked out from published time constants."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from diag.measure.equalisation import flux_db, mistaken_db

TABLE = Path(__file__).parent / "reference" / "cassette_eq.csv"


def column(key: str) -> np.ndarray:
    """A column of the table."""
    lines = TABLE.read_text("utf-8").splitlines()
    return np.array([float(row[key]) for row in csv.DictReader(lines[1:])])


HZ = column("freq_hz")


@pytest.mark.parametrize(
    ("key", "treble_us", "bass_us", "reference_hz"),
    [
        ("flux_type1_120us_re315", 120.0, 3180.0, 315.0),
        ("flux_type2_4_70us_re315", 70.0, 3180.0, 315.0),
        ("flux_120us_re1k", 120.0, 3180.0, 1000.0),
        ("flux_70us_re1k", 70.0, 3180.0, 1000.0),
        ("old_1590_120_flux_re315", 120.0, 1590.0, 315.0),
    ],
)
def test_flux(key: str, treble_us: float, bass_us: float, reference_hz: float) -> None:
    """Time constants published (jis_s_8604), the older bass one too; formula from memory."""
    at = float(flux_db(np.array([reference_hz]), treble_us, bass_us)[0])
    assert flux_db(HZ, treble_us, bass_us) - at == pytest.approx(column(key), abs=6e-4)


def test_other_setting() -> None:
    """A tape for 120 µs on a deck at 70 loses up to 4.5 dB re 315 Hz, by arithmetic."""
    change = mistaken_db(np.append(HZ, 315.0), 120.0, 70.0)
    expected = column("diff_70_minus_120_reproduce_re315")
    assert change[:-1] - change[-1] == pytest.approx(expected, abs=2e-3)
