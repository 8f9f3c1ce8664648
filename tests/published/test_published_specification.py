"""The fallback specification against the published table."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from diag.model.figures import Name
from diag.reading.location import shipped
from diag.reading.specification import FALLBACK, find_specification

TABLE = Path(__file__).parent / "reference" / "din45500_tape_minimums.csv"
ROWS = {
    # Figure, row of the table, and the sign that the figure has to the row: noise re full level is
    # a signal-to-noise ratio turned round.
    "speed_error_percent": ("speed_error", 1),
    "weighted_peak_percent": ("wow_flutter_weighted", 1),
    "response_spread_250_to_6300_hz_db": ("response_spread_250_6300", 1),
    "response_spread_40_to_12500_hz_db": ("response_spread_edges", 1),
    "balance_db": ("channel_balance", 1),
    "separation_db": ("stereo_separation_1k", 1),
    "third_harmonic_percent": ("full_level_k3", 1),
    "noise_a_weighted_db": ("snr_weighted_per_channel", -1),
    "noise_unweighted_db": ("snr_unweighted_per_channel", -1),
    "erase_depth_db": ("erase_attenuation", 1),
}


def published() -> dict[str, float]:
    """Limits by the name of their row."""
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return {row["quantity"]: float(row["limit"]) for row in csv.DictReader(lines)}


def test_fallback_holds_no_other_figures() -> None:
    """Every limit has its row."""
    assert set(find_specification(shipped(), FALLBACK).limits) == set(ROWS)


@pytest.mark.parametrize("key", ROWS)
def test_fallback_has_the_published_figure(key: str) -> None:
    """Without any tolerance of ours."""
    limit = find_specification(shipped(), FALLBACK).limits[Name(key)]
    (given,) = (v for v in (limit.at_most, limit.at_least, limit.within) if v is not None)
    row, sign = ROWS[key]
    assert given == sign * published()[row]
    assert limit.tolerance == 0
