"""Figures in words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.trail.words import figure_words


@pytest.mark.parametrize(
    ("value", "within", "unit", "words"),
    [
        (-1.6342, 0.0213, "%", "-1.634 ± 0.022 %"),
        (-1.6342, 0.05, "%", "-1.63 ± 0.05 %"),
        (-1.6342, 0.2, "%", "-1.63 ± 0.20 %"),
        (3012.4, 34.0, "Hz", "3012 ± 34 Hz"),
        (3012.4, 120.0, "Hz", "3012 ± 120 Hz"),
        (0.5, 0.0, "", "0.5000 ± 0.0000"),
        (-0.00001, 0.001, "dB", "0.0000 ± 0.0010 dB"),
        (0.5, 1e-9, "dB", "0.5000 ± 0.0001 dB"),
    ],
)
def test_figure_is_told_as_far_as_it_is_known(
    value: float, within: float, unit: str, words: str
) -> None:
    """Digits end where the uncertainty begins."""
    assert figure_words(value, within, unit) == words


@given(value=st.floats(-1e5, 1e5), within=st.floats(1e-12, 1e5))
def test_told_interval_is_no_narrower(value: float, within: float) -> None:
    """The uncertainty that is told is at least the true one, and at most by half above it."""
    told, half = figure_words(value, within).split(" ± ")
    assert float(half) >= within * (1 - 1e-6)
    assert float(half) <= max(1.5 * within, 1e-4)
    assert abs(float(told) - value) <= max(0.51 * within, 1e-4)
